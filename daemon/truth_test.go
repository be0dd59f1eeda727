package daemon

import (
	"flag"
	"fmt"
	"math"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/rules"
	"pawl/rules/desk"
)

// judgedOver is the time over which the judge takes its levels, shownOver that over which
// an input has to be above the gate to count as playing.
var (
	judgedOver = rules.DefaultLimits().Mix.JudgeOver
	shownOver  = rules.DefaultLimits().Mix.ShowOver
	gate       = float64(rules.DefaultLimits().Mix.Gate)
)

const (
	checkEvery = 10 * time.Second // after a mark, besides each finding
	trimOver   = 2 * time.Second  // the time in which a way back is made
)

// limit is the most that figures may be wrong, in dB.
type limit struct{ mean, worst float64 }

// reached is what the model must reach over all services together.
var reached = limit{0.2, 0.5}

// oneAnswer is how far the two questions that may be asked of the hand may lie apart, in
// dB, and still be one. The first is how much louder it is now than if nobody had touched
// a fader; the second, how much louder the same hand would have made what was heard at
// the mark. Where the same inputs sound at both they have one answer. Where the hand let
// somebody in who was not playing then, or took out somebody who has stopped since, there
// are two, because nobody can tell the hand's from the player's: then what is said has to
// lie between them.
const oneAnswer = 0.25

// Of the moments that are compared, so many at most may be without a number, and so many
// have two answers: the rest is what a listener would ask about. In the labelled services
// people come and go all the time, and somebody's microphone is opened for each of them.
const (
	mostSilent  = 0.1
	mostTwofold = 0.5
)

// On a desk that tells no compressor's settings some figures may be further out than
// reached, at so many of the moments at most. Blind ones lie within ten seconds after the
// compressor of a group was set anew that had hardly been heard at such a level before. Unseen
// ones ask how a group would answer a level at which it was never heard, or not for long. Nearly
// all of these are of somebody who played far louder or softer while the hand took that back
// or added to it: how loud both were at the mark was heard, and how loud both are now, but what
// the hand is worth in every order asks for the one without the other, and no meter has ever
// shown what the compressor makes of that.
const (
	mostBlind  = 0.0006
	mostUnseen = 0.0065
	inAThird   = 3 // times as many, for all may lie in the third that is played
)

// TestTruth holds the judge's figures against what the practice desk really did. A
// service is played twice, the second time with nobody at the faders from the mark
// on: the difference at the main is what the hand did. Where a way back is proposed
// it is played with and without it. `go test -v` prints the table.
func TestTruth(t *testing.T) { truthTable(t, func(b both) truths { return b.told }) }

// TestTruthLearned does so on a desk that tells no compressor's settings: how it answers
// is learned from the meters.
func TestTruthLearned(t *testing.T) { truthTable(t, func(b both) truths { return b.learned }) }

// both are what came of a service at a desk that tells its compressors' settings and at
// one that does not.
type both struct {
	name          string
	told, learned truths
}

// heldAgainstTruth is every service of every set, in every hall with groups, played once
// for both tests.
var heldAgainstTruth = sync.OnceValues(func() ([]both, error) {
	scripts, err := truthScripts()
	if err != nil {
		return nil, err
	}
	halls := map[*practice.Hall][2]*house.House{}
	for _, s := range scripts {
		if _, known := halls[s.Hall()]; known {
			continue
		}
		if halls[s.Hall()], err = truthHalls(s.Hall()); err != nil {
			return nil, err
		}
	}
	all := make([]both, len(scripts))
	var work sync.WaitGroup
	room := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i, s := range scripts {
		room <- struct{}{}
		work.Go(func() {
			all[i] = holdAgainstTruth(s, halls[s.Hall()])
			<-room
		})
	}
	work.Wait()
	return all, nil
})

// truthScripts are the practice services and then those of the yardstick's sets.
//
// Of the labelled services it is every third, by turns, and all with -whole, which takes eight minutes of a core.
func truthScripts() (all []*practice.Script, err error) {
	for _, name := range practicetest.Services() {
		s, err := practicetest.Service(name)
		if err != nil {
			return nil, err
		}
		all = append(all, s)
	}
	sets, err := practicetest.Yardsticks()
	if err != nil {
		return nil, err
	}
	turn := 0
	for _, set := range sets {
		of, err := practicetest.Yardstick(set)
		if err != nil {
			return nil, err
		}
		for _, l := range of {
			if turn++; *whole || turn%3 == 0 {
				all = append(all, l.Script)
			}
		}
	}
	return all, nil
}

var whole = flag.Bool("whole", false, "hold the judge against the truth in every labelled service")

// truthHalls are a hall, and the same with a map that hears no compressor's settings.
func truthHalls(of *practice.Hall) (halls [2]*house.House, err error) {
	settings := regexp.MustCompile(`(?m)^  - hear: /(fold|in)/\{[^}]*\}/squeeze/(from|by)\n(    .*\n)*`)
	file, files := practicetest.House(of)
	for i := range halls {
		if i == 1 {
			for name, text := range files {
				files[name] = settings.ReplaceAllString(text, "")
			}
		}
		h, faults := house.Files(files).Load(file)
		if h == nil || (h.Map.HearsSignal(desk.GroupThreshold) || h.Map.HearsSignal(desk.InputCompRatio)) != (i == 0) {
			return halls, fmt.Errorf("%s: map %d is bad or hears the wrong signals: %v", of.Name(), i, faults)
		}
		halls[i] = h
	}
	return halls, nil
}

func truthTable(t *testing.T, of func(both) truths) {
	t.Helper()
	practicetest.SkipRaced(t)
	services, err := heldAgainstTruth()
	if err != nil {
		t.Fatal(err)
	}
	var all truths
	table := []string{fmt.Sprintf("%-24s %5s  %-18s%-18s%-18s%-18s%7s%8s%6s%7s", "mean/worst dB", "held", "total", "faders", "faders as shared", "way back", "silent", "twofold", "blind", "unseen")}
	for _, s := range services {
		got := of(s)
		table = append(table, got.row(s.name))
		all.add(got)
	}
	t.Log("\n" + strings.Join(append(table, all.row("all")), "\n"))
	t.Log("\n" + strings.Join(all.beyond, "\n"))
	all.total.within(t, "total since the mark", reached)
	all.faders.within(t, "fader part", reached)
	all.shared.within(t, "fader part as shared out", reached)
	all.wayBack.within(t, "predicted total of the way back", reached)
	for _, wrong := range all.wrong {
		t.Error(wrong)
	}
	if most := mostSilent * float64(all.moments); float64(all.silent) > most {
		t.Errorf("%d of %d moments were without a number, want at most %.0f", all.silent, all.moments, most)
	}
	few := 1.0
	if !*whole {
		few = inAThird
	}
	if most := few * mostBlind * float64(all.moments); float64(all.blind) > most {
		t.Errorf("%d of %d moments were wrong soon after a compressor was set, want at most %.0f", all.blind, all.moments, most)
	}
	if most := few * mostUnseen * float64(all.moments); float64(all.unseen) > most {
		t.Errorf("%d of %d moments were wrong by a compressor that was seldom heard, want at most %.0f", all.unseen, all.moments, most)
	}
	if most := mostTwofold * float64(all.moments); float64(all.twofold) > most {
		t.Errorf("at %d of %d moments the question of the hand had two answers, want at most %.0f", all.twofold, all.moments, most)
	}
}

// truths are the errors of one service or of all.
type truths struct {
	total, faders, wayBack errs

	// shared is the fader part's error against the Shapley value of what the desk itself
	// would do, which is one number also where faders is a span.
	shared errs

	moments int // that were compared
	silent  int // of them: nothing was heard at one end, so there is no number
	twofold int // of them: the question of the hand had two answers
	blind   int // of them: wrong soon after a compressor was set that tells no settings
	unseen  int // of them: wrong because a compressor that tells none was hardly ever so loud

	beyond []string // those that were blind or unseen
	wrong  []string // a number where there is none, or none where there is
	held   float64  // the most that any group truly held back at a moment that was compared
}

func (s *truths) add(o truths) {
	s.total = append(s.total, o.total...)
	s.faders = append(s.faders, o.faders...)
	s.shared = append(s.shared, o.shared...)
	s.wayBack = append(s.wayBack, o.wayBack...)
	s.wrong = append(s.wrong, o.wrong...)
	s.beyond = append(s.beyond, o.beyond...)
	s.moments, s.silent, s.twofold = s.moments+o.moments, s.silent+o.silent, s.twofold+o.twofold
	s.blind, s.unseen = s.blind+o.blind, s.unseen+o.unseen
	s.held = max(s.held, o.held)
}

func (s truths) row(name string) string {
	return fmt.Sprintf("%-24s %5.1f  %v%v%v%v%7d%8d%6d%7d", name, s.held, s.total, s.faders, s.shared, s.wayBack, s.silent, s.twofold, s.blind, s.unseen)
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
		return fmt.Sprintf("%-18s", "-")
	}
	return fmt.Sprintf("%-18s", fmt.Sprintf("%.2f/%.2f (%d)", e.mean(), e.worst().by(), len(e)))
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

// onTrial is a judgement that is being held against the truth.
type onTrial struct {
	play   *twicePlayed
	engine *engine
	untold bool // the desk tells no compressor's settings
	marked time.Duration
	found  truths
}

// twicePlayed is a service, and what is known of it by having played it once more.
type twicePlayed struct {
	script   *practice.Script
	truth    *practice.Witness
	handsOff map[time.Duration]*practice.Witness // by the mark from which on
	changes  map[[2]time.Duration]change         // by mark and moment: both desks are asked of the same ones
}

func (p *twicePlayed) untouched(since time.Duration) *practice.Witness {
	if p.handsOff[since] == nil {
		p.handsOff[since] = practice.Watch(p.script.HandsOff(since), 0)
	}
	return p.handsOff[since]
}

// change is what truly came of the level at the main between two moments.
type change struct {
	was, is float64 // dBFS
	heard   int     // inputs at the later one

	// What the hand did, by either question that may be asked of it, and shared out
	// among the four causes.
	sinceThen, toThen, shared float64
}

// between is the change from a mark to a moment.
func (p *twicePlayed) between(mark, at time.Duration) change {
	key := [2]time.Duration{mark, at}
	if c, known := p.changes[key]; known {
		return c
	}
	truth := p.truth
	then, now := truth.Mix(mark), truth.Mix(at)
	heard := func(w *practice.Witness, when time.Duration, through practice.Mix) float64 {
		return max(w.Main(when, judgedOver, through), inaudible)
	}
	c := change{was: heard(truth, mark, then), is: heard(truth, at, now)}
	// The room's own noise is no answer to how loud the music is.
	c.heard = truth.Heard(at, shownOver, now, gate)
	if c.heard > 0 && min(c.was, c.is) > inaudible {
		untouched := p.untouched(mark)
		c.sinceThen = c.is - heard(untouched, at, untouched.Mix(at))
		c.toThen = heard(truth, mark, practice.Blend(now, then, then, then)) - c.was
		c.shared = p.shared(mark, at)
	}
	p.changes[key] = c
	return c
}

func holdAgainstTruth(s *practice.Script, halls [2]*house.House) both {
	play := &twicePlayed{s, practice.Watch(s, 0), map[time.Duration]*practice.Witness{}, map[[2]time.Duration]change{}}
	told, learned := &onTrial{play: play, engine: newEngine(halls[0])}, &onTrial{play: play, engine: newEngine(halls[1]), untold: true}
	for at, packet := range practice.Play(s, practicetest.Dialects()[0], practice.Playing{}) {
		for _, o := range [...]*onTrial{told, learned} {
			o.until(at)
			o.engine.packet(at, packet)
		}
	}
	told.until(s.Length)
	learned.until(s.Length)
	return both{s.Name, told.found, learned.found}
}

// until lets time pass one step of the judge's at a time, so that what is said is
// compared at the moment at which it was said.
func (o *onTrial) until(at time.Duration) {
	for next, ok := o.engine.next(); ok && next <= at; next, ok = o.engine.next() {
		o.engine.advance(next)
		said := findings(o.engine)
		if len(said) == 0 && (next-o.marked)%time.Second != 0 {
			continue
		}
		p := o.engine.judge.Picture()
		o.marked = time.Duration(p.Mark.T)
		o.adds(next, p)
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

// adds holds the parts to their sum: what is shown of a rise, by whatever cause, is the
// total less the mark's.
func (o *onTrial) adds(at time.Duration, p rules.Picture) {
	if !p.Mark.Set {
		return
	}
	rise := max(float64(p.Total), inaudible) - max(float64(p.Mark.Total), inaudible)
	if math.Abs(rise-float64(p.Rise)) > rounding || math.Abs(rise-float64(p.Split.Total())) > rounding {
		o.found.wrong = append(o.found.wrong, fmt.Sprintf("%s at %v: the rise is %.3f dB, the sum of its parts %.3f, and the total less the mark's %.3f",
			o.play.script.Name, at, float64(p.Rise), float64(p.Split.Total()), rise))
	}
}

// rounding is what sums of decibels may lie apart by, in dB.
const rounding = 1e-6

// untold is how soon Pawl has to see from the meters alone that a compressor was set anew.
const untold = time.Second

// compare holds a picture against the desk. While a hand is at work on a fader, or on a
// compressor of a desk that does not tell, and while the desk has not been heard for as
// long as levels are taken over, there is nothing to compare.
func (o *onTrial) compare(at time.Duration, p rules.Picture) {
	truth, mark := o.play.truth, time.Duration(p.Mark.T)
	if !truth.Steady(at, judgedOver) || o.untold && !truth.Mix(at).SetAs(truth.Mix(at-untold)) {
		return
	}
	o.found.moments++
	c := o.play.between(mark, at)
	what := fmt.Sprintf("%s at %v", o.play.script.Name, at)
	silent := c.is == inaudible || c.heard == 0
	if (c.is == inaudible) != (p.Total == desk.Silence) || silent != (p.Lead.ID == "glance.silent" || p.Lead.ID == "glance.shut") {
		o.found.wrong = append(o.found.wrong, fmt.Sprintf("%s: the total is %v (%s), was %.1f dBFS, silent %v", what, p.Total, p.Lead.ID, c.is, silent))
	}
	if silent || c.was == inaudible {
		o.found.silent++
		return
	}
	total := miss{what, float64(p.Rise), c.is - c.was}
	part := float64(p.Split.Faders)
	faders, shared := miss{what, part, c.sinceThen}, miss{what, part, c.shared}
	if a, b := c.sinceThen, c.toThen; math.Abs(a-b) > oneAnswer {
		o.found.twofold++
		faders.was = min(max(part, min(a, b)), max(a, b))
	}
	if o.untold && max(total.by(), faders.by(), shared.by()) > reached.worst {
		why := "unseen"
		if o.play.settled(at) {
			o.found.unseen++
		} else {
			o.found.blind++
			why = "blind"
		}
		o.found.beyond = append(o.found.beyond, fmt.Sprintf("%s: %s, since the mark at %v: total %+.2f, was %+.2f; faders %+.2f, was %+.2f, shared out %+.2f",
			why, what, mark, total.said, total.was, part, faders.was, shared.was))
		return
	}
	o.found.total, o.found.faders, o.found.shared = append(o.found.total, total), append(o.found.faders, faders), append(o.found.shared, shared)
	for g := range o.play.script.Hall().Strips(practice.Groups) {
		o.found.held = max(o.found.held, truth.Reduction(g, at, judgedOver, truth.Mix(at)))
	}
}

// settled reports whether no compressor was set anew while the levels of a moment were taken.
func (p *twicePlayed) settled(at time.Duration) bool {
	for d := desk.Beat; d <= judgedOver; d += desk.Beat {
		if !p.truth.Mix(at).SetAs(p.truth.Mix(at - d)) {
			return false
		}
	}
	return true
}

// inaudible is what a total is nothing at and below, in dBFS.
const inaudible = -120

// shared is the faders' Shapley value in the change at the main between two moments:
// the mean of what they do after each set of the other three causes, each set counted
// as often as it comes first among the 24 orders in which the four may happen.
func (p *twicePlayed) shared(mark, at time.Duration) (part float64) {
	then, now := p.truth.Mix(mark), p.truth.Mix(at)
	// Most often nothing was done to groups and main, and one blend is as another.
	type played struct {
		when    time.Duration
		through practice.Mix
		level   float64
	}
	var known []played
	main := func(when time.Duration, through practice.Mix) float64 {
		for _, k := range known {
			if k.when == when && k.through.Same(through) {
				return k.level
			}
		}
		level := max(p.truth.Main(when, judgedOver, through), inaudible)
		known = append(known, played{when, through, level})
		return level
	}
	orders := [...]float64{6, 2, 2, 6} // by how many of the three have happened
	for others := range 8 {
		when, stage, groups, last, n := mark, then, then, then, 0
		if others&1 != 0 {
			when, stage, n = at, now, n+1
		}
		if others&2 != 0 {
			groups, n = now, n+1
		}
		if others&4 != 0 {
			last, n = now, n+1
		}
		with := main(when, practice.Blend(now, stage, groups, last))
		without := main(when, practice.Blend(then, stage, groups, last))
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
	if len(trims) == 0 || later > o.play.script.Length {
		return
	}
	left := o.play.script.HandsOff(at)
	left.Length = later
	made := left
	for who, by := range trims {
		made = made.Lowering(banks[who.Strip], who.Index, by, at, trimOver)
	}
	a, b := practice.Watch(left, 0), practice.Watch(made, 0)
	was := a.Main(later, judgedOver, a.Mix(later)) - b.Main(later, judgedOver, b.Mix(later))
	o.found.wayBack = append(o.found.wayBack, miss{fmt.Sprintf("%s at %v", o.play.script.Name, at), said, was})
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
