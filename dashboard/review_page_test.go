package dashboard

import (
	"context"
	"flag"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// newReviewTest opens a page of a record as newPageTest does the operator's.
func newReviewTest(t *testing.T, path, shown string, review Review) pageTest {
	t.Helper()
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{Review: review})}
	p.watchConsole()
	p.do(chromedp.EmulateViewport(1180, 820), chromedp.Navigate(p.server.url()+path))
	p.waitFor(shown)
	return p
}

// wants compares what expressions say, in all of which the text has to be.
func (p pageTest) wants(all map[string]string) {
	p.Helper()
	for expression, want := range all {
		if got := strings.ReplaceAll(p.text(expression), "\u00a0", " "); !strings.Contains(got, want) {
			p.Errorf("%s is %q, want %q in it", expression, got, want)
		}
	}
}

// span waits until the view is from one second to another, by the page's address.
func (p pageTest) span(from, until int) {
	p.Helper()
	near := func(name string, want int) string {
		return fmt.Sprintf(`Math.abs(Number(new URLSearchParams(location.search).get(%q)) - %d) < 2`, name, want)
	}
	p.waitFor(near("from", from) + " && " + near("until", until))
}

func TestReviewList(t *testing.T) {
	p := newReviewTest(t, "review", listShown, of(madeEvening, ratchetEvening, madeEvening, wideEvening)(t))
	p.wants(map[string]string{
		`document.title`: "Review",
		`document.querySelector("h1").textContent`:                                               "Services at Harbour Hall",
		`[...document.querySelectorAll("#service-list h3")].map(e => e.textContent).join(" | ")`: "Sun, 22 February 2026, 18:30 | Harvest evening | Sun, 8 February 2026, 18:30 | Harvest evening",
		`document.querySelectorAll("#service-list li")[2].textContent`:                           "mixing: late team",
		`document.querySelectorAll("#service-list li")[1].textContent`:                           "Sun, 15 February 2026, 18:30–18:43 · 14 min",
		`document.querySelectorAll("#service-list a")[2].href`:                                   "/review/2",
		`document.getElementById("by-hand-press").textContent`:                                   "Begin one now",
	})
	p.waitFor(`!document.getElementById("trends").hidden && document.querySelectorAll(".trend").length === 3`)
	p.wants(map[string]string{
		`document.getElementById("trends-lead").textContent`: "Of the last 4 services",
		`document.querySelector(".trend").textContent`:       " of 4 services",
	})
	p.do(click("#by-hand-press"))
	p.waitFor(`document.getElementById("by-hand-refused").textContent.includes("The desk has not been heard yet")`)
	p.do(click(`#service-list li:nth-child(3) a`))
	p.waitFor(oneShown)
}

func TestReviewOfAService(t *testing.T) {
	p := newReviewTest(t, "review/2", oneShown, of(madeEvening, ratchetEvening, madeEvening)(t))
	p.waitFor(`document.getElementById("in-sight").textContent !== ""`) // which comes with the first picture
	p.wants(map[string]string{
		`document.title`: "Sun, 8 February 2026, 18:30 · Pawl",
		`document.getElementById("line").textContent`:        "mixing: late team",
		`document.getElementById("said-rows").textContent`:   "went up one after another",
		`document.getElementById("in-sight").textContent`:    "18:30:00–18:32:30, 3 min",
		`document.getElementById("band").textContent`:        "piano",
		`document.querySelector(".lane-note").textContent`:   "Never as much as 1 dB",
		`document.getElementById("band").innerText`:          "never moved:",
		`document.getElementById("timeline-told").innerText`: "Moved most: ",
	})
}

// TestReviewZooms does each with the keyboard, the wheel, the mouse and two fingers,
// and looks at the address that can be sent.
func TestReviewZooms(t *testing.T) {
	p := newReviewTest(t, "review/1?from=200&until=400", oneShown, of(madeEvening)(t))
	p.do(chromedp.Focus("#bands"))
	p.key("+")
	p.span(250, 350)
	p.key(kb.ArrowRight)
	p.span(260, 360)
	p.key(kb.ArrowLeft)
	p.span(250, 350)
	p.key(kb.End)
	p.span(740, 840)
	p.key(kb.Home)
	p.span(0, 100)
	p.key("-")
	p.span(0, 200)
	p.key("0")
	p.waitFor(`location.search === ""`)
	p.do(chromedp.Navigate(p.server.url() + "review/1?from=300&until=500"))
	p.waitFor(oneShown)
	p.waitFor(`document.fonts.status === "loaded" && document.getElementById("in-sight").textContent.startsWith("18:35:00–18:38:20")`)
	p.do(click("#zoom-in"))
	p.span(350, 450)
	p.do(click("#later"))
	p.span(400, 500)

	x, y, width := p.plot(".total .plot")
	p.do(wheel(x+width/2, y, -138.63), wheel(x+width/2, y, -138.63)) // e to the power of 2 × 138.63 × 0.0025 is 2
	p.span(425, 475)
	p.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMousePressed, x+width/2, y, pressed),
		chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x+width/2-40, y, pressed),
		chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x, y, pressed),
		chromedp.MouseEvent(input.DispatchMouseEventTypeMouseReleased, x, y, pressed))
	p.span(450, 500)
	p.do(touches(input.DispatchTouchEventTypeTouchStart, x+width/4, y, x+3*width/4, y),
		touches(input.DispatchTouchEventTypeTouchMove, x+3*width/8, y, x+5*width/8, y),
		touches(input.DispatchTouchEventTypeTouchEnd))
	p.span(425, 525)
	p.do(chromedp.Reload())
	p.waitFor(oneShown)
	p.span(425, 525)
}

// plot is where a plot lies: its left edge, the middle of its height, its width.
func (p pageTest) plot(selector string) (x, y, width float64) {
	p.Helper()
	got, err := chromedp.Run(p.tab, chromedp.Evaluate[[]float64](fmt.Sprintf(
		`(r => [r.left, r.top + r.height / 2, r.width])(document.querySelector(%q).getBoundingClientRect())`, selector)))
	if err != nil || len(got) != 3 {
		p.Fatal(got, err)
	}
	return got[0], got[1], got[2]
}

func pressed(e *input.DispatchMouseEventParams) {
	e.Button, e.Buttons, e.ClickCount = input.MouseButtonLeft, 1, 1
}

func wheel(x, y, by float64) chromedp.Action[chromedp.Void] {
	return chromedp.MouseEvent(input.DispatchMouseEventTypeMouseWheel, x, y, func(e *input.DispatchMouseEventParams) {
		e.DeltaX, e.DeltaY = 1e-6, by // a 0 would be left out, which the browser refuses
	})
}

// touches are fingers at pairs of x and y.
func touches(what input.DispatchTouchEventType, at ...float64) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		points := []*input.TouchPoint{}
		for i := 0; i < len(at); i += 2 {
			points = append(points, &input.TouchPoint{X: at[i], Y: at[i+1], ID: new(float64(i + 1))})
		}
		_, err := cdp.Call(ctx, t, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: what, TouchPoints: points})
		return err
	})
}

// TestReviewOpensAFinding: at its moment, with its arithmetic, and back closes it.
func TestReviewOpensAFinding(t *testing.T) {
	p := newReviewTest(t, "review/1", oneShown, of(ratchetEvening)(t))
	p.waitFor(`document.getElementById("finding").hidden`)
	p.do(click(".finding-row"))
	p.waitFor(`new URLSearchParams(location.search).get("finding") === "1" && document.activeElement.id === "finding"`)
	p.wants(map[string]string{
		`document.getElementById("finding-heading").textContent`: "went up one after another",
		`document.getElementById("finding-try").textContent`:     "Next time: Bring the band DCA down",
		`document.getElementById("finding-figures").textContent`: "from the faders",
		`document.getElementById("finding-facts").textContent`:   "piano up",
		`document.getElementById("finding-life").textContent`:    "Began",
		`document.getElementById("finding-when").textContent`:    "it was on the screen",
	})
	p.do(click("#finding-facts .moment"))
	p.waitFor(`document.getElementById("note-time").value === document.querySelector("#finding-facts .moment").textContent`)
	p.do(chromedp.NavigateBack())
	p.waitFor(`document.getElementById("finding").hidden && !location.search.includes("finding")`)
	p.do(chromedp.NavigateForward())
	p.waitFor(`!document.getElementById("finding").hidden`)
	p.key(kb.Escape)
	p.waitFor(`document.getElementById("finding").hidden && document.activeElement.dataset.number === "1"`)

	p.do(click("#whole"))
	p.waitFor(`!location.search.includes("from")`)
	x, y, width := p.plot(".told .plot")
	at := p.text(`fetch("/api/review/services/1").then(r => r.json()).then(o => String(o.timeline.told[0].from / o.timeline.length))`)
	var share float64
	if _, err := fmt.Sscan(at, &share); err != nil {
		t.Fatal(err)
	}
	p.do(chromedp.MouseClickXY(x+share*width, y))
	p.waitFor(`!document.getElementById("finding").hidden`)
}

func TestReviewKeepsNotes(t *testing.T) {
	p := newReviewTest(t, "review/1?from=0&until=60", oneShown, of(ratchetEvening)(t))
	p.waitFor(`document.fonts.status === "loaded" && document.getElementById("in-sight").textContent.startsWith("18:30:00–18:31:00")`)
	x, y, width := p.plot(".total .plot")
	p.do(chromedp.MouseClickXY(x+width*0.51, y))
	p.waitFor(`document.getElementById("note-time").value === "18:30:30" && document.getElementById("reading").textContent.startsWith("18:30:30")`)
	p.do(click("#note-text"))
	p.do(chromedp.KeyEvent("<i>more</i> piano"))
	p.key(kb.Enter)
	p.waitFor(`document.getElementById("note-list").innerText.includes("<i>more</i> piano") && document.getElementById("note-text").value === ""`)
	p.do(chromedp.Reload())
	p.waitFor(oneShown)
	p.waitFor(`document.querySelector("#note-list .moment").textContent === "18:30:30"`)
	p.do(click("#note-list .quiet"))
	p.waitFor(`document.getElementById("note-list").hidden`)
}

func TestReviewChanges(t *testing.T) {
	p := newReviewTest(t, "review/2", oneShown, of(madeEvening, ratchetEvening)(t))
	set := func(id, text string) {
		p.Helper()
		p.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`document.getElementById(%q).value = %q; 0`, id, text)))
	}
	p.do(click("#change summary"))
	set("name", "Second Sunday")
	p.do(click("#name-form button"))
	p.waitFor(`document.getElementById("title").textContent === "Second Sunday" && document.title.startsWith("Second Sunday")`)
	set("mixing", "the twins")
	p.do(click("#mixing-form button"))
	p.waitFor(`document.getElementById("line").textContent.includes("mixing: the twins")`)
	set("split-time", "23:59:00")
	p.do(click("#split-form button"))
	p.waitFor(`document.getElementById("change-refused").textContent === "That did not go through. Nothing of the service would be on one side of that moment."`)
	set("split-time", "18:31:00")
	p.do(click("#split-form button"))
	p.waitFor(`location.pathname === "/review/3" && ` + oneShown)
	p.do(click("#change summary"), click("#join-earlier"))
	p.waitFor(`document.getElementById("join-earlier").textContent === "Press again to join the two"`)
	p.do(click("#join-earlier"))
	p.waitFor(`location.pathname === "/review/2" && ` + oneShown)
	p.do(click("#change summary"), click("#delete"))
	p.waitFor(`document.getElementById("delete").textContent.startsWith("Press again")`)
	p.do(click("#delete"))
	p.waitFor(`location.pathname === "/review" && document.querySelectorAll("#service-list li").length === 1`)
}

func TestReviewSideBySide(t *testing.T) {
	p := newReviewTest(t, "review/1", oneShown, of(madeEvening, madeEvening, ratchetEvening)(t))
	choose := func(id, value string) {
		p.Helper()
		p.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`(s => { s.value = %q; s.dispatchEvent(new Event("change")); })(document.getElementById(%q))`, value, id)))
	}
	p.waitFor(`document.getElementById("beside").options.length === 3`)
	choose("beside", "2")
	p.waitFor(`location.search === "?beside=2" && document.querySelectorAll("#band-second canvas").length > 2`)
	p.wants(map[string]string{
		`[...document.getElementById("align").options].map(o => o.text).join()`: "the start,reel,the reading,slow air",
		`document.getElementById("second-title").textContent`:                   "Harvest evening · Sun, 8 February 2026",
	})
	choose("align", "2")
	p.waitFor(`location.search === "?beside=2&align=2"`)
	p.do(chromedp.Reload())
	p.waitFor(oneShown + ` && document.getElementById("beside").value === "2" && document.getElementById("align").value === "2"`)
	choose("beside", "0")
	p.waitFor(`location.search === "" && document.getElementById("second-place").hidden`)
	p.do(chromedp.NavigateBack())
	p.waitFor(`location.search === "?beside=2&align=2" && document.getElementById("beside").value === "2"`)
}

// What people wrote is text wherever it stands.
func TestReviewLetsNoHTMLIn(t *testing.T) {
	for path, shown := range map[string]string{"review": listShown, "review/1?finding=1&beside=2": oneShown} {
		p := newReviewTest(t, path, shown, of(hostile, hostile)(t))
		if got := p.text(`String(document.querySelectorAll("main img, main script, main i:not(.cursor), .lane-name b b").length)`); got != "0" {
			t.Errorf("%s: %s elements came out of names", path, got)
		}
		p.wants(map[string]string{`document.querySelector("main").textContent`: "<img src=x onerror=alert(1)>"})
	}
}

// TestReviewOutOfReach: what is there stays and can be moved in, the page says that it is
// old, and comes back by itself.
func TestReviewOutOfReach(t *testing.T) {
	review := of(madeEvening, madeEvening)(t)
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{Review: review})}
	p.do(chromedp.Navigate(p.server.url() + "review/1?from=100&until=200"))
	p.waitFor(oneShown + ` && document.getElementById("beside").options.length === 2`)
	p.server.stop()
	p.do(chromedp.Evaluate[chromedp.Void](`(s => { s.value = "2"; s.dispatchEvent(new Event("change")); })(document.getElementById("beside"))`))
	p.waitFor(`document.getElementById("old").textContent === "Pawl is out of reach. What you see is what was there. Trying again by itself."`)
	p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("zoom-out").click(); document.querySelector("#name-form button").click(); 0`))
	p.waitFor(`document.getElementById("in-sight").textContent.startsWith("18:30:50")`)
	p.waitFor(`document.getElementById("change-refused").textContent === "That did not go through. Pawl is out of reach."`)
	again := serve(t, p.server.at, Options{Review: review})
	defer again.stop()
	p.do(chromedp.Evaluate[chromedp.Void](`dispatchEvent(new Event("online")); 0`))
	p.waitFor(`document.getElementById("old").hidden`)
	p.do(chromedp.Navigate(p.server.url() + "review"))
	p.waitFor(listShown)
	again.stop()
	p.do(chromedp.Evaluate[chromedp.Void](`dispatchEvent(new Event("online")); 0`))
	p.waitFor(`document.getElementById("old").textContent.startsWith("Pawl is out of reach.") && document.querySelectorAll("#service-list li").length === 2`)
}

// Every state, on every screen and on the narrowest that WCAG 2.2 asks for (1.4.10),
// fits its width, and axe-core finds nothing.
func TestReviewStories(t *testing.T) {
	t.Parallel()
	ctx := newBrowser(t)
	for _, st := range reviewStories() {
		t.Run(st.name, func(t *testing.T) {
			s := serve(t, "127.0.0.1:0", Options{Review: st.review(t)})
			tab, closeTab := chromedp.NewContext(ctx)
			defer closeTab()
			p := pageTest{T: t, tab: tab, server: s}
			p.do(chromedp.EmulateViewport(1180, 820), chromedp.Navigate(s.url()+st.path))
			p.waitFor(st.shown)
			onEach(t, tab, screens, "review-"+st.name, func(t *testing.T) { pageTest{T: t, tab: tab}.checkTargets() })
			p.do(chromedp.EmulateViewport(320, 640), drawn, chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("details").forEach(d => d.open = true); 0`))
			checkFits(t, tab)
			p.checkTargets()
			// So long a screen that what is under the foot now, and would be scrolled out from
			// under it, is not taken for a target that something covers.
			p.do(chromedp.EmulateViewport(320, 6000), drawn)
			p.checkAxe(axeSource(t))
		})
	}
}

// TestReviewForcedColours: what is drawn keeps its own ground, so that it is seen.
func TestReviewForcedColours(t *testing.T) {
	p := newReviewTest(t, "review/1", oneShown, of(ratchetEvening)(t))
	p.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "forced-colors", Value: "active"}}})
		return err
	}))
	p.waitFor(`matchMedia("(forced-colors: active)").matches && getComputedStyle(document.querySelector(".plot")).backgroundColor === "rgb(21, 17, 13)"`)
}

var frames = flag.Int("frames", 0, "pan over 90 minutes of 32 inputs for so many frames, and print what they took")

// TestReviewFrames is a measure and no test: it pans and zooms over a long service with
// all of its movers in sight, and prints the browser's own figures:
//
//	go test ./dashboard -run TestReviewFrames -frames 300 -v
func TestReviewFrames(t *testing.T) {
	if *frames == 0 {
		t.Skip("-frames was not given")
	}
	p := newReviewTest(t, "review/1?from=600&until=1500", oneShown, of(func(testing.TB) recorded { return made(90, 32) })(t))
	p.do(click(".more"))
	p.waitFor(`document.querySelectorAll(".stairs").length === 32`)
	for _, how := range []struct{ name, wheel string }{
		{"pan", `{deltaX: 6 * (i % 200 < 100 ? 1 : -1)}`}, {"zoom", `{deltaY: 12 * (i % 200 < 100 ? 1 : -1)}`},
	} {
		before := p.metrics()
		times := p.text(fmt.Sprintf(`new Promise(done => {
			const plot = document.querySelector(".total .plot"), r = plot.getBoundingClientRect(), at = [];
			const next = i => requestAnimationFrame(t => {
				at.push(t);
				if (i === %d) return done(at.slice(1).map((t, i) => t - at[i]).sort((a, b) => a - b).join(" "));
				plot.dispatchEvent(new WheelEvent("wheel", {bubbles: true, cancelable: true, clientX: r.left + r.width / 2, clientY: r.top + 10, ...%s}));
				next(i + 1);
			});
			next(0);
		})`, *frames, how.wheel))
		after := p.metrics()
		all := strings.Fields(times)
		t.Logf("%s: from frame to frame median %s ms, 95th percentile %s, longest %s", how.name, all[len(all)/2], all[len(all)*95/100], all[len(all)-1])
		for _, name := range []string{"TaskDuration", "ScriptDuration", "LayoutDuration", "RecalcStyleDuration"} {
			t.Logf("  %s %.2f ms a frame", name, 1000*(after[name]-before[name])/float64(*frames))
		}
	}
}

// metrics are the browser's own counts of the page.
func (p pageTest) metrics() map[string]float64 {
	p.Helper()
	all := map[string]float64{}
	p.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		if _, err := cdp.Call(ctx, t, performance.Enable, performance.EnableParams{}); err != nil {
			return err
		}
		got, err := cdp.Call(ctx, t, performance.GetMetrics, cdp.Empty{})
		for _, m := range got.Metrics {
			all[m.Name] = m.Value
		}
		return err
	}))
	return all
}
