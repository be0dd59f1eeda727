package dashboard

import (
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/gorilla/websocket"

	"pawl/dashboard/keys"
	"pawl/rules"
)

// newKeys is a file of keys for a test.
func newKeys(t *testing.T) *keys.File {
	return keys.Open(filepath.Join(t.TempDir(), "hall.keys"), nil)
}

func keyFor(t *testing.T, f *keys.File, may keys.Role) string {
	t.Helper()
	secret, _, err := f.Make(may, may.String())
	if err != nil {
		t.Fatal(err)
	}
	return secret
}

// from asks from an address, as whoever has the key.
func from(s *Server, remote, secret, method, path, body string, change ...func(*http.Request)) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, "http://192.0.2.20:10780"+path, strings.NewReader(body))
	r.RemoteAddr = remote
	if secret != "" {
		r.AddCookie(&http.Cookie{Name: keyCookie(r), Value: secret})
	}
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	for _, c := range change {
		c(r)
	}
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, r)
	return w
}

const (
	here = "127.0.0.1:40000"
	far  = "192.0.2.7:40000"
)

// TestWhoMaySee holds every address to the role that it takes: a page sends whoever lacks it
// to where a key is got, and all else refuses.
func TestWhoMaySee(t *testing.T) {
	f := newKeys(t)
	s := New(Options{Keys: f, Metrics: http.NotFoundHandler(), Press: func(rules.Press) error { return nil }})
	secrets := []string{"", keyFor(t, f, keys.Watch), keyFor(t, f, keys.Coach), keyFor(t, f, keys.Installer)}
	for _, c := range []struct {
		method, path string
		least        keys.Role
		page         bool
	}{
		{"GET", "/", keys.Watch, true}, {"GET", "/coach", keys.Coach, true}, {"GET", "/setup", keys.Installer, true}, {"GET", "/review", keys.Watch, true},
		{"GET", "/review/3", keys.Watch, true}, {"GET", "/linecheck", keys.Watch, true}, {"GET", "/sheet", keys.Watch, true},
		{"GET", "/live", keys.Watch, false}, {"GET", "/live?as=coach", keys.Coach, false}, {"GET", "/api/state", keys.Watch, false}, {"GET", "/api/state?as=coach", keys.Coach, false},
		{"GET", "/api/setup", keys.Installer, false}, {"POST", "/api/segment", keys.Watch, false}, {"GET", "/api/review/services", keys.Watch, false},
		{"GET", "/api/review/services/3", keys.Watch, false}, {"GET", "/api/review/services/3/curves", keys.Watch, false}, {"GET", "/api/review/weeks", keys.Watch, false},
		{"POST", "/api/review/services", keys.Coach, false}, {"POST", "/api/review/services/3", keys.Coach, false},
		{"GET", "/api/linecheck", keys.Watch, false}, {"POST", "/api/linecheck", keys.Watch, false}, {"POST", "/api/review/services/3/otherwise", keys.Coach, false},
		{"GET", "/metrics", keys.Watch, false}, {"GET", "/api/may", keys.Watch, false}, {"GET", "/api/keys", keys.Installer, false}, {"POST", "/api/keys", keys.Installer, false},
		{"GET", "/pair", keys.Nobody, true}, {"POST", "/api/pair", keys.Nobody, false}, {"GET", "/healthz", keys.Nobody, false}, {"GET", "/readyz", keys.Nobody, false},
		{"GET", "/assets/" + s.assets.hash + "/icon.svg", keys.Nobody, false},
	} {
		body := ""
		if c.method == "POST" {
			body = `{"do":"nonsense"}`
		}
		for role, secret := range secrets {
			w := from(s, far, secret, c.method, c.path, body)
			refused := w.Code == http.StatusUnauthorized || w.Code == http.StatusForbidden && c.path != "/api/pair" || w.Code == http.StatusSeeOther
			if refused != (keys.Role(role) < c.least) {
				t.Errorf("%s %s with %q: %d", c.method, c.path, keys.Role(role), w.Code)
			}
			if at := w.Header().Get("Location"); refused && c.page && !strings.HasPrefix(at, "/pair?") {
				t.Errorf("%s with %q leads to %q, want to where a key is got", c.path, keys.Role(role), at)
			}
		}
		if w := from(s, here, "", c.method, c.path, body); w.Code == http.StatusUnauthorized || w.Code == http.StatusSeeOther {
			t.Errorf("%s %s on this machine: %d", c.method, c.path, w.Code)
		}
	}
}

// On this machine is who connects to it here, and for nobody else.
func TestOnThisMachine(t *testing.T) {
	s := New(Options{Keys: newKeys(t)})
	for _, c := range []struct {
		remote, header string
		want           int
	}{
		{"127.0.0.1:1", "", 200}, {"[::1]:1", "", 200}, {"127.9.9.9:1", "", 200}, {"[::ffff:127.0.0.1]:1", "", 200},
		{"192.0.2.7:1", "", 401}, {"[fe80::1%eth0]:1", "", 401}, {"[::ffff:192.0.2.7]:1", "", 401}, {"", "", 401}, {"@", "", 401}, {"localhost:1", "", 401},
		{"127.0.0.1:1", "X-Forwarded-For", 401}, {"127.0.0.1:1", "Forwarded", 401}, {"127.0.0.1:1", "X-Real-IP", 401}, {"127.0.0.1:1", "Via", 401},
	} {
		w := from(s, c.remote, "", "GET", "/api/state", "", func(r *http.Request) {
			if c.header != "" {
				r.Header.Set(c.header, "127.0.0.1")
			}
		})
		if w.Code != c.want {
			t.Errorf("%s with %q: %d, want %d", c.remote, c.header, w.Code, c.want)
		}
	}
}

// A machine brings its key as a bearer (RFC 6750).
func TestBearer(t *testing.T) {
	f := newKeys(t)
	s := New(Options{Keys: f})
	secret := keyFor(t, f, keys.Watch)
	for given, want := range map[string]int{"Bearer " + secret: 200, "bearer " + secret: 200, "Basic " + secret: 401, secret: 401, "Bearer ": 401, "Bearer x": 401} {
		w := from(s, far, "", "GET", "/api/state", "", func(r *http.Request) { r.Header.Set("Authorization", given) })
		if w.Code != want || want == 401 && !strings.HasPrefix(w.Header().Get("WWW-Authenticate"), "Bearer") {
			t.Errorf("%.10q: %d, want %d", given, w.Code, want)
		}
	}
}

// A code becomes a key in a cookie that no script and no other site can use.
func TestPair(t *testing.T) {
	f := newKeys(t)
	s := New(Options{Keys: f})
	c, err := f.Invite(keys.Coach, "tablet")
	if err != nil {
		t.Fatal(err)
	}
	w := from(s, far, "", "POST", "/api/pair", `{"code":"`+strings.ToLower(c.Text)+`"}`)
	var a paired
	if err := json.Unmarshal(w.Body.Bytes(), &a); err != nil || w.Code != 200 || a != (paired{May: "coach"}) {
		t.Fatalf("paired: %d %+v, %v", w.Code, a, err)
	}
	cookie := w.Result().Cookies()[0]
	if cookie.Name != "pawl-key-10780" || !cookie.HttpOnly || cookie.SameSite != http.SameSiteLaxMode || cookie.Path != "/" || cookie.MaxAge < 365*24*3600 || cookie.Secure {
		t.Errorf("the cookie is %v", cookie)
	}
	if strings.Contains(w.Body.String(), cookie.Value) {
		t.Error("a script can read the key")
	}
	if got := from(s, far, cookie.Value, "GET", "/coach", ""); got.Code != 200 || len(got.Result().Cookies()) != 1 || got.Result().Cookies()[0].Value != cookie.Value {
		t.Errorf("the page with it: %d, and the cookie is not begun anew: %v", got.Code, got.Result().Cookies())
	}
	for body, want := range map[string]int{
		`{"code":"AAAA-AAAA"}`: 403, `{"code":""}`: 403, `{}`: 403, `{"code":1}`: 400, `{"code":"x"}{}`: 400, `[`: 400, `{"code":"` + strings.Repeat("A", readLimit) + `"}`: 413,
	} {
		if w := from(s, "192.0.2.8:1", "", "POST", "/api/pair", body); w.Code != want {
			t.Errorf("%.30s: %d, want %d", body, w.Code, want)
		}
	}
	crossed := from(s, far, "", "POST", "/api/pair", `{"code":"`+c.Text+`"}`, func(r *http.Request) { r.Header.Set("Origin", "http://elsewhere.example") })
	if crossed.Code != http.StatusForbidden || len(crossed.Result().Cookies()) > 0 {
		t.Errorf("a page from elsewhere pairs: %d", crossed.Code)
	}
}

// Whoever guesses is slowed down, by address and in all, and whoever has a key is not.
func TestGuessesAreSlow(t *testing.T) {
	f := newKeys(t)
	s := New(Options{Keys: f})
	tries := 0
	for range 100 {
		if w := from(s, far, "", "POST", "/api/pair", `{"code":"AAAA-AAAA"}`); w.Code == http.StatusForbidden {
			tries++
		}
	}
	if tries < 1 || tries > guessesEachBurst+2 {
		t.Errorf("%d of 100 codes from one address were tried, want some %d", tries, guessesEachBurst)
	}
	good, err := f.Invite(keys.Watch, "")
	if err != nil {
		t.Fatal(err)
	}
	if w := from(s, far, "", "POST", "/api/pair", `{"code":"`+good.Text+`"}`); w.Code != http.StatusTooManyRequests || w.Header().Get("Retry-After") == "" {
		t.Errorf("a code is looked at after all: %d", w.Code)
	}
	if w := from(s, "192.0.2.9:1", "", "POST", "/api/pair", `{"code":"`+good.Text+`"}`); w.Code != 200 {
		t.Errorf("another screen cannot pair: %d", w.Code)
	}
	if w := from(s, far, "wrong", "GET", "/api/state", ""); w.Code != http.StatusTooManyRequests {
		t.Errorf("wrong keys are not counted among the guesses: %d", w.Code)
	}
	if w := from(s, far, keyFor(t, f, keys.Watch), "GET", "/api/state", ""); w.Code != 200 {
		t.Errorf("whoever guesses beside a good screen keeps it out: %d", w.Code)
	}
	tries = 0
	for i := range 4 * guessesInAllBurst {
		if w := from(s, fmt.Sprintf("[2001:db8:0:%x::%x]:1", i, i), "", "POST", "/api/pair", `{"code":"AAAA-AAAA"}`); w.Code == http.StatusForbidden {
			tries++
		}
	}
	if tries > guessesInAllBurst+10 {
		t.Errorf("%d codes of as many networks were tried, want at most some %d", tries, guessesInAllBurst)
	}
}

// The addresses whose guesses are counted are so many and no more, and a network of IPv6 is one.
func TestLimitersAreBounded(t *testing.T) {
	l := newLimiters(1, 1)
	for i := range 5 * mostAddresses {
		l.of(fmt.Sprintf("[2001:db8:%x::1]:1", i))
	}
	if len(l.from) > mostAddresses {
		t.Errorf("%d are kept, want at most %d", len(l.from), mostAddresses)
	}
	if l.of("[2001:db8::1]:1") != l.of("[2001:db8::ffff:2%eth0]:2") || l.of("192.0.2.1:1") == l.of("192.0.2.2:1") {
		t.Error("a network of IPv6 is counted by its addresses, or two of IPv4 as one")
	}
}

// farListener hears connections from here as if they came from elsewhere.
type farListener struct{ net.Listener }

type farConn struct{ net.Conn }

func (l farListener) Accept() (net.Conn, error) {
	c, err := l.Listener.Accept()
	if err != nil {
		return nil, err
	}
	return farConn{c}, nil
}

func (farConn) RemoteAddr() net.Addr { return &net.TCPAddr{IP: net.IPv4(192, 0, 2, 7), Port: 40000} }

func serveFar(t *testing.T, o Options) serving {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	return serveOn(t, farListener{l}, o)
}

// A screen whose key is taken away while it looks is sent away, by whoever it was, and a coach's
// press takes a coach's key.
func TestRevokedWhileLooking(t *testing.T) {
	f := newKeys(t)
	s := serveFar(t, Options{Keys: f, Press: func(rules.Press) error { return nil }})
	secret := keyFor(t, f, keys.Watch)
	_, port, _ := net.SplitHostPort(s.at)
	dial := func() (*websocket.Conn, *http.Response, error) {
		return websocket.DefaultDialer.Dial("ws://"+s.at+"/live", http.Header{"Cookie": {"pawl-key-" + port + "=" + secret}})
	}
	conn, _, err := dial()
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	hear(t, conn)
	for press, want := range map[rules.Do]string{rules.Tell: "coach's key", rules.SetMark: ""} {
		if err := conn.WriteJSON(rules.Press{Do: press, Text: "well done"}); err != nil {
			t.Fatal(err)
		}
		var a answer
		if err := conn.ReadJSON(&a); err != nil || want == "" && a.Refused != "" || !strings.Contains(a.Refused, want) {
			t.Errorf("%s: %+v, %v; want %q", press, a, err, want)
		}
	}
	all, err := f.Keys()
	if err != nil {
		t.Fatal(err)
	}
	// Another process does it, as pawl keys would.
	if err := keys.Open(f.Name(), nil).Revoke(all[0].ID); err != nil {
		t.Fatal(err)
	}
	_, _, err = conn.ReadMessage()
	var closed *websocket.CloseError
	if !errors.As(err, &closed) || closed.Code != websocket.ClosePolicyViolation {
		t.Errorf("it ends by %v, want a close for the policy", err)
	}
	if _, r, err := dial(); err == nil || r.StatusCode != http.StatusUnauthorized {
		t.Errorf("and comes back: %v", err)
	}
}

// TestDrawn has a program that is not ours read our QR codes (ISO/IEC 18004).
func TestDrawn(t *testing.T) {
	read, err := exec.LookPath("zbarimg")
	if err != nil {
		if os.Getenv("PAWL_REQUIRE_PEERS") != "" {
			t.Fatal("zbarimg is required here: install Debian's zbar-tools")
		}
		t.Skip("zbarimg is not installed (Debian's zbar-tools)")
	}
	for _, page := range []string{"http://192.0.2.20:10780/", "https://[2001:db8:1234:5678:9abc:def0:1234:5678]:10780/", "http://sound-desk.hall.example:80/"} {
		want := PairAt(page, "K7QF-2MXD")
		rows, err := Drawn(want)
		if err != nil {
			t.Fatal(err)
		}
		const dot, margin = 4, 4
		picture := image.NewGray(image.Rect(0, 0, dot*(len(rows)+2*margin), dot*(len(rows)+2*margin)))
		for y := range picture.Rect.Dy() {
			for x := range picture.Rect.Dx() {
				picture.Set(x, y, color.White)
				if i, j := y/dot-margin, x/dot-margin; i >= 0 && i < len(rows) && j >= 0 && j < len(rows) && rows[i][j] == '1' {
					picture.Set(x, y, color.Black)
				}
			}
		}
		name := filepath.Join(t.TempDir(), "code.png")
		to, err := os.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(png.Encode(to, picture), to.Close()); err != nil {
			t.Fatal(err)
		}
		if got, err := exec.Command(read, "--quiet", "--raw", name).Output(); err != nil || strings.TrimSpace(string(got)) != want {
			t.Errorf("read as %q, want %q (%v)", got, want, err)
		}
	}
}

// TestPairingPage pairs a screen in a browser: from a page that it may not see, by a code
// that is typed wrongly first, to that page; then by the address of a QR code; then its key
// is taken away while it looks.
func TestPairingPage(t *testing.T) {
	f := newKeys(t)
	p := pageTest{T: t, tab: newBrowser(t), server: serveFar(t, Options{Keys: f})}
	defer p.server.tell(calmStory()).stop()
	p.do(chromedp.EmulateViewport(390, 844), chromedp.Navigate(p.server.url()+"review"))
	p.waitFor(`location.pathname === "/pair" && document.activeElement.id === "code"`)
	p.checkPairing("pair")
	p.do(chromedp.KeyEvent("aaaa-aaaa"), chromedp.KeyEvent(kb.Enter))
	p.waitFor(`document.getElementById("refused").textContent.includes("not good")`)
	p.checkPairing("pair-refused")
	c, err := f.Invite(keys.Watch, "phone")
	if err != nil {
		t.Fatal(err)
	}
	p.do(chromedp.KeyEvent(strings.ToLower(c.Text)), chromedp.KeyEvent(kb.Enter))
	p.waitFor(`location.pathname === "/review"`)
	p.do(chromedp.Navigate(p.server.url() + "coach"))
	p.waitFor(`location.pathname === "/pair" && document.getElementById("why").textContent.includes("coach's key")`)
	p.checkPairing("pair-coach")
	if c, err = f.Invite(keys.Coach, "phone"); err != nil {
		t.Fatal(err)
	}
	// A second address of the same page changes only what is behind the #, and loads nothing.
	p.do(chromedp.Navigate("about:blank"), chromedp.Navigate(PairAt(p.server.url(), c.Text)))
	p.waitFor(`location.pathname === "/coach" && !location.href.includes("#")`)
	all, err := f.Keys()
	if err != nil || len(all) != 2 {
		t.Fatalf("%d keys, %v; want 2", len(all), err)
	}
	coachs := slices.IndexFunc(all, func(k keys.Key) bool { return k.May == keys.Coach }) // both may be of one second
	if err := f.Revoke(all[coachs].ID); err != nil {
		t.Fatal(err)
	}
	p.waitFor(`location.pathname === "/pair" && location.search.includes("coach")`)
}

// checkPairing holds a state of the page that pairs to what every page is held to.
func (p pageTest) checkPairing(name string) {
	p.Helper()
	for _, screen := range screens {
		p.do(chromedp.EmulateViewport(screen.width, screen.height), drawn)
		checkFits(p.T, p.tab)
		p.checkTargets()
		if *storiesDir != "" {
			shoot(p.T, p.tab, filepath.Join(*storiesDir, name+"-"+screen.name+".png"))
		}
	}
	p.do(chromedp.EmulateViewport(390, 844), drawn)
	p.checkAxe(axeSource(p.T))
}

// TestScreensOnSetup: the installer's page invites, draws the code, and takes keys away.
func TestScreensOnSetup(t *testing.T) {
	f := newKeys(t)
	halls := &hall{now: liveSetup().setup}
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{Keys: f, Setup: halls.setup, Tablets: func() []string { return []string{"http://192.0.2.20:10780/"} }})}
	p.watchConsole()
	keyFor(t, f, keys.Coach)
	p.do(chromedp.EmulateViewport(1180, 820), chromedp.Navigate(p.server.url()+"setup"))
	p.waitFor(`document.querySelectorAll("#keys li").length === 1 && document.getElementById("screens-local").hidden`)
	p.do(click("#invite-called"), chromedp.KeyEvent("tablet at the desk"), click("#invite button"))
	p.waitFor(`document.getElementById("offered").checkVisibility()`)
	for _, screen := range screens {
		p.do(chromedp.EmulateViewport(screen.width, screen.height), drawn)
		checkFits(t, p.tab)
		p.checkTargets()
		if *storiesDir != "" {
			p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("screens").scrollIntoView(); 0`), drawn)
			shoot(t, p.tab, filepath.Join(*storiesDir, "setup-screens-"+screen.name+".png"))
		}
	}
	p.do(chromedp.EmulateViewport(1180, 820), drawn)
	p.checkAxe(axeSource(t))
	code := p.text(`document.getElementById("offered-code").textContent`)
	if _, k, err := f.Accept(code); err != nil || k.May != keys.Watch || k.Called != "tablet at the desk" {
		t.Errorf("the code on the page gives %+v, %v", k, err)
	}
	p.do(click("#keys li:first-child button"), click("#keys li:first-child button"))
	p.waitFor(`document.querySelectorAll("#keys li").length === 1 && document.querySelector("#keys li b").textContent.startsWith("tablet at the desk")`)
	if all, err := f.Keys(); err != nil || len(all) != 1 || all[0].May != keys.Watch {
		t.Errorf("left are %+v, %v", all, err)
	}
}
