package dashboard

import (
	"fmt"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"pawl/rules"
	"pawl/rules/desk"
)

// stage is a judge in the middle of a line check, served to pages: what they press goes
// to it, so that all of them see the same.
type stage struct {
	mu   sync.Mutex
	j    *rules.Judge
	at   time.Duration
	link Link
	t    float64
	hung bool
}

func newStage(r desk.Roster) *stage {
	s := &stage{j: rules.NewJudge(r, rules.DefaultLimits(), rules.Options{}), link: Link{Phase: Hearing, Desk: "10.0.0.20:10700"}}
	s.hear(desk.MainFader, 0, -4)
	return s
}

// metered is a stage on which every input's level is heard, and silent.
func metered(r desk.Roster) *stage {
	s := newStage(r)
	for i := range r.Inputs {
		s.hear(desk.InputFader, i, -10)
		s.hear(desk.InputLevel, i, -75)
	}
	s.pass(time.Second)
	return s
}

func (s *stage) hear(signal desk.Signal, i int, value float64) {
	s.j.Hear(desk.Reading{At: s.at, Signal: signal, Index: i, Value: value})
}

func (s *stage) pass(d time.Duration) {
	s.at += d
	s.j.Advance(s.at)
}

// play lets an input sound for a time and goes on at once, as if it still did.
func (s *stage) play(i int, level float64, d time.Duration) {
	for n := range int(d / desk.Beat) {
		s.hear(desk.InputLevel, i, level+float64(n%3*3)-3)
		s.pass(desk.Beat)
	}
}

// plays is play, and then it is silent.
func (s *stage) plays(i int, level float64, d time.Duration) {
	s.play(i, level, d)
	s.hear(desk.InputLevel, i, -75)
	s.pass(time.Second)
}

func (s *stage) press(p rules.Press) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	err := s.j.Press(p)
	s.pass(desk.Beat)
	return err
}

// do changes what goes on while pages look.
func (s *stage) do(f func(*stage)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	f(s)
}

func (s *stage) lineCheck() (LineCheck, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.hung {
		s.t++
	}
	return LineCheck{T: s.t, House: "Harbour Hall", Link: s.link, LinePicture: s.j.LinePicture()}, true
}

// harbourStage is the roster of Harbour Hall.
func harbourStage() desk.Roster {
	r := desk.Roster{DCAs: []string{"band", "brass", "voices", "speech"}, Groups: []string{"band", "brass", "voices", "speech"}}
	for i, name := range []string{"cajon", "upright bass", "piano", "accordion", "fiddle", "mandolin", "harp", "trumpet", "horn", "organ pad",
		"lead voice", "harmony voice 1", "harmony voice 2", "choir pair", "reader's mic", "click"} {
		in := desk.Input{Name: name, Element: desk.Rhythm, DCAs: []int{0}, Groups: []int{0}}
		switch {
		case i == 7 || i == 8:
			in.DCAs, in.Groups = []int{1}, []int{1}
		case i == 15:
			in = desk.Input{Name: name, Cue: true}
		case i == 14:
			in = desk.Input{Name: name, Voice: true, DCAs: []int{3}, Groups: []int{3}}
		case i >= 10:
			in = desk.Input{Name: name, Element: desk.Lead, Voice: true, DCAs: []int{2}, Groups: []int{2}}
		}
		r.Inputs = append(r.Inputs, in)
	}
	return r
}

func rosterOf(n int, name string) desk.Roster {
	r := desk.Roster{}
	for i := range n {
		r.Inputs = append(r.Inputs, desk.Input{Name: fmt.Sprintf(name, i+1), Element: desk.Rhythm, Main: true})
	}
	return r
}

// lineStory is one moment of a line check that its page must show well.
type lineStory struct {
	name string
	make func() *stage
	then string // what to wait for or do before looking
}

func on(s *stage) *stage {
	if err := s.j.Press(rules.Press{Do: rules.LineCheck, On: true}); err != nil {
		panic(err)
	}
	s.pass(desk.Beat)
	return s
}

// underWay is a check of which five are done, two are to be mended and one was put off.
func underWay() *stage {
	s := metered(harbourStage())
	s.hear(desk.DCAFader, 0, -3)
	s.hear(desk.GroupRatio, 2, 4)
	s.hear(desk.InputMute, 2, 1)
	s.j.Hear(desk.Reading{At: s.at, Signal: desk.InputName, Index: 3, Text: "Squeezebox"})
	on(s)
	for i := range 4 {
		s.plays(i, -18-float64(i), 10*time.Second)
	}
	if err := s.j.Press(rules.Press{Do: rules.LineLater, Number: 5}); err != nil {
		panic(err)
	}
	s.plays(5, -20, 10*time.Second)
	s.plays(6, -19, 10*time.Second)
	return s
}

func lineStories() []lineStory {
	finished := func() *stage {
		s := on(metered(rosterOf(8, "input %d")))
		for i := range 8 {
			s.plays(i, -18, 10*time.Second)
		}
		return s
	}
	return []lineStory{
		{"line-start", func() *stage { return metered(harbourStage()) }, ""},
		{"line-asked", func() *stage { return on(metered(harbourStage())) }, ""},
		{"line-sounds", func() *stage { s := underWay(); s.play(7, -18, 4*time.Second); return s }, ""},
		{"line-hot", func() *stage { s := underWay(); s.play(7, -7, 11*time.Second); return s }, ""},
		{"line-answers", func() *stage { s := underWay(); s.play(8, -20, 4*time.Second); return s }, ""},
		{"line-unheard", func() *stage { s := underWay(); s.pass(20 * time.Second); return s }, ""},
		{"line-list", underWay, "list"},
		{"line-folded", underWay, "done"},
		{"line-no-meters", func() *stage {
			s := newStage(harbourStage())
			s.hear(desk.InputMute, 2, 1)
			return on(s)
		}, ""},
		{"line-8", func() *stage { s := on(metered(rosterOf(8, "input %d"))); s.play(0, -40, 11*time.Second); return s }, ""},
		{"line-64", func() *stage {
			s := on(metered(rosterOf(64, "player in row %d")))
			for i := range 30 {
				s.plays(i, -18, 10*time.Second)
			}
			return s
		}, "list"},
		{"line-long", func() *stage {
			r := rosterOf(12, "Upright piano on the far side of the gallery, microphone %d")
			r.Inputs[0].Name = "Unbrokenlongnameofaninputthatnobodycouldread"
			r.Inputs[3].Main = false
			s := on(metered(r))
			s.j.Press(rules.Press{Do: rules.LineAsk, Number: 4})
			s.plays(3, -18, 10*time.Second)
			s.play(0, -50, 11*time.Second)
			return s
		}, ""},
		{"line-all-done", finished, ""},
		{"line-ended", func() *stage {
			s := underWay()
			s.j.Press(rules.Press{Do: rules.LineCheck})
			return s
		}, ""},
		{"line-open", func() *stage {
			s := metered(rosterOf(3, "input %d"))
			s.hear(desk.InputMute, 1, 1)
			on(s)
			for i := range 3 {
				s.plays(i, -18, 10*time.Second)
			}
			return s
		}, ""},
		{"line-waiting", func() *stage {
			s := newStage(harbourStage())
			s.link = Link{Phase: Waiting, Desk: "10.0.0.20:10700", Says: rules.Say("link.waiting").Quoting("desk", "10.0.0.20:10700")}
			return s
		}, ""},
		{"line-quiet", func() *stage { s := underWay(); s.link.Phase, s.link.Age = Quiet, 27; return s }, ""},
		{"line-stopped", underWay, "stop"},
	}
}

// lineShown waits until the page has its first answer.
var lineShown = chromedp.Poll[chromedp.Void](`document.querySelector("#linecheck > :is(#trouble, #start, #last, #asked, #rest):not([hidden])") !== null && document.getElementById("trouble").textContent !== "Looking for Pawl."`)

// TestLineStories does for the line check what TestStories does for the operator's page.
func TestLineStories(t *testing.T) {
	ctx := newBrowser(t)
	for _, st := range lineStories() {
		if *storiesDir == "" && st.name != "line-long" && st.name != "line-64" && st.name != "line-hot" {
			continue
		}
		t.Run(st.name, func(t *testing.T) {
			hall := st.make()
			s := serve(t, "127.0.0.1:0", Options{LineCheck: hall.lineCheck, Press: hall.press})
			tab, closeTab := chromedp.NewContext(ctx)
			defer closeTab()
			must(t, tab, chromedp.EmulateViewport(1180, 820), chromedp.Navigate(s.url()+"linecheck"), lineShown)
			switch st.then {
			case "stop":
				s.stop()
				must(t, tab, chromedp.Poll[chromedp.Void](`!document.getElementById("old").hidden`))
			case "done":
				must(t, tab, chromedp.Evaluate[chromedp.Void](`document.getElementById("done").open = true`))
			}
			onEach(t, tab, screens, st.name, func(t *testing.T) {
				if place := map[string]string{"list": "rest", "done": "done"}[st.then]; place != "" {
					must(t, tab, chromedp.Evaluate[chromedp.Void](`document.getElementById("`+place+`").scrollIntoView()`))
				}
			})
		})
	}
}
