package review

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/desk"
)

// made is a service written by hand: seconds since it began, in one run.
type made struct {
	m Material
	n uint64
}

const second = rules.Moment(time.Second)

// inputs of the services that are made: two that share a DCA and a group, and two alone.
var inputs = []desk.Input{
	{Name: "piano", DCAs: []int{0}, Groups: []int{0}, Gate: -50}, {Name: "fiddle", DCAs: []int{0}, Groups: []int{0}, Gate: -50},
	{Name: "harp", Gate: -50, Main: true}, {Name: "lead voice", Voice: true, Element: desk.Lead, Gate: -50, Main: true},
}

func newMade(length time.Duration) *made {
	s := &made{}
	s.m.Service = store.Service{ID: 1, House: "Harbour Hall", Began: evening, Ended: evening.Add(length)}
	s.m.Stretches = []store.Stretch{{
		Run: store.Run{Zero: evening, Strips: store.Strips{Inputs: inputs, Groups: []string{"band"}}}, Until: rules.Moment(length) + 1,
	}}
	return s
}

func (s *made) say(at float64, kind rules.EntryKind, e rules.Entry) {
	s.n++
	*e.Head() = rules.Stamp{N: s.n, T: rules.Moment(at * float64(time.Second)), Entry: kind}
	s.m.Stretches[0].Entries = append(s.m.Stretches[0].Entries, e)
}

// part begins a segment.
func (s *made) part(at float64, number int, kind desk.SegmentKind) *made {
	s.say(at, rules.SegmentEntry, &rules.Parted{Number: number, Kind: kind})
	return s
}

func input(i int) desk.Who { return desk.Who{Strip: desk.StripInput, Index: i, Name: inputs[i].Name} }

var bandDCA = desk.Who{Strip: desk.StripDCA, Name: "band"}

// move is one that takes a second and comes to rest at a time.
func (s *made) move(at float64, who desk.Who, kind desk.MoveKind, by desk.DB) *made {
	s.say(at, rules.MoveEntry, &rules.Moved{Who: who, Kind: kind, Began: rules.Moment((at - 1) * 1e9), Ended: rules.Moment(at * 1e9), By: by})
	return s
}

// find is a state of a finding, with the faders' part for a ratchet.
func (s *made) find(at float64, number int, rule string, state rules.State, weight rules.Weight, shown bool, faders desk.DB, about ...desk.Who) *rules.Finding {
	f := &rules.Finding{Number: number, Rule: rule, State: state, Weight: weight, Shown: shown, About: about}
	f.Figures = rules.Figures{rules.DB("faders", faders)}
	s.say(at, rules.FindingEntry, f)
	return f
}

// figure is the one of a name.
func (s *made) figure(t *testing.T, name string) Figure {
	t.Helper()
	r := Summarise(s.m, Options{})
	i := slices.IndexFunc(r.Figures, func(f Figure) bool { return f.Name == name })
	if i < 0 {
		t.Fatalf("no figure %s among %+v", name, r.Figures)
	}
	f := r.Figures[i]
	if f.Means == "" || f.Title == "" || f.Cases == "" || (f.Value == nil) != (f.Why != "") {
		t.Errorf("figure %+v lacks a word", f)
	}
	return f
}

// told is a figure in short: value, n, parts, in two decimals.
func told(f Figure) string {
	text := "none"
	if f.Value != nil {
		text = fmt.Sprintf("%.2f", *f.Value)
	}
	text += fmt.Sprintf(" n %d", f.N)
	for _, p := range f.Parts {
		text += fmt.Sprintf(", %s %.2f", p.Name, p.Value)
	}
	return text
}

func wants(t *testing.T, f Figure, want string) {
	t.Helper()
	if got := told(f); got != want {
		t.Errorf("%s: %s, want %s", f.Name, got, want)
	}
}

// TestRatchetsAnHour: two in 20 minutes of music are six in an hour; speech does not
// count, and nine minutes are too short to say.
func TestRatchetsAnHour(t *testing.T) {
	s := newMade(40*time.Minute).part(0, 1, desk.Music).part(600, 2, desk.Speech).part(1800, 3, desk.Music)
	s.find(100, 1, "ratchet", rules.Open, rules.Nudge, true, 3)
	s.find(200, 2, "creep", rules.Open, rules.Nudge, false, 3)
	s.find(2000, 3, "ratchet", rules.Open, rules.Whisper, false, 2)
	wants(t, s.figure(t, "ratchets"), "6.00 n 2")

	short := newMade(9*time.Minute).part(0, 1, desk.Music)
	short.find(100, 1, "ratchet", rules.Open, rules.Nudge, true, 3)
	f := short.figure(t, "ratchets")
	wants(t, f, "none n 1")
	if !strings.Contains(f.Why, "9 min") || !strings.Contains(f.Why, "10 min") {
		t.Errorf("why: %q", f.Why)
	}
}

// TestWayBack: of five that were shown, two are taken back, after 40 and 60 s; the others
// are still up, kept, or over without a hand.
func TestWayBack(t *testing.T) {
	s := newMade(30*time.Minute).part(0, 1, desk.Music)
	piano := input(0)
	s.find(100, 1, "ratchet", rules.Open, rules.Nudge, false, 3, piano)
	s.find(110, 1, "ratchet", rules.Shown, rules.Nudge, true, 3, piano)
	s.move(145, piano, desk.Lower, -4)
	s.find(150, 1, "ratchet", rules.Eased, rules.Nudge, true, 0.4, piano)

	s.find(300, 2, "ratchet", rules.Open, rules.Nudge, true, 3, piano)
	s.move(355, bandDCA, desk.Lower, -4) // which carries the piano
	s.find(360, 2, "ratchet", rules.Eased, rules.Nudge, true, 1, piano)

	s.find(500, 3, "ratchet", rules.Open, rules.Nudge, true, 3, piano)
	s.find(700, 3, "ratchet", rules.Eased, rules.Nudge, true, 2.6, piano).Accepted = true

	s.find(800, 4, "ratchet", rules.Open, rules.Nudge, true, 3, piano)
	s.move(850, input(2), desk.Lower, -4) // who was not in it
	s.find(900, 4, "ratchet", rules.Eased, rules.Nudge, true, 0.2, piano)

	s.find(1000, 5, "ratchet", rules.Open, rules.Nudge, true, 3, piano)
	s.find(1100, 6, "ratchet", rules.Open, rules.Nudge, false, 3, piano) // never shown
	wants(t, s.figure(t, "way-back"), "50.00 n 5, back 2.00, not-back 1.00, by-itself 1.00, kept 1.00")

	s = newMade(30*time.Minute).part(0, 1, desk.Music)
	f := s.figure(t, "way-back")
	wants(t, f, "none n 0")

	// A house whose ratchets ease higher up has not taken one back that is 1.5 dB up.
	s.find(100, 1, "ratchet", rules.Open, rules.Nudge, true, 3, piano)
	s.move(145, piano, desk.Lower, -2)
	s.find(150, 1, "ratchet", rules.Eased, rules.Nudge, true, 1.5, piano)
	wants(t, s.figure(t, "way-back"), "none n 1, back 0.00, not-back 1.00")
}

// stand adds levels for each second of a span.
func (s *made) stand(from, until int, group rules.GroupLevels, gains [4]desk.DB, levels [4]desk.DBFS) *made {
	for at := from; at < until; at++ {
		l := rules.Levels{T: rules.Moment(at) * second, Heard: true, Playing: 4, Total: -10, Groups: []rules.GroupLevels{group}}
		for i := range gains {
			l.Inputs = append(l.Inputs, rules.InputLevels{Gain: gains[i], Level: levels[i], Share: levels[i].Plus(gains[i])})
		}
		s.m.Stretches[0].Levels = append(s.m.Stretches[0].Levels, l)
	}
	return s
}

var (
	open  = [4]desk.DB{}
	equal = [4]desk.DBFS{-20, -20, -20, -20}
)

// TestWindow: a quarter of the playing below the window, half in it, a quarter above; what
// lies in speech, what nobody plays and what is not known do not count.
func TestWindow(t *testing.T) {
	by := func(median desk.DB) rules.GroupLevels {
		return rules.GroupLevels{Known: true, Low: median, Median: median, High: median}
	}
	resting := [4]desk.DBFS{-70, -70, -20, -20}
	s := newMade(40*time.Minute).part(0, 1, desk.Music).part(1800, 2, desk.Speech)
	s.stand(0, 200, by(0.9), open, equal).stand(200, 400, by(1), open, equal).stand(400, 600, by(3), open, equal).stand(600, 800, by(3.1), open, equal)
	s.stand(800, 1000, by(9), open, resting).stand(1000, 1200, rules.GroupLevels{}, open, equal).stand(1800, 2000, by(9), open, equal)
	wants(t, s.figure(t, "window"), "0.50 n 800, below 0.25, over 0.25")
	r := Summarise(s.m, Options{})
	if g := r.Groups[0]; g.Worst != 3.1 || g.At.T != 600*second || g.Median != 1 {
		t.Errorf("group %+v", g)
	}
}

// TestBought works the price of two raises out by hand. Four inputs are equally loud. The
// piano goes up 6 dB, and after 50 s the fiddle does. Two minutes after the piano the
// others are fiddle +6, harp, lead: (3.981+2)/3 of what they were, +3.0 dB. The fiddle
// keeps all of its 6 dB, as nobody comes up after it.
func TestBought(t *testing.T) {
	s := newMade(20*time.Minute).part(0, 1, desk.Music)
	s.move(10, input(0), desk.Raise, 6).move(60, input(1), desk.Raise, 6)
	s.stand(0, 10, rules.GroupLevels{}, open, equal).stand(10, 60, rules.GroupLevels{}, [4]desk.DB{6}, equal).stand(60, 600, rules.GroupLevels{}, [4]desk.DB{6, 6}, equal)
	r := Summarise(s.m, Options{})
	rest := 10 * math.Log10((math.Pow(10, 0.6)+2)/3)
	for i, want := range []float64{6 - rest, 6} {
		if b := r.Moves[i].Bought; b == nil || math.Abs(float64(b.Clearer)-want) > 1e-6 || b.Clearer+b.Swallowed != b.Raised || b.Over != 120*second {
			t.Errorf("raise %d bought %+v, want %.3f clearer", i, b, want)
		}
	}
	wants(t, s.figure(t, "bought"), fmt.Sprintf("%.2f n 2, raised 6.00, swallowed %.2f", (12-rest)/2, rest/2))
}

// TestBoughtOfWhat: the stage is nobody's doing, whoever was let in was there all along,
// and what cannot be told is not guessed at.
func TestBoughtOfWhat(t *testing.T) {
	louder := [4]desk.DBFS{-20, -8, -14, -20}
	for _, c := range []struct {
		name string
		make func(s *made)
		want string
	}{
		{"the players get louder", func(s *made) {
			s.move(10, input(0), desk.Raise, 4).stand(0, 10, rules.GroupLevels{}, open, equal).stand(10, 300, rules.GroupLevels{}, [4]desk.DB{4}, louder)
		}, "4.00 n 1, raised 4.00, swallowed 0.00"},
		{"somebody is let in", func(s *made) {
			s.move(10, input(0), desk.Raise, 4)
			s.stand(0, 10, rules.GroupLevels{}, [4]desk.DB{0, desk.Off}, equal).stand(10, 300, rules.GroupLevels{}, [4]desk.DB{4, 0}, equal)
		}, "4.00 n 1, raised 4.00, swallowed 0.00"},
		{"a DCA carries two", func(s *made) {
			s.move(10, bandDCA, desk.Raise, 4).stand(0, 10, rules.GroupLevels{}, open, equal).stand(10, 300, rules.GroupLevels{}, [4]desk.DB{4, 4}, equal)
		}, "4.00 n 1, raised 4.00, swallowed 0.00"},
		{"it is moved again: the first raise ends there", func(s *made) {
			s.move(10, input(0), desk.Raise, 4).move(30, input(0), desk.Lower, -4)
			s.stand(0, 10, rules.GroupLevels{}, open, equal).stand(10, 30, rules.GroupLevels{}, [4]desk.DB{4}, equal).stand(30, 300, rules.GroupLevels{}, open, equal)
		}, "4.00 n 1, raised 4.00, swallowed 0.00"},
		{"its DCA is brought down: that is no swallowing", func(s *made) {
			s.move(10, input(0), desk.Raise, 4).move(30, bandDCA, desk.Lower, -4)
			s.stand(0, 10, rules.GroupLevels{}, open, equal).stand(10, 30, rules.GroupLevels{}, [4]desk.DB{4}, equal).stand(30, 300, rules.GroupLevels{}, [4]desk.DB{0, -4}, equal)
		}, "4.00 n 1, raised 4.00, swallowed 0.00"},
		{"no levels", func(s *made) { s.move(10, input(0), desk.Raise, 4) }, "none n 0"},
		{"nothing else plays", func(s *made) {
			alone := [4]desk.DBFS{-20, desk.Silence, desk.Silence, desk.Silence}
			s.move(10, input(0), desk.Raise, 4).stand(0, 10, rules.GroupLevels{}, open, alone).stand(10, 300, rules.GroupLevels{}, [4]desk.DB{4}, alone)
		}, "none n 0"},
		{"the main", func(s *made) {
			s.move(10, desk.Who{Strip: desk.StripMain}, desk.Raise, 4).stand(0, 300, rules.GroupLevels{}, open, equal)
		}, "none n 0"},
		{"in speech", func(s *made) {
			s.part(5, 2, desk.Speech).move(10, input(0), desk.Raise, 4).stand(0, 300, rules.GroupLevels{}, open, equal)
		}, "none n 0"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newMade(20*time.Minute).part(0, 1, desk.Music)
			c.make(s)
			wants(t, s.figure(t, "bought"), c.want)
		})
	}
}

// TestSoloRaisesAndLead: one raise of three in solo; a lead that is behind for a minute of
// which half is speech, while another is for a part of the same.
func TestSoloRaisesAndLead(t *testing.T) {
	s := newMade(30*time.Minute).part(0, 1, desk.Music)
	for i := range 3 {
		s.move(float64(10+i), input(i), desk.Raise, 3)
	}
	s.find(20, 1, "solo-raise", rules.Open, rules.Whisper, true, 0, input(0))
	s.find(1000, 2, "lead-behind", rules.Open, rules.Nudge, true, 0, input(3))
	s.find(1010, 3, "lead-behind", rules.Open, rules.Nudge, true, 0, input(2))
	s.find(1020, 3, "lead-behind", rules.Eased, rules.Nudge, true, 0, input(2))
	s.part(1030, 2, desk.Speech)
	s.find(1060, 2, "lead-behind", rules.Eased, rules.Nudge, true, 0, input(3))
	s.part(1200, 3, desk.Music)
	wants(t, s.figure(t, "solo-raises"), "1.00 n 3")
	wants(t, s.figure(t, "lead-behind"), fmt.Sprintf("30.00 n 2, share %.2f", 30.0/(1030+600)))
}

// TestFollowed: what came within two minutes of a card, by whom it names.
func TestFollowed(t *testing.T) {
	piano, harp := input(0), input(2)
	for _, c := range []struct {
		name string
		make func(s *made, f *rules.Finding)
		want Followed
	}{
		{"it is lowered", func(s *made, f *rules.Finding) { s.move(150, piano, desk.Lower, -3) }, Back},
		{"by the DCA that carries it", func(s *made, f *rules.Finding) { s.move(150, bandDCA, desk.Lower, -3) }, Back},
		{"it is muted", func(s *made, f *rules.Finding) { s.move(150, piano, desk.TakeOut, desk.Off) }, Back},
		{"after a raise of another", func(s *made, f *rules.Finding) { s.move(140, harp, desk.Raise, 3).move(150, piano, desk.Lower, -3) }, Back},
		{"too late", func(s *made, f *rules.Finding) { s.move(222, piano, desk.Lower, -3) }, NoAnswer},
		{"before it was shown", func(s *made, f *rules.Finding) { s.move(99, piano, desk.Lower, -3) }, NoAnswer},
		{"another is lowered", func(s *made, f *rules.Finding) { s.move(150, harp, desk.Lower, -3) }, NoAnswer},
		{"another is raised", func(s *made, f *rules.Finding) { s.move(150, harp, desk.Raise, 3) }, Another},
		{"it is raised itself", func(s *made, f *rules.Finding) { s.move(150, piano, desk.Raise, 3) }, Another},
		{"it asks for who is named only there", func(s *made, f *rules.Finding) {
			f.Try = rules.Say("ratchet.try").Naming("who", harp)
			s.move(150, harp, desk.Lower, -3)
		}, Back},
		{"it asks to open", func(s *made, f *rules.Finding) {
			f.Try = rules.Say("muted-voice.try").Naming("who", piano)
			s.move(150, piano, desk.BringIn, desk.Off)
		}, Back},
		{"it asks to open, and somebody closes", func(s *made, f *rules.Finding) {
			f.Try = rules.Say("muted-voice.try").Naming("who", piano)
			s.move(150, piano, desk.Lower, -3)
		}, NoAnswer},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newMade(20*time.Minute).part(0, 1, desk.Music)
			f := s.find(100, 1, "ratchet", rules.Open, rules.Nudge, true, 3, piano)
			c.make(s, f)
			r := Summarise(s.m, Options{})
			if got := r.Findings[0].Followed; got != c.want {
				t.Errorf("followed by %q, want %q", got, c.want)
			}
		})
	}
}

// TestCards: three cards, of which one is seen and one followed; a line is no card.
func TestCards(t *testing.T) {
	s := newMade(20*time.Minute).part(0, 1, desk.Music)
	s.find(100, 1, "ratchet", rules.Open, rules.Nudge, true, 3, input(0))
	s.say(105, rules.PressEntry, &rules.Pressed{Press: rules.Press{Do: rules.Seen, Number: 1}})
	s.move(150, input(0), desk.Lower, -3)
	s.find(400, 2, "ratchet", rules.Open, rules.Whisper, true, 2, input(0))
	s.find(500, 2, "ratchet", rules.Grew, rules.Nudge, true, 3, input(0)) // the line has become a card
	s.move(550, input(2), desk.Raise, 3)
	s.find(700, 3, "hot-main", rules.Open, rules.Now, true, 0)
	s.find(800, 4, "crowded", rules.Open, rules.Whisper, true, 0)
	s.find(900, 5, "creep", rules.Open, rules.Nudge, false, 3, input(0))
	wants(t, s.figure(t, "cards"), "3.00 n 3, seen 1.00")
	wants(t, s.figure(t, "followed"), "0.33 n 3, back 1.00, raise 1.00, none 1.00")
}
