package dashboard

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"pawl/rules/desk"
)

// hall is a Setup that a test changes while pages ask for it.
type hall struct {
	mu   sync.Mutex
	now  Setup
	hung bool // the daemon answers, and its clock stands
	not  bool // not ready
}

func (h *hall) setup() (Setup, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if !h.hung {
		h.now.T++
	}
	return h.now, !h.not
}

// change lets do at a copy of the lists, as the old ones may still be read.
func (h *hall) change(do func(*Setup)) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.now.Inputs = append([]Strip(nil), h.now.Inputs...)
	h.now.DCAs = append([]Strip(nil), h.now.DCAs...)
	h.now.Groups = append([]Strip(nil), h.now.Groups...)
	do(&h.now)
}

// to is a fader that was heard at db.
func to(db desk.DB) *desk.DB { return &db }

func movePiano(s *Setup) { s.Inputs[2].Fader = to(-4) }

func moveSeveral(s *Setup) {
	for i := range 5 {
		s.Inputs[i].Fader = to(-4 - desk.DB(i)/2 + 20*desk.DB(i%2))
	}
}

// newSetupTest opens the setup page on s as newPageTest does the operator's.
func newSetupTest(t *testing.T, s Setup) (pageTest, *hall) {
	t.Helper()
	h := &hall{now: s}
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{Setup: h.setup})}
	p.watchConsole()
	p.do(chromedp.EmulateViewport(1180, 820), chromedp.Navigate(p.server.url()+"setup"), shown)
	return p, h
}

// shown waits until the setup page has its first answer.
var shown = chromedp.Poll[chromedp.Void](`!document.getElementById("strips").hidden`)

func TestSetupShowsWhatIsHeard(t *testing.T) {
	p, _ := newSetupTest(t, faultsSetup().setup)
	for expression, want := range map[string]string{
		`document.title`: "Setup: connected to the desk · Pawl",
		`document.getElementById("link-said").textContent`:             "The desk at 10.0.0.20:10700 is heard and understood.",
		`document.getElementById("link-next").textContent`:             "“Harbour Hall practice desk”",
		`document.getElementById("input-3").textContent`:               "3pianorhythmfader −7.0 dBlevel −24.1 dBFS",
		`document.querySelector("#input-3 .level").textContent`:        "level −24.1 dBFS",
		`document.querySelector("#input-9 .level b").textContent`:      "silent",
		`document.querySelector("#input-10 .fader b").textContent`:     "closed",
		`document.querySelector("#input-15 .notes").textContent`:       "muted",
		`String(document.querySelector("#DCA-1 .level"))`:              "null",
		`document.querySelector("#main-0").textContent`:                "main",
		`document.querySelector("#inputs small").textContent`:          "16 of 16 faders and levels heard",
		`document.querySelector("#facts").textContent`:                 "3 of 14 kinds of message are not in the map",
		`document.querySelector("#arriving-lead").textContent`:         "933 of them not in the map",
		`document.querySelector("#faults-lead").textContent`:           "3 mistakes in the house file and the map. 1 piece of advice. Read at 18:42:05.",
		`document.querySelectorAll(".fault")[1].textContent`:           "Line 31, column 9 limits.ratchet.limit3; want a number with its unitNext: write 3 dB",
		`document.querySelectorAll(".file")[1].textContent`:            "maps/harbour.map.yaml",
		`document.getElementById("arriving-rows").rows[3].textContent`: "/in/*/throw* is 1–16input.fader",
		`document.getElementById("arriving-rows").rows[6].textContent`: "/needles/ininput.levelblob16 values, −61.0 to −14.2",
		`document.getElementById("moved").textContent`:                 "Nothing has moved yet",
		`getComputedStyle(document.getElementById("old")).display`:     "none",
		`getComputedStyle(document.querySelector(".zero")).position`:   "absolute",
		`document.querySelector("#input-3 .bead").style.cssText`:       "75.7",
		`document.getElementById("announce").textContent`:              "Connected to the desk.",
		`document.querySelector("footer .quiet-link").pathname + "$"`:  "/$",
		`document.getElementById("arriving-rows").rows[0].textContent`: "/in/*/lampas in /in/11/lampnot in the mapint0 to 71.3 a second",
	} {
		if got := strings.ReplaceAll(p.text(expression), "\u00a0", " "); !strings.Contains(got, want) {
			t.Errorf("%s is %q, want %q in it", expression, got, want)
		}
	}
}

// One fader moves on the desk: one row moves, the right one, and is named.
func TestSetupNamesWhatMoved(t *testing.T) {
	p, h := newSetupTest(t, liveSetup().setup)
	p.do(chromedp.Evaluate[chromedp.Void](`globalThis.before = [...document.querySelectorAll(".strip .fader b")].map(b => b.textContent)`))
	h.change(movePiano)
	p.waitFor(`document.getElementById("moved").textContent === "Moved last: piano, to −4.0 dB"`)
	if got := p.text(`[...document.querySelectorAll(".strip .fader b")].filter((b, i) => b.textContent !== before[i])
		.map(b => b.closest("li").id).join()`); got != "input-3" {
		t.Errorf("the rows %q changed, want input-3 alone", got)
	}
	if got := p.text(`[...document.querySelectorAll("[data-moved]")].map(e => e.id + " " + e.querySelector(".moved").textContent).join()`); got != "input-3 moved" {
		t.Errorf("marked are %q, want input-3 alone", got)
	}
	p.waitFor(`document.getElementById("announce").lastElementChild.textContent === "Moved last: piano, to −4.0 dB."`)

	h.change(func(s *Setup) { s.DCAs[0].Fader = to(desk.Off) })
	p.waitFor(`document.getElementById("moved").textContent === "Moved last: band DCA, closed"`)
	p.waitFor(`document.querySelectorAll("[data-moved]").length === 1`)
	h.change(func(s *Setup) { s.Inputs[14].Muted = false })
	p.waitFor(`document.getElementById("moved").textContent === "Moved last: reader's mic, to 0.0 dB"`)
	h.change(moveSeveral)
	p.waitFor(`document.getElementById("moved").textContent === "5 moved at once: cajon, upright bass and 3 more"`)
	p.waitFor(`document.querySelectorAll("[data-moved]").length === 5`)
	p.waitFor(`document.querySelectorAll("[data-moved]").length === 0`)
}

// A value heard for the first time, a desk's trembling and another run of the
// daemon are no moves; a slow hand is one.
func TestSetupMovesOnlyByHand(t *testing.T) {
	p, h := newSetupTest(t, nothingSetup().setup)
	asked := func() {
		p.Helper()
		h.change(func(s *Setup) { s.House += "." })
		p.waitFor(fmt.Sprintf("document.getElementById(\"house\").textContent === %q", h.now.House))
	}
	h.change(func(s *Setup) { s.Inputs, s.Link = liveSetup().setup.Inputs, liveSetup().setup.Link })
	asked()
	h.change(func(s *Setup) { s.Inputs[2].Fader = to(-7.06) })
	asked()
	h.change(func(s *Setup) { s.T, s.Inputs[3].Fader = 0, to(-30) })
	asked()
	p.waitFor(`document.getElementById("moved").textContent === "Nothing has moved yet"`)
	h.change(func(s *Setup) { s.Inputs[2].Fader = to(-7.12) })
	asked()
	p.waitFor(`document.getElementById("moved").textContent === "Nothing has moved yet"`)
	h.change(func(s *Setup) { s.Inputs[2].Fader = to(-7.18) })
	p.waitFor(`document.getElementById("moved").textContent === "Moved last: piano, to −7.2 dB"`)
}

func TestSetupListsTheUnheardFirst(t *testing.T) {
	p, h := newSetupTest(t, liveSetup().setup)
	first := func() string {
		return p.text(`[...document.getElementById("arriving-rows").rows].slice(0, 4).map(r => r.querySelector("code").textContent + " " + r.cells[1].textContent).join(", ")`)
	}
	want := "/in/*/lamp not in the map, /stage/lantern/* not in the map, /still/here not in the map, /in/*/throw input.fader"
	if got := first(); got != want {
		t.Errorf("first come %q, want %q", got, want)
	}
	h.change(func(s *Setup) {
		s.Arriving = append([]Arriving(nil), s.Arriving...)
		s.Arriving[5].Heard, s.House = "input.solo", "mended"
	})
	p.waitFor(`document.getElementById("house").textContent === "mended"`)
	want = "/stage/lantern/* not in the map, /still/here not in the map, /in/*/throw input.fader, /in/*/quiet input.mute"
	if got := first(); got != want {
		t.Errorf("after the map was mended first come %q, want %q", got, want)
	}
	if got := p.text(`document.getElementById("facts").textContent`); !strings.Contains(got, "2 of 14 kinds of message are not in the map") {
		t.Errorf("the counts are %q, want 2 of 14 in them", got)
	}
}

// An address that someone is copying must stay selected while figures change.
func TestSetupDisturbsNothing(t *testing.T) {
	p, h := newSetupTest(t, liveSetup().setup)
	p.do(chromedp.Evaluate[chromedp.Void](`getSelection().selectAllChildren(document.querySelector("#arriving-rows code"))`))
	h.change(func(s *Setup) {
		s.Arriving = append([]Arriving(nil), s.Arriving...)
		s.Arriving[5].Count, s.Arriving[5].Rate, s.House = 900, 7.5, "later"
	})
	p.waitFor(`document.getElementById("house").textContent === "later"`)
	p.waitFor(`document.getElementById("arriving-rows").rows[0].cells[4].textContent === "7.5 a second"`)
	p.waitFor(`document.getElementById("arriving-rows").rows.length === 14 && document.querySelectorAll("#inputs li").length === 16`)
	if got := p.text(`getSelection().toString()`); got != "/in/*/lamp" {
		t.Errorf("selected is %q, want /in/*/lamp", got)
	}
}

func TestSetupNotUnderstood(t *testing.T) {
	p, _ := newSetupTest(t, notUnderstoodSetup().setup)
	for expression, want := range map[string]string{
		`document.getElementById("link-said").textContent`:     "18,412 packets from 10.0.0.20:10700, and the map knows none.",
		`document.getElementById("link-next").textContent`:     "Compare /berth/07/height, which came, with the hear lines of the map for “Harbour Hall practice desk”.",
		`document.getElementById("facts").textContent`:         "3 of 3 kinds of message are not in the map",
		`document.querySelector("#input-3").innerText`:         "not heard yet",
		`document.querySelector("#inputs small").textContent`:  "0 of 16 faders and levels heard",
		`document.getElementById("arriving-lead").textContent`: "12 packets could not be read at all.",
	} {
		if got := p.text(expression); !strings.Contains(got, want) {
			t.Errorf("%s is %q, want %q in it", expression, got, want)
		}
	}
}

func TestSetupOfADemo(t *testing.T) {
	p, _ := newSetupTest(t, demoSetup().setup)
	p.waitFor(`document.getElementById("faults-lead").textContent === "This house came inside the program, so there is no file to read."`)
	p.waitFor(`document.getElementById("facts").textContent.includes("No files to read")`)
}

func TestSetupByKeyboard(t *testing.T) {
	p, h := newSetupTest(t, liveSetup().setup)
	p.key(kb.Tab)
	p.key(kb.Tab)
	p.waitFor(`document.activeElement.hash === "#arriving" && document.activeElement.matches(":focus-visible")`)
	p.key(kb.Enter)
	p.waitFor(`scrollY > 100 && document.getElementById("arriving").getBoundingClientRect().top < innerHeight / 2`)
	h.change(movePiano)
	p.waitFor(`document.querySelector("#moved a") !== null`)
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("footer a[href='/sheet']").focus()`))
	p.key(kb.Tab)
	p.waitFor(`document.activeElement.closest("#moved") !== null`)
	p.key(kb.Enter)
	p.waitFor(`(r => r.top >= 0 && r.bottom < innerHeight)(document.getElementById("input-3").getBoundingClientRect())`)
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("footer .quiet-link").focus()`))
	p.key(kb.Enter)
	p.do(chromedp.WaitVisible("#watch"), click("#pages summary"), chromedp.WaitVisible("footer a[href='/setup']"))
}

// The daemon hangs, stops and comes back: the page says since when it is old.
func TestSetupSaysWhenItIsOld(t *testing.T) {
	h := &hall{now: liveSetup().setup}
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{Setup: h.setup})}
	p.do(chromedp.Navigate(p.server.url()+"setup"), shown)
	const old = `/^Not live\. This picture is from \d\d:\d\d:\d\d, \d+ s ago\. Trying again by itself\.$/.test(document.getElementById("old").textContent)`
	const fresh = `document.getElementById("old").hidden && !document.documentElement.classList.contains("old")`
	h.change(func(*Setup) { h.hung = true })
	p.waitFor(old)
	h.change(func(*Setup) { h.hung = false })
	p.waitFor(fresh)
	p.server.stop()
	p.waitFor(old)
	p.waitFor(`document.title.startsWith("Setup: old, from ")`)
	h.change(func(s *Setup) { h.not, s.House = true, "Harbour Hall again" })
	again := serve(t, p.server.at, Options{Setup: h.setup})
	h.change(func(*Setup) { h.not = false })
	p.waitFor(fresh + ` && document.getElementById("house").textContent === "Harbour Hall again"`)
	again.stop()
}

func TestSetupSaysWhyThereIsNone(t *testing.T) {
	for name, test := range map[string]struct {
		setup func() (Setup, bool)
		want  string
	}{
		"not served": {nil, "This Pawl has no setup page."},
		"not ready":  {func() (Setup, bool) { return Setup{}, false }, "Pawl is starting, and this page is not ready yet."},
	} {
		t.Run(name, func(t *testing.T) {
			p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{Setup: test.setup})}
			p.do(chromedp.Navigate(p.server.url() + "setup"))
			p.waitFor(fmt.Sprintf(`document.getElementById("link-said").textContent === %q && document.getElementById("old").hidden`, test.want))
		})
	}
}

func TestSetupTargetsAreLarge(t *testing.T) {
	p, h := newSetupTest(t, faultsSetup().setup)
	h.change(movePiano)
	p.waitFor(`document.querySelector("#moved a") !== null`)
	p.checkTargets()
}

func TestSetupAxe(t *testing.T) {
	t.Parallel()
	for _, st := range []setupStory{liveSetup(), nothingSetup(), notUnderstoodSetup(), faultsSetup(), quietSetup()} {
		t.Run(st.name, func(t *testing.T) {
			axe := axeSource(t)
			p, h := newSetupTest(t, st.setup)
			h.change(movePiano)
			p.checkAxe(axe)
		})
	}
}

// TestSetupStories does for the setup page what TestStories does for the other.
func TestSetupStories(t *testing.T) {
	ctx := newBrowser(t)
	told := []setupStory{longSetup(), largeSetup(), unheardSetup()}
	if *storiesDir != "" {
		told = setupStories()
	}
	for _, st := range told {
		t.Run(st.name, func(t *testing.T) {
			h := &hall{now: st.setup}
			s := serve(t, "127.0.0.1:0", Options{Setup: h.setup})
			tab, closeTab := chromedp.NewContext(ctx)
			defer closeTab()
			must(t, tab, chromedp.EmulateViewport(1180, 820), chromedp.Navigate(s.url()+"setup"), shown)
			st.act(t, tab, s, h)
			onEach(t, tab, screens, st.name, func(*testing.T) {
				if st.then == "arriving" || st.then == "faults" {
					must(t, tab, chromedp.Evaluate[chromedp.Void](`document.getElementById("`+st.then+`").scrollIntoView()`))
				}
			})
		})
	}
}

// act does what the story says before it is looked at.
func (st setupStory) act(t *testing.T, tab context.Context, s serving, h *hall) {
	t.Helper()
	switch st.then {
	case "move":
		h.change(movePiano)
		must(t, tab, chromedp.Poll[chromedp.Void](`document.querySelector("#moved a") !== null`))
	case "several":
		h.change(moveSeveral)
		must(t, tab, chromedp.Poll[chromedp.Void](`document.querySelector("#moved a") !== null`))
	case "stop":
		s.stop()
		must(t, tab, chromedp.Poll[chromedp.Void](`!document.getElementById("old").hidden`))
	case "focus":
		must(t, tab, chromedp.KeyEvent(kb.Tab))
	}
}
