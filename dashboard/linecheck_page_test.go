package dashboard

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"pawl/rules"
	"pawl/rules/desk"
)

// newLineTest opens the line check's page on s as newPageTest does the operator's.
func newLineTest(t *testing.T, s *stage) pageTest {
	t.Helper()
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{LineCheck: s.lineCheck, Press: s.press})}
	p.watchConsole()
	p.do(chromedp.EmulateViewport(390, 844), chromedp.Navigate(p.server.url()+"linecheck"), lineShown)
	return p
}

// asks waits until the page asks for somebody.
func (p pageTest) asks(who string) {
	p.Helper()
	p.waitFor(fmt.Sprintf(`document.getElementById("asked-name").textContent === %q`, who))
}

// A whole line check with one hand: begun, heard, put off, mended, left, ended.
func TestLineCheckOnAPhone(t *testing.T) {
	s := metered(rosterOf(4, "player %d"))
	s.hear(desk.InputMute, 1, 1)
	p := newLineTest(t, s)
	p.waitFor(`document.getElementById("start-words").textContent.startsWith("4 inputs, about 1 minute.")`)
	p.do(click("#begin"))
	p.asks("player 1")
	p.waitFor(`document.getElementById("asked-do").textContent === "Ask for 10 seconds." && !document.getElementById("enough").classList.contains("first")`)
	s.do(func(s *stage) { s.play(0, -18, 4*time.Second) })
	p.waitFor(`document.getElementById("asked-do").textContent === "Hearing it: 4 of 10 s."`)
	p.waitFor(`document.querySelectorAll("#seconds [data-heard]").length === 4 && document.getElementById("asked-level").textContent.endsWith("where it should be.")`)
	s.do(func(s *stage) { s.plays(0, -18, 6*time.Second) })
	p.asks("player 2")
	p.waitFor(`[...document.querySelectorAll("#announce p")].at(-1).textContent === "player 1 is done. Next: player 2."`)
	s.do(func(s *stage) { s.plays(1, -18, 10*time.Second) })
	p.asks("player 3")
	p.waitFor(`document.querySelector("#mend li")?.textContent.includes("It is muted. Unmute it before the service.")`)
	p.do(click("#later"))
	p.asks("player 4")
	p.waitFor(`document.querySelector("#waiting li")?.textContent.includes("put off")`)
	s.do(func(s *stage) { s.play(3, -6, 11*time.Second) })
	p.waitFor(`document.querySelector("#asked-remarks .try")?.textContent === "Lower its gain by 7.0 dB." && document.getElementById("enough").classList.contains("first")`)
	p.do(click("#enough"))
	p.asks("player 3")
	s.do(func(s *stage) { s.hear(desk.InputMute, 1, 0); s.pass(desk.Beat) })
	p.waitFor(`document.getElementById("mend").hidden && document.querySelector("#done small").textContent === "3"`)
	p.waitFor(`document.title === "3 of 4 done · Line check · Pawl"`)
	p.do(click("#end"))
	p.waitFor(`document.getElementById("last-words").textContent.includes("3 of 4 inputs heard, 2 of them with nothing to mend.") && document.getElementById("last-words").textContent.includes("Not heard: player 3.")`)
	p.waitFor(`document.activeElement.id === "last" || document.activeElement === document.body`)
	p.do(click("#begin"))
	p.asks("player 1")
}

// Two people look at once: what one presses the other sees, and who comes second is told.
func TestLineCheckForTwo(t *testing.T) {
	s := on(metered(rosterOf(3, "player %d")))
	// Without a watch on the console: a browser notes there that a press was refused.
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{LineCheck: s.lineCheck, Press: s.press})}
	p.do(chromedp.EmulateViewport(390, 844), chromedp.Navigate(p.server.url()+"linecheck"), lineShown)
	p.asks("player 1")
	tab, closeTab := chromedp.NewContext(p.tab)
	defer closeTab()
	other := p
	other.tab = tab
	other.do(chromedp.Navigate(p.server.url()+"linecheck"), lineShown)
	other.asks("player 1")
	other.do(click("#later"))
	p.asks("player 2")
	if err := s.press(rules.Press{Do: rules.LineLater, Number: 1}); !errors.Is(err, rules.ErrNotAsked) {
		t.Errorf("got %v, want it to be told that another is asked for", err)
	}
	p.do(click(`#waiting li:last-child button`))
	other.asks("player 3")
	other.waitFor(`document.getElementById("refused").hidden`)
	s.do(func(s *stage) { s.j.Press(rules.Press{Do: rules.LineCheck}) })
	// The page still shows the check when this is pressed, or it does not any more.
	p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("later").click()`))
	p.waitFor(`document.getElementById("refused").textContent === "That did not go through: no line check is on."`)
}

// What needs no meter is looked at, and the page says that it hears nobody.
func TestLineCheckWithoutMeters(t *testing.T) {
	s := newStage(rosterOf(2, "player %d"))
	s.hear(desk.InputMute, 1, 1)
	p := newLineTest(t, on(s))
	p.waitFor(`document.getElementById("basis").textContent.startsWith("Pawl hears no levels from this desk.")`)
	p.asks("Look at each input")
	p.waitFor(`document.querySelectorAll("#unmetered .input").length === 2 && document.querySelectorAll("#unmetered .remark").length === 1`)
	p.do(click("#unmetered .input:first-child button"))
	p.waitFor(`document.querySelectorAll("#unmetered .input").length === 1 && document.activeElement.id === "asked"`)
	p.do(click("#finish"))
	p.waitFor(`document.getElementById("last-words").textContent.includes("Without a level on the desk: player 1 and player 2.")`)
}

// The daemon hangs, stops and comes back: the page says since when it is old.
func TestLineCheckSaysWhenItIsOld(t *testing.T) {
	s := on(metered(rosterOf(3, "player %d")))
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{LineCheck: s.lineCheck, Press: s.press})}
	p.do(chromedp.Navigate(p.server.url()+"linecheck"), lineShown)
	const old = `document.getElementById("old").textContent.startsWith("Not live. ")`
	s.do(func(s *stage) { s.hung = true })
	p.waitFor(old)
	s.do(func(s *stage) { s.hung = false })
	p.waitFor(`document.getElementById("old").hidden`)
	p.server.stop()
	p.waitFor(old)
	p.do(click("#later"))
	p.waitFor(`document.getElementById("refused").textContent === "That did not go through: Pawl is out of reach just now."`)
	s.do(func(s *stage) { s.j.Press(rules.Press{Do: rules.LineDone, Number: 1}); s.pass(desk.Beat) })
	again := serve(t, p.server.at, Options{LineCheck: s.lineCheck, Press: s.press})
	p.asks("player 2")
	p.waitFor(`document.getElementById("old").hidden`)
	again.stop()
}

func TestLineCheckByKeyboard(t *testing.T) {
	s := on(metered(rosterOf(3, "player %d")))
	p := newLineTest(t, s)
	p.do(chromedp.Focus("#waiting li:last-child button"))
	p.waitFor(`document.activeElement.ariaLabel === "Ask now: player 3"`)
	p.key(kb.Enter)
	p.asks("player 3")
	p.waitFor(`document.activeElement.id === "asked"`)
	p.do(chromedp.Focus("#later"))
	p.key(kb.Enter)
	p.asks("player 1")
	p.waitFor(`document.activeElement.id === "later" && document.activeElement.matches(":focus-visible")`)
}

func TestLineCheckSaysWhyThereIsNone(t *testing.T) {
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{})}
	p.do(chromedp.Navigate(p.server.url() + "linecheck"))
	p.waitFor(`document.getElementById("trouble").textContent === "This Pawl has no line check." && document.getElementById("old").hidden`)
}

func TestWatchLeadsToTheLineCheck(t *testing.T) {
	s := metered(rosterOf(3, "player %d"))
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{LineCheck: s.lineCheck})}
	p.watchConsole()
	p.do(chromedp.EmulateViewport(1180, 820), chromedp.Navigate(p.server.url()))
	p.do(click("#pages summary"), click(`footer a[href="/linecheck"]`))
	p.waitFor(`location.pathname === "/linecheck" && document.getElementById("linecheck").checkVisibility()`)
}

// In every state: nothing is too small to touch, and axe-core finds nothing.
func TestLineCheckAxe(t *testing.T) {
	t.Parallel()
	axe := ""
	t.Run("have", func(t *testing.T) { axe = axeSource(t) })
	for _, st := range lineStories() {
		t.Run(st.name, func(t *testing.T) {
			p := newLineTest(t, st.make())
			if st.then == "done" {
				p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("done").open = true`))
			}
			p.checkTargets()
			if axe != "" {
				p.checkAxe(axe)
			}
		})
	}
}

// Every story, as it really leaves the server.
func TestLineCheckKeepsToTheSchema(t *testing.T) {
	form := schema(t, "#/$defs/LineAnswer")
	for _, st := range lineStories() {
		w := ask(New(Options{LineCheck: st.make().lineCheck}), "localhost", "/api/linecheck")
		if w.Code != 200 || w.Header().Get("Cache-Control") != "no-store" {
			t.Errorf("%s: got %d, %v", st.name, w.Code, w.Header())
		}
		checkJSON(t, form, w.Body.Bytes())
	}
	for status, o := range map[int]Options{404: {}, 503: {LineCheck: func() (LineCheck, bool) { return LineCheck{}, false }}} {
		if w := ask(New(o), "localhost", "/api/linecheck"); w.Code != status {
			t.Errorf("got %d %q, want %d", w.Code, w.Body, status)
		}
	}
}

// TestLineCheckPressed: a press comes from our own pages and from scripts, and what is not
// taken is answered with why. What all such presses share TestSegmentFromElsewhere holds.
func TestLineCheckPressed(t *testing.T) {
	var pressed []rules.Press
	s := New(Options{Press: func(p rules.Press) error {
		pressed = append(pressed, p)
		if p.Do == rules.LineLater {
			return rules.ErrNotAsked
		}
		return nil
	}})
	for _, c := range []struct {
		body, origin string
		status       int
		refused      string
		want         *rules.Press
	}{
		{`{"do":"begin"}`, "", 200, "", &rules.Press{Do: rules.LineCheck, On: true}},
		{`{"do":"end"}`, "", 200, "", &rules.Press{Do: rules.LineCheck}},
		{`{"do":"ask","input":5}`, "", 200, "", &rules.Press{Do: rules.LineAsk, Number: 5}},
		{`{"do":"done","input":64}`, "", 200, "", &rules.Press{Do: rules.LineDone, Number: 64}},
		{`{"do":"later","input":1}`, "", 409, "another input", &rules.Press{Do: rules.LineLater, Number: 1}},
		{`{"do":"begin"}`, "http://elsewhere.example", 403, "elsewhere", nil},
		{`{"do":"end","input":2}`, "", 400, "about none", nil},
		{`{"do":"ask"}`, "", 400, "about an input", nil},
		{`{"do":"dance"}`, "", 400, "no such press", nil},
		{`{"do":"ask","input":5,"fast":true}`, "", 400, "fast", nil},
		{`{"do":"begin"}{}`, "", 400, "more follows", nil},
		{`{"do":"` + strings.Repeat("x", 1<<20), "", 413, "at most", nil},
	} {
		pressed = nil
		r := httptest.NewRequest("POST", "http://127.0.0.1/api/linecheck", strings.NewReader(c.body))
		r.Header.Set("Content-Type", "application/json")
		if c.origin != "" {
			r.Header.Set("Origin", c.origin)
		}
		w := httptest.NewRecorder()
		s.Handler().ServeHTTP(w, r)
		var a answer
		if err := json.Unmarshal(w.Body.Bytes(), &a); err != nil || w.Code != c.status || (c.refused == "") != (a.Refused == "") || !strings.Contains(a.Refused, c.refused) {
			t.Errorf("%.40s: %d %q (%v), want %d %q", c.body, w.Code, w.Body, err, c.status, c.refused)
		}
		if c.want == nil != (len(pressed) == 0) || c.want != nil && pressed[0] != *c.want {
			t.Errorf("%.40s: pressed %+v, want %+v", c.body, pressed, c.want)
		}
	}
}
