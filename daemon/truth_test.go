package daemon

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/rules"
	"pawl/rules/desk"
)

// judgedOver is the time over which the judge takes its levels.
var judgedOver = rules.DefaultLimits().Mix.JudgeOver

const (
	checkEvery = 10 * time.Second // after a mark, besides each finding
	trimOver   = 2 * time.Second  // the time in which a way back is made
)

// limit is the most that figures may be wrong, in dB.
type limit struct{ mean, worst float64 }

// What the model must reach over all services together. The faders' part is held against
// the desk's own share of it (Shapley's, as the judge's is). Against the same minute with
// nobody at the faders it differs by what the definition does: an input that was opened
// after the mark and then plays is the hand's there, and shared with the stage here.
var (
	reachedTotal   = limit{0.2, 0.5}
	reachedFaders  = limit{0.2, 3}
	reachedShared  = limit{0.2, 0.5}
	reachedWayBack = limit{0.2, 0.5}

	learnedTotal   = limit{0.2, 0.5}
	learnedShared  = limit{0.2, 0.6}
	learnedWayBack = limit{0.2, 0.5}
)

// TestTruth holds the judge's figures against what the practice desk really did. A
// service is played twice, the second time with nobody at the faders from the mark
// on: the difference at the main is what the hand did. Where a way back is proposed
// it is played with and without it. `go test -v` prints the table.
func TestTruth(t *testing.T) {
	all := truthTable(t, "", func() *house.House { return harbourHall(t) })
	all.total.within(t, "total since the mark", reachedTotal)
	all.faders.within(t, "fader part", reachedFaders)
	all.shared.within(t, "fader part as shared out", reachedShared)
	all.wayBack.within(t, "predicted total of the way back", reachedWayBack)
}

// TestTruthLearned does so on a desk that tells no compressor's settings: how it answers
// is learned from the meters. A threshold that is moved there is left out: until ten
// seconds of the new one have been heard, what is known is of the old one.
func TestTruthLearned(t *testing.T) {
	settings := regexp.MustCompile(`(?m)^  - hear: /fold/\{group:1-4\}/squeeze/(from|by)\n(    .*\n)*`)
	all := truthTable(t, "threshold-moved", func() *house.House {
		deaf := settings.ReplaceAllString(string(practice.MapFile()), "")
		h, faults := house.Files{"harbour-hall.house.yaml": string(practice.House()), "harbour-hall.map.yaml": deaf}.Load("harbour-hall.house.yaml")
		if h == nil || h.Map.HearsSignal(desk.GroupThreshold) {
			t.Fatalf("the map still hears thresholds, or is bad: %v", faults)
		}
		return h
	})
	all.total.within(t, "total since the mark", learnedTotal)
	all.shared.within(t, "fader part as shared out", learnedShared)
	all.wayBack.within(t, "predicted total of the way back", learnedWayBack)
}

func truthTable(t *testing.T, but string, hall func() *house.House) (all truths) {
	t.Helper()
	table := []string{fmt.Sprintf("%-22s %5s  %-19s%-19s%-19s%-19s", "mean/worst dB", "held", "total", "faders", "faders as shared", "way back")}
	for _, name := range practicetest.Services() {
		if name == but {
			continue
		}
		script, err := practicetest.Service(name)
		if err != nil {
			t.Fatal(err)
		}
		got := holdAgainstTruth(t, script, hall())
		table = append(table, got.row(name))
		all.add(got)
	}
	t.Log("\n" + strings.Join(append(table, all.row("all")), "\n"))
	return all
}

// truths are the errors of one service or of all.
type truths struct {
	total, faders, wayBack errs

	// shared is the fader part's error against the Shapley value of what the desk itself
	// would do. What faders has beyond this is the definition's and not the model's:
	// when an input is opened and only then begins to play, the hand's half of that is
	// less than the difference to the same minute with nobody at the faders.
	shared errs

	held float64 // the most that any group truly held back at a moment that was compared
}

func (s *truths) add(o truths) {
	s.total = append(s.total, o.total...)
	s.faders = append(s.faders, o.faders...)
	s.shared = append(s.shared, o.shared...)
	s.wayBack = append(s.wayBack, o.wayBack...)
	s.held = max(s.held, o.held)
}

func (s truths) row(name string) string {
	return fmt.Sprintf("%-22s %5.1f  %v%v%v%v", name, s.held, s.total, s.faders, s.shared, s.wayBack)
}

// errs are differences in dB of what was said and what was so.
type errs []miss

type miss struct {
	what      string // of which service, when
	said, was float64
}

func (m miss) by() float64 { return math.Abs(m.said - m.was) }

func (e errs) mean() (sum float64) {
	for _, m := range e {
		sum += m.by() / float64(len(e))
	}
	return sum
}

func (e errs) worst() (worst miss) {
	for _, m := range e {
		if m.by() >= worst.by() {
			worst = m
		}
	}
	return worst
}

func (e errs) String() string {
	if len(e) == 0 {
		return fmt.Sprintf("%-19s", "-")
	}
	return fmt.Sprintf("%-19s", fmt.Sprintf("%.2f/%.2f (%d)", e.mean(), e.worst().by(), len(e)))
}

// within fails for figures that are further out than the limit, or if there are none.
func (e errs) within(t *testing.T, what string, most limit) {
	t.Helper()
	if len(e) == 0 {
		t.Errorf("%s: nothing was compared", what)
		return
	}
	if got := e.mean(); !(got <= most.mean) {
		t.Errorf("%s: %.2f dB wrong in the mean of %d, want at most %v", what, got, len(e), most.mean)
	}
	if m := e.worst(); !(m.by() <= most.worst) {
		t.Errorf("%s: %s: said %+.2f dB, was %+.2f dB; want within %v", what, m.what, m.said, m.was, most.worst)
	}
}

// onTrial is a service whose judgement is being held against the truth.
type onTrial struct {
	t      *testing.T
	script *practice.Script
	engine *engine
	truth  *practice.Witness

	marked   time.Duration // the mark that handsOff is of
	handsOff *practice.Witness
	found    truths
}

func holdAgainstTruth(t *testing.T, s *practice.Script, h *house.House) truths {
	t.Helper()
	o := &onTrial{t: t, script: s, engine: newEngine(h), truth: practice.Watch(s, 0)}
	for at, packet := range practice.Play(s, practicetest.Dialects()[0], practice.Playing{}) {
		o.until(at)
		o.engine.packet(at, packet)
	}
	o.until(s.Length)
	return o.found
}

// until lets time pass one step of the judge's at a time, so that what is said is
// compared at the moment at which it was said.
func (o *onTrial) until(at time.Duration) {
	for next, ok := o.engine.next(); ok && next <= at; next, ok = o.engine.next() {
		o.engine.advance(next)
		said := findings(o.engine)
		p := o.engine.judge.Picture()
		since := next - time.Duration(p.Mark.T)
		if p.Mark.Set && since > 0 && (len(said) > 0 || since%checkEvery == 0) {
			o.compare(next, p)
		}
		for _, f := range said {
			if f.State == rules.Open || f.State == rules.Grew {
				o.goBack(next, f)
			}
		}
	}
}

// compare holds a picture against the desk. While a hand is at work, while nobody
// plays, and while the desk has not been heard for as long as levels are taken over,
// there is nothing to compare.
func (o *onTrial) compare(at time.Duration, p rules.Picture) {
	mark := time.Duration(p.Mark.T)
	if p.Playing == 0 || !o.truth.Steady(at, judgedOver) {
		return
	}
	if o.handsOff == nil || o.marked != mark {
		o.marked, o.handsOff = mark, practice.Watch(o.script.HandsOff(mark), 0)
	}
	then, now, untouched := o.truth.Mix(mark), o.truth.Mix(at), o.handsOff.Mix(at)
	heard := func(when time.Duration, through practice.Mix) float64 { return o.truth.Main(when, judgedOver, through) }
	what, total := fmt.Sprintf("%s at %v", o.script.Name, at), heard(at, now)
	o.found.total = append(o.found.total, miss{what, float64(p.Total - p.Mark.Total), total - heard(mark, then)})
	o.found.faders = append(o.found.faders, miss{what, float64(p.Split.Faders), total - heard(at, untouched)})
	o.found.shared = append(o.found.shared, miss{what, float64(p.Split.Faders), o.shared(mark, at)})
	for g := range practice.Groups.Strips() {
		o.found.held = max(o.found.held, o.truth.Reduction(g, at, judgedOver, now))
	}
}

// shared is the faders' Shapley value in the change at the main between two moments:
// the mean of what they do after each set of the other three causes, each set counted
// as often as it comes first among the 24 orders in which the four may happen.
func (o *onTrial) shared(mark, at time.Duration) (part float64) {
	then, now := o.truth.Mix(mark), o.truth.Mix(at)
	orders := [...]float64{6, 2, 2, 6} // by how many of the three have happened
	for others := range 8 {
		when, groups, main, n := mark, then, then, 0
		if others&1 != 0 {
			when, n = at, n+1
		}
		if others&2 != 0 {
			groups, n = now, n+1
		}
		if others&4 != 0 {
			main, n = now, n+1
		}
		with := o.truth.Main(when, judgedOver, practice.Blend(now, groups, main))
		without := o.truth.Main(when, judgedOver, practice.Blend(then, groups, main))
		part += orders[n] / 24 * (with - without)
	}
	return part
}

// goBack makes the trims that a finding proposes and nothing else, and compares how
// much lower it then is than if nobody had done anything, once levels rest on nothing
// but what came after them.
func (o *onTrial) goBack(at time.Duration, f *rules.Finding) {
	said, trims := wayBackOf(f)
	later := at + trimOver + judgedOver
	if len(trims) == 0 || later > o.script.Length {
		return
	}
	left := o.script.HandsOff(at)
	made := left
	for who, by := range trims {
		made = made.Lowering(banks[who.Strip], who.Index, by, at, trimOver)
	}
	a, b := practice.Watch(left, 0), practice.Watch(made, 0)
	was := a.Main(later, judgedOver, a.Mix(later)) - b.Main(later, judgedOver, b.Mix(later))
	o.found.wayBack = append(o.found.wayBack, miss{fmt.Sprintf("%s at %v", o.script.Name, at), said, was})
}

// banks are the practice desk's words for what a judge calls a strip.
var banks = map[desk.Strip]practice.Bank{
	desk.StripInput: practice.Inputs, desk.StripDCA: practice.DCAs, desk.StripGroup: practice.Groups, desk.StripMain: practice.Main,
}

// wayBackOf is what a finding proposes: how much lower it says the total will be, and
// which strips to lower by how much for it.
func wayBackOf(f *rules.Finding) (lower float64, trims map[desk.Mover]float64) {
	trims = map[desk.Mover]float64{}
	for _, fact := range f.Facts {
		switch fact.ID {
		case "ratchet.back":
			trims[fact.About.Mover()], _ = fact.Figures.Of("by")
		case "ratchet.back-total":
			lower, _ = fact.Figures.Of("lower")
		}
	}
	return lower, trims
}
