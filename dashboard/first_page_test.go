package dashboard

import (
	"errors"
	"fmt"
	"net/http"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"pawl/rules"
)

// hour is a first hour in a test's hand.
type hour struct {
	mu      sync.Mutex
	now     First
	refuse  error
	presses chan FirstPress
}

func (h *hour) first() First {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.now.T++ // time goes on
	return h.now
}

func (h *hour) press(p FirstPress) error {
	h.presses <- p
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.refuse
}

func (h *hour) set(f First) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.now = f
}

// firstStory is a moment of a first hour.
type firstStory struct {
	name  string
	now   First
	shown string // holds once the page has it
}

func figure(name string, v float64) rules.Figure { return rules.Figure{Name: name, Value: v} }

func firstMoved(address string, to float64) FirstMoved {
	return FirstMoved{Moved: rules.Say("slot.plain").Quoting("address", address), At: rules.Say("slot.value", figure("is", to))}
}

func firstStories() []firstStory {
	heard := Link{Phase: Hearing, Desk: "192.0.2.10:10700", Packets: 4000, Says: rules.Say("link.heard", rules.Figure{Name: "age", Value: 0.1, Unit: rules.Seconds})}
	asking := First{Stage: FirstAsking, Link: heard, Messages: 41200,
		Ask:  []rules.Phrase{rules.Say("guide.mark").Quoting("number", "press.number-page")},
		Asks: FirstAsks{Number: true, None: true, Back: true, Wrong: true, Done: 5, ToCome: 24},
		Says: []rules.Phrase{rules.Say("guide.saw", figure("was", 1), figure("is", 0.8)).Quoting("what", "slot.plain").Quoting("address", "/in/1/throw"),
			rules.Say("guide.also", figure("is", 0), rules.Number("argument", 1)).Quoting("what", "slot.argument").Quoting("address", "/in/1/glass")},
		Moving: []FirstMoved{firstMoved("/in/1/throw", 0.6332)}}
	for i := range 16 {
		asking.Faders = append(asking.Faders, FirstFader{i + 1, float64(i%5) / 4})
	}
	naming := First{Stage: FirstNaming, Link: heard, Messages: 99000, Told: 14, DCAs: []string{"low end", "band", "brass", "voices"}, Groups: []string{"rhythm", "band"},
		Map: "desk.map.yaml", House: "hall.house.yaml"}
	for i, name := range []string{"cajon", "upright bass", "piano", "accordion", "fiddle", "lead voice", "Unbrokenlongnameofaninputthatnobodycouldread", "click", "spare"} {
		guess := []string{"element: foundation", "element: foundation", "element: rhythm", "element: pad", "element: fill", "element: lead, voice: yes", "", "cue: yes, main: no", ""}[i]
		naming.Inputs = append(naming.Inputs, FirstInput{i + 1, name, guess, name})
	}
	return []firstStory{
		{"first-nothing", First{Stage: FirstListening, SendTo: []string{"192.0.2.20:10701", "198.51.100.7:10701"},
			Link: Link{Phase: Waiting, Says: rules.Say("link.trouble", rules.Time("for", 20*time.Second)).Quoting("why", "trouble.port-unused").Quoting("at", ":10701").Quoting("more", "")}},
			`document.getElementById("send-to").checkVisibility() && document.getElementById("begin").disabled`},
		{"first-heard", First{Stage: FirstListening, Link: heard, Messages: 1, Moving: []FirstMoved{firstMoved("/in/3/throw", 0.5)}}, `!document.getElementById("begin").disabled`},
		{"first-asking", asking, `document.getElementById("faders").children.length === 16`},
		{"first-naming", naming, `document.getElementById("inputs").children.length === 9 && document.getElementById("told").textContent !== ""`},
		{"first-done", First{Stage: FirstDone, Link: heard, Map: "desk.map.yaml", House: "hall.house.yaml"}, `document.getElementById("done").checkVisibility()`},
	}
}

func newFirstTest(t *testing.T, language string) (pageTest, *hour) {
	t.Helper()
	h := &hour{now: firstStories()[0].now, presses: make(chan FirstPress, 16)}
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{First: h.first, PressFirst: h.press, Language: language})}
	p.watchConsole()
	p.do(chromedp.EmulateViewport(1180, 820), chromedp.Navigate(p.server.url()))
	p.waitFor(`location.pathname === "/setup" && document.getElementById("listening").checkVisibility()`)
	return p, h
}

// TestFirstStories: every moment of it fits every screen in both languages, is large enough
// to press, and axe-core finds nothing.
func TestFirstStories(t *testing.T) {
	t.Parallel()
	for _, language := range []string{"en", "es"} {
		p, h := newFirstTest(t, language)
		for _, st := range firstStories() {
			h.set(st.now)
			p.waitFor(st.shown)
			for _, screen := range screens {
				p.do(chromedp.EmulateViewport(screen.width, screen.height), drawn)
				t.Run(st.name+" "+language+" "+screen.name, func(t *testing.T) {
					checkFits(t, p.tab)
					pageTest{T: t, tab: p.tab}.checkTargets()
				})
				if *storiesDir != "" {
					shoot(t, p.tab, filepath.Join(*storiesDir, st.name+"-"+language+"-"+screen.name+".png"))
				}
			}
			p.do(chromedp.EmulateViewport(1180, 820), drawn)
			t.Run(st.name+" "+language+" axe", func(t *testing.T) { pageTest{T: t, tab: p.tab}.checkAxe(axeSource(t)) })
		}
	}
}

// TestFirstPresses: what a person presses and types is passed on as a terminal would have it.
func TestFirstPresses(t *testing.T) {
	p, h := newFirstTest(t, "en")
	stories := firstStories()
	want := func(want FirstPress) {
		t.Helper()
		if got := <-h.presses; fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("pressed %+v, want %+v", got, want)
		}
		p.waitFor(`!document.body.hasAttribute("aria-busy")`) // a second tap before that is the same wish
	}
	h.set(stories[1].now)
	p.waitFor(stories[1].shown)
	p.do(click("#begin"))
	want(FirstPress{Do: "begin"})
	h.set(stories[2].now)
	p.waitFor(stories[2].shown)
	p.waitFor(`document.activeElement.id === "asking"`)
	p.do(click("#number"), chromedp.KeyEvent("-10"), chromedp.KeyEvent(kb.Enter))
	want(FirstPress{Do: "answer", Text: "-10"})
	for id, word := range map[string]string{"none": "none", "wrong": "not that one", "another": "that was another", "back": "back", "stop": "stop"} {
		p.do(click("#" + id))
		want(FirstPress{Do: "answer", Text: word})
	}
	asked := stories[2].now
	asked.Ask, asked.Asks.Number = []rules.Phrase{rules.Say("guide.mute").Quoting("strip", "strip.first-input").Quoting("done", "press.done-page").Quoting("none", "press.none-page")}, false
	h.set(asked)
	p.waitFor(`document.getElementById("question").textContent.startsWith("Mute") && document.getElementById("number-place").hidden`)
	p.do(click("#go-on"))
	want(FirstPress{Do: "answer"})
	h.mu.Lock()
	h.refuse = errors.New("not now")
	h.mu.Unlock()
	p.do(click("#go-on"))
	want(FirstPress{Do: "answer"})
	p.waitFor(`document.getElementById("refused").textContent === "That was not done: not now."`)
	h.mu.Lock()
	h.refuse = nil
	h.mu.Unlock()
	h.set(stories[3].now)
	p.waitFor(stories[3].shown)
	p.do(click("#place"), chromedp.KeyEvent("Harbour Hall"))
	p.do(chromedp.Evaluate[chromedp.Void](`(i => { i.value = "double bass"; })(document.querySelector("#inputs li:nth-child(2) input")); 0`))
	p.do(click("#inputs li:nth-child(2) label"))
	h.set(stories[3].now) // answers go on coming, and nothing that was typed is lost
	p.waitFor(`document.querySelector("#inputs li:nth-child(2) input[type=checkbox]").checked`)
	p.do(click("#write-now"))
	got := <-h.presses
	p.waitFor(`!document.body.hasAttribute("aria-busy")`)
	if got.Do != "write" || got.Text != "Harbour Hall" || len(got.Inputs) != 9 || got.Inputs[1] != (FirstRow{2, "double bass", true}) || got.Inputs[2] != (FirstRow{3, "piano", false}) {
		t.Errorf("written: %+v", got)
	}
	p.do(click("#reopen"))
	want(FirstPress{Do: "answer", Text: "back"})
}

// TestFirstGoesOnToWatch: when the files are written another server takes the place of
// this one, and the page goes there by itself.
func TestFirstGoesOnToWatch(t *testing.T) {
	p, h := newFirstTest(t, "en")
	h.set(firstStories()[4].now)
	p.waitFor(firstStories()[4].shown)
	p.server.stop()
	halls := &hall{now: liveSetup().setup}
	again := serve(t, p.server.at, Options{Setup: halls.setup})
	defer again.tell(calmStory()).stop()
	for {
		err := chromedp.Do(p.tab, chromedp.Poll[chromedp.Void](`document.getElementById("strips")?.hidden === false`))
		if err == nil {
			break
		}
		if p.Context().Err() != nil {
			t.Fatal(err)
		}
	}
}

// TestFirstHourServesNothingElse: there is nothing to watch yet.
func TestFirstHourServesNothingElse(t *testing.T) {
	h := &hour{presses: make(chan FirstPress, 1)}
	s := serve(t, "127.0.0.1:0", Options{First: h.first, PressFirst: h.press})
	for path, want := range map[string]int{"/coach": http.StatusNotFound, "/live": http.StatusNotFound, "/api/state": http.StatusNotFound, "/api/first": http.StatusOK, "/healthz": http.StatusOK} {
		if got := get(t, "http://"+s.at+path).status; got != want {
			t.Errorf("%s is answered with %d, want %d", path, got, want)
		}
	}
}
