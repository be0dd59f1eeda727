package dashboard

import (
	"context"
	"fmt"
	"io"
	"net"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// before runs a script in every page before its own.
func (p pageTest) before(script string) {
	p.Helper()
	p.do(func(ctx context.Context, t *chromedp.Target) (none chromedp.Void, err error) {
		_, err = cdp.Call(ctx, t, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return none, err
	})
}

// openPage opens the page of a server that tells a story, in a browser of its own, where
// script runs first. Someone must stop the story.
func openPage(t *testing.T, st story, script string) pageTest {
	t.Helper()
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{})}
	p.story = p.server.tell(st)
	p.before(script)
	p.do(chromedp.EmulateViewport(1180, 820), chromedp.Navigate(p.server.url()))
	p.waitFor(fmt.Sprintf(`document.getElementById("time").textContent === %q`, st.clock()))
	return p
}

// TestComesBackWithinThreeSeconds, by a clock of the test's own: however it was lost, no two
// tries are further apart, none waits for ever, and a daemon that only repeats itself is not
// taken for one that lives.
func TestComesBackWithinThreeSeconds(t *testing.T) {
	p := newPageTest(t, calmStory())
	const harness = `(async (scenario, luck) => {
		const { connect } = await import(new URL("live.js", document.querySelector("script[type=module]").src));
		const own = { setTimeout, setInterval, clearTimeout, WebSocket, now: performance.now, date: Date.now, random: Math.random, listen: window.addEventListener, on: document.addEventListener };
		let ms = 0, wall = 0, asleep = false, id = 0;
		const timers = new Map(), tries = [], sockets = [], heard = {};
		window.setTimeout = (f, after = 0) => (timers.set(++id, { at: ms + after, f }), id);
		window.setInterval = (f, every) => (timers.set(++id, { at: ms + every, f, every }), id);
		window.clearTimeout = (n) => timers.delete(n);
		performance.now = () => ms;
		Date.now = () => ms + wall;
		Math.random = () => luck;
		window.addEventListener = document.addEventListener = (name, f) => { (heard[name] ??= []).push(f); };
		window.WebSocket = class { constructor() { tries.push(ms); sockets.push(this); } close() { this.closed = true; } };
		let t = 0, live = [];
		const net = { up: true, hangs: false, gone: false };
		const link = connect({ frame() {}, contact() {} });
		try {
			const pass = (until) => {
				for (; ms < until; ms += 20) {
					for (const [n, timer] of [...timers]) if (timer.at <= ms) {
						timer.every ? (timer.at += timer.every) : timers.delete(n);
						timer.f();
					}
					const s = sockets.at(-1);
					if (net.gone && s && !s.closed) { s.closed = true; s.onclose?.(); }
					if (net.up && !net.gone && s && !s.closed && ms %% 100 === 0) s.onmessage?.({ data: JSON.stringify({ now: { at: net.hangs ? t : ++t } }) });
				}
			};
			const gaps = (from) => Math.max(...tries.map((at, i) => (i === 0 ? 0 : at - Math.max(from, tries[i - 1]))).filter((_, i) => tries[i] > from));
			return JSON.stringify(scenario({ pass, net, link, tries, gaps, heard, jump: (by) => (wall += by), now: () => ms }));
		} finally {
			Object.assign(window, { setTimeout: own.setTimeout, setInterval: own.setInterval, clearTimeout: own.clearTimeout, WebSocket: own.WebSocket });
			window.addEventListener = own.listen;
			document.addEventListener = own.on;
			performance.now = own.now;
			Date.now = own.date;
			Math.random = own.random;
		}
	})(%s, %g)`
	for _, c := range []struct{ name, scenario, want string }{
		{"it goes on", `({ pass, tries, link }) => (pass(60000), [tries.length, link.contact().live])`, `[1,true]`},
		{"unreachable for a minute", `({ pass, net, gaps, link, now }) => {
			pass(5000); net.up = false; pass(65000); const was = link.contact(), most = gaps(5000); net.up = true; pass(68000);
			return [was.live, Math.round(was.since), most <= 3000, link.contact().live]; }`, `[false,60,true,true]`},
		{"refused for a minute", `({ pass, net, gaps, link }) => {
			pass(5000); net.gone = true; pass(65000); const most = gaps(5000); net.gone = false; pass(68100);
			return [most <= 3000, link.contact().live]; }`, `[true,true]`},
		{"a daemon that hangs", `({ pass, net, link, gaps }) => {
			pass(5000); net.hangs = true; pass(25000); const was = link.contact(); net.hangs = false; pass(25500);
			return [was.live, was.since > 19, link.contact().live]; }`, `[false,true,true]`},
		{"the clock is set by hours", `({ pass, jump, link, tries }) => {
			pass(5000); jump(5 * 3600e3); pass(5300); const on = link.contact().live; jump(-9 * 3600e3); pass(9000);
			return [on, link.contact().live, tries.length]; }`, `[true,true,1]`},
		{"since when is not guessed after a sleep", `({ pass, net, jump, link }) => {
			pass(5000); net.up = false; pass(9000); const was = link.contact().since; jump(3600e3); pass(10000);
			return [was > 3, link.contact().since, link.contact().live]; }`, `[true,null,false]`},
		{"awake again it looks at once", `({ pass, net, heard, tries, link, now }) => {
			pass(5000); net.up = false; pass(7000); const before = tries.length; heard.pageshow.forEach((f) => f());
			return [tries.length - before, tries.at(-1) === now()]; }`, `[1,true]`},
	} {
		for _, luck := range []float64{0, 0.999} {
			if got := p.text(fmt.Sprintf(harness, c.scenario, luck)); got != c.want {
				t.Errorf("%s, with luck %g: got %s, want %s", c.name, luck, got, c.want)
			}
		}
	}
}

// relay stands between a tablet and the server, and can be cut like Wi-Fi: what was
// connected hears nothing any more and is not told.
type relay struct {
	net.Listener
	to string

	mu    sync.Mutex
	cut   bool
	conns []net.Conn
}

func newRelay(t *testing.T, to string) *relay {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	r := &relay{Listener: l, to: to}
	t.Cleanup(func() { l.Close(); r.set(false) })
	go func() {
		for {
			in, err := l.Accept()
			if err != nil {
				return
			}
			go r.pass(in)
		}
	}()
	return r
}

func (r *relay) pass(in net.Conn) {
	r.mu.Lock()
	r.conns = append(r.conns, in)
	cut := r.cut
	r.mu.Unlock()
	if cut {
		return // nobody answers
	}
	out, err := net.Dial("tcp", r.to)
	if err != nil {
		in.Close()
		return
	}
	r.mu.Lock()
	r.conns = append(r.conns, out)
	r.mu.Unlock()
	go func() { io.Copy(out, in); out.Close() }()
	buffer := make([]byte, 32<<10)
	for {
		n, err := out.Read(buffer)
		r.mu.Lock()
		cut := r.cut
		r.mu.Unlock()
		if cut {
			return
		}
		if n > 0 {
			if _, err := in.Write(buffer[:n]); err != nil {
				return
			}
		}
		if err != nil {
			in.Close()
			return
		}
	}
}

// set cuts it, or mends it; what hung meanwhile stays dead, as after a minute without Wi-Fi.
func (r *relay) set(cut bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.cut = cut
	if !cut {
		for _, c := range r.conns {
			c.Close()
		}
		r.conns = nil
	}
}

// TestWiFiDrops: the page says since when what it shows is old, and is back by itself.
func TestWiFiDrops(t *testing.T) {
	st := calmStory()
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{})}
	telling := p.server.tell(st)
	defer telling.stop()
	r := newRelay(t, p.server.at)
	p.do(chromedp.Navigate("http://" + r.Addr().String() + "/"))
	p.waitFor(`document.getElementById("time").textContent === "19:32"`)
	r.set(true)
	p.waitFor(`document.getElementById("line-said").textContent.startsWith("Not live. This picture is from 19:32:")`)
	r.set(false)
	p.waitFor(`document.getElementById("line").dataset.tone === "calm"`)
}

// TestAnotherVersionComes: the page fetches itself anew, once.
func TestAnotherVersionComes(t *testing.T) {
	st := calmStory()
	p := openPage(t, st, `sessionStorage.loads = 1 + Number(sessionStorage.loads || 0)`)
	p.story.stop()
	p.server.stop()
	next := serve(t, p.server.at, Options{Words: bilingual(t), Language: "de"}) // whose pages are others
	telling := next.tell(st)
	defer telling.stop()
	// What waits in a page goes with it when it renews itself.
	for {
		err := chromedp.Do(p.tab, chromedp.Poll[chromedp.Void](`sessionStorage.loads === "2" && document.getElementById("line")?.dataset.tone === "calm"`))
		if err == nil {
			break
		}
		if why := err.Error(); !strings.Contains(why, "navigated") && !strings.Contains(why, "context") {
			t.Fatal(err)
		}
	}
	telling.change(whisperStory().now)
	p.waitFor(`document.getElementById("line").dataset.tone === "whisper" && sessionStorage.loads === "2"`)
}

// TestTabletsClockIsWrong by hours: all that the page says is by the daemon's.
func TestTabletsClockIsWrong(t *testing.T) {
	p := openPage(t, calmStory(), `{ const own = Date.now; window.ahead = 5 * 3600e3; Date.now = () => own() + ahead; }`)
	const calm = `document.getElementById("line").dataset.tone === "calm" && document.getElementById("since").textContent.startsWith("since 19:17")`
	p.waitFor(calm)
	p.do(chromedp.Evaluate[chromedp.Void](`window.ahead = -4 * 3600e3; 0`))
	p.waitFor(calm)
	p.story.change(quietStory().now)
	p.waitFor(`document.getElementById("line-said").textContent.startsWith("The desk was last heard 27 s ago.")`)
	p.story.stop()
	p.server.stop()
	p.waitFor(`/This picture is from 19:32:\d\d/.test(document.getElementById("line-said").textContent)`)
}

// TestStaysAwake: it asks to be kept awake, and again when that was lost, and no more often.
func TestStaysAwake(t *testing.T) {
	p := openPage(t, calmStory(), `window.locks = [];
		Object.defineProperty(navigator, "wakeLock", { value: { request: async () => { const lock = new EventTarget(); lock.released = false; locks.push(lock); return lock; } } });
		window.lose = () => { locks.at(-1).released = true; locks.at(-1).dispatchEvent(new Event("release")); };`)
	defer p.story.stop()
	p.waitFor(`locks.length === 1 && document.getElementById("drowsy").hidden`)
	p.do(chromedp.Evaluate[chromedp.Void](`lose(); 0`))
	p.waitFor(`!document.getElementById("drowsy").hidden`)
	p.waitFor(`locks.length === 2 && document.getElementById("drowsy").hidden`)
	p.do(chromedp.Evaluate[chromedp.Void](`document.dispatchEvent(new Event("visibilitychange")); 0`))
	p.waitFor(`locks.length === 2`)
}

// TestInstalls: the browser itself finds nothing wrong with the manifest.
func TestInstalls(t *testing.T) {
	p := openPage(t, calmStory(), ``)
	defer p.story.stop()
	p.do(func(ctx context.Context, tab *chromedp.Target) (none chromedp.Void, err error) {
		got, err := cdp.Call(ctx, tab, page.GetAppManifest, page.GetAppManifestParams{})
		if err != nil {
			return none, err
		}
		for _, e := range got.Errors {
			t.Errorf("manifest: %s", e.Message)
		}
		if !strings.HasSuffix(got.URL, "/pawl.webmanifest") {
			t.Errorf("the manifest is %q", got.URL)
		}
		why, err := cdp.Call(ctx, tab, page.GetInstallabilityErrors, cdp.Empty{})
		if err != nil {
			return none, err
		}
		for _, e := range why.InstallabilityErrors {
			if e.ErrorID != "in-incognito" { // as every tab of a test is
				t.Errorf("it does not install: %s", e.ErrorID)
			}
		}
		return none, nil
	})
}
