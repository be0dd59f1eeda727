package rules

import (
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/daemon/practice/practicetest"
	"pawl/rules/desk"
)

// compressing is a small desk with compressors on its groups, and a band that plays into it: every
// tenth of a second it tells its meters, and does to what is fed to a group what its settings say.
type compressing struct {
	roster desk.Roster
	curves []desk.Curve // by group
	levels []float64    // by input, in the mean
	stands standsAt
	first  standsAt // before anybody moved a fader

	j     *Judge
	n     int                // tenths of a second that have passed
	heard [2][100]desk.Power // the total in the last ten seconds: as it stands, and had nobody moved a fader
}

// standsAt is where faders stand.
type standsAt struct{ inputs, dcas []float64 }

// level is what an input plays in a tenth of a second: phrases and accents of its own.
func (d *compressing) level(i, n int) desk.DBFS {
	return desk.DBFS(d.levels[i] + 4*math.Sin(float64(n)/17+float64(i)*1.3) + 5*chance(i, int64(n/3)) - 4.5)
}

// total is what leaves the desk in this tenth of a second, and by how much groups are reduced.
func (d *compressing) total(f standsAt) (sum desk.Power, reductions []desk.DB) {
	fed := make([]desk.Power, len(d.curves))
	for i, in := range d.roster.Inputs {
		gain := f.inputs[i]
		for _, k := range in.DCAs {
			gain += f.dcas[k]
		}
		p := (d.level(i, d.n) + desk.DBFS(gain)).Power()
		if in.Main {
			sum += p
		}
		for _, k := range in.Groups {
			fed[k] += p
		}
	}
	for k, p := range fed {
		reduction := d.curves[k].Reduction(p.Level())
		reductions = append(reductions, reduction)
		sum += p * desk.Power((-reduction).Ratio())
	}
	return sum, reductions
}

// play lets time pass, to a tenth of a second.
func (d *compressing) play(seconds float64) {
	for range int(seconds * 10) {
		d.n++
		sum, reductions := d.total(d.stands)
		without, _ := d.total(d.first)
		d.heard[0][d.n%100], d.heard[1][d.n%100] = sum, without
		for i := range d.roster.Inputs {
			d.tell(desk.InputLevel, i, float64(d.level(i, d.n)))
		}
		for k, reduction := range reductions {
			d.tell(desk.GroupReduction, k, float64(reduction))
		}
	}
}

func (d *compressing) tell(s desk.Signal, i int, v float64) {
	d.j.Hear(desk.Reading{At: time.Duration(d.n) * 100 * ms, Signal: s, Index: i, Value: v})
}

// move has a hand put an input's fader or a DCA somewhere.
func (d *compressing) move(who desk.Mover, by float64) {
	if who.Strip == desk.StripDCA {
		d.stands.dcas[who.Index] += by
		d.tell(desk.DCAFader, who.Index, d.stands.dcas[who.Index])
		return
	}
	d.stands.inputs[who.Index] += by
	d.tell(desk.InputFader, who.Index, d.stands.inputs[who.Index])
}

// hand is by how much what was heard in the last ten seconds is louder than if nobody had moved a
// fader: what the faders' part is, by definition.
func (d *compressing) hand() desk.DB {
	var is, was desk.Power
	for n := range d.heard[0] {
		is, was = is+d.heard[0][n], was+d.heard[1][n]
	}
	return is.Level().Above(was.Level())
}

// anyCompressing draws such a desk: five that play and a sixth that nobody raises, in one of two groups or in none,
// and in one DCA or in none; and whether it tells what its compressors are set to.
func anyCompressing(t *rapid.T, told bool) *compressing {
	r := desk.Roster{DCAs: []string{"band"}, Groups: []string{"one", "two"}}
	d := &compressing{stands: standsAt{dcas: []float64{0}}}
	for _, name := range []string{"piano", "accordion", "fiddle", "lead", "bass", "harp"} {
		in := desk.Input{Name: name, Main: true}
		if k := rapid.IntRange(-1, 1).Draw(t, name+" group"); k >= 0 {
			in.Main, in.Groups = false, []int{k}
		}
		if rapid.Bool().Draw(t, name+" DCA") {
			in.DCAs = []int{0}
		}
		r.Inputs = append(r.Inputs, in)
		d.levels = append(d.levels, float64(rapid.IntRange(-24, -16).Draw(t, name+" level")))
		d.stands.inputs = append(d.stands.inputs, -10)
	}
	d.roster, d.j = r, newJudge(r)
	for k := range r.Groups {
		c := desk.Curve{
			Threshold: desk.DBFS(rapid.IntRange(-36, -24).Draw(t, "threshold")),
			Ratio:     float64(rapid.IntRange(3, 12).Draw(t, "ratio")) / 2, Knee: desk.DB(rapid.IntRange(0, 6).Draw(t, "knee")),
		}
		d.curves = append(d.curves, c)
		if told {
			d.tell(desk.GroupThreshold, k, float64(c.Threshold))
			d.tell(desk.GroupRatio, k, c.Ratio)
			d.tell(desk.GroupKnee, k, float64(c.Knee))
		}
	}
	for i := range r.Inputs {
		d.move(inputMover(i), 0)
	}
	d.tell(desk.DCAFader, 0, 0)
	d.tell(desk.MainFader, 0, 0)
	d.first = standsAt{slices.Clone(d.stands.inputs), slices.Clone(d.stands.dcas)}
	return d
}

// advice is the way back that the ratchet's card has, false once it has eased: what begins after that is
// measured from elsewhere.
func (d *compressing) advice() (*ledger, wayBack, bool) {
	r := d.j.rules[0].rule.(*ratchet)
	if r.episode == nil || !r.episode.claimed || r.episode.key > 1 {
		return nil, wayBack{}, false
	}
	l := ledgerOf(d.j)
	return l, l.wayBack(), true
}

// raise has a hand raise some of those who play, one after another, and now and then lower one.
func (d *compressing) raise(t *rapid.T) {
	for n := range rapid.IntRange(3, 9).Draw(t, "raises") {
		by := float64(rapid.IntRange(1, 4).Draw(t, "half dB")) / 2
		if n > 2 && rapid.IntRange(0, 9).Draw(t, "lowered") == 0 {
			by = -min(by, 1)
		}
		d.move(inputMover(rapid.IntRange(0, 4).Draw(t, "who")), by)
		d.play(float64(rapid.IntRange(2, 12).Draw(t, "later")))
	}
}

// TestTheWayBackIsAWay: made as it is said, round after round until the card has eased, with no more than
// three faders and 6 dB in each, and no input lower than it stood, though a DCA that moves it may. Where a
// way back is said to be the whole way, what the hand then does to what is heard is within half a
// decibel of nothing. Where it is said to leave something, that is what is left; and it goes 6 dB down
// with a DCA, or no other three lead back.
func TestTheWayBackIsAWay(t *testing.T) {
	practicetest.SkipRaced(t)
	for name, told := range map[string]bool{"settings told": true, "settings learned": false} {
		t.Run(name, func(t *testing.T) {
			ways, squeezed, partly := 0, 0, 0
			rapid.Check(t, func(t *rapid.T) {
				d := anyCompressing(t, told)
				d.play(25)
				d.raise(t)
				d.play(16)
				for rounds := 0; ; rounds++ {
					l, w, open := d.advice()
					switch {
					case !open:
						return
					case rounds == 5:
						t.Fatal("there is advice without end")
					}
					ways++
					if l.squeezes() {
						squeezed++
					}
					left, whole := leftBy(t, l, w)
					if !whole {
						partly++
						l.leadsNoThree(t, w)
					}
					d.make(t, l, w)
					d.play(12) // means are over ten seconds
					switch does := d.hand(); {
					case whole && does.Abs() > near:
						t.Errorf("the hand does %v, after %+v that were the whole way", does, w.trims)
					case (does - left).Abs() > model:
						t.Errorf("the hand does %v, was to do %v", does, left)
					}
				}
			})
			t.Logf("%d ways back, %d said to leave something", ways, partly)
			if ways == 0 || squeezed == 0 || partly == ways {
				t.Errorf("%d ways back, %d out of a compressor, %d of them not the whole way: the test proves nothing", ways, squeezed, partly)
			}
		})
	}
}

// model is how far a prediction may be beside what is heard, while the band plays on.
const model = desk.DB(0.3)

// leftBy is what the card says is left of what the hand does, and whether it says that to be nothing: in
// its words, or in the arithmetic behind them where the words are for when the stage is louder again.
func leftBy(t *rapid.T, l *ledger, w wayBack) (left desk.DB, whole bool) {
	facts := l.backFacts(w)
	left = desk.DB(figure(t, facts[len(facts)-1].Phrase, "part"))
	switch _, then := l.try(w); then.ID {
	case "ratchet.then", "ratchet.then-whole":
		return left, true
	case "ratchet.then-listen", "ratchet.then-rest":
		return desk.DB(figure(t, then, "part")), false
	case "":
		return left, left.Abs() <= aim
	default:
		t.Fatalf("nothing is known of what %s leaves", then.ID)
		return 0, false
	}
}

// squeezes reports whether a group's compressor took back what was raised into it.
func (l *ledger) squeezes() bool {
	return slices.ContainsFunc(upTo(l.Groups()), func(k int) bool { return l.base.Held(k).Above(l.now.Held(k)).Reaches(near) })
}

// make does what a way back says.
func (d *compressing) make(t *rapid.T, l *ledger, w wayBack) {
	if len(w.trims) > mostTrims {
		t.Errorf("%d trims", len(w.trims))
	}
	for _, m := range w.trims {
		if m.by > l.limits.Trim || m.who.Strip != desk.StripInput && m.who.Strip != desk.StripDCA {
			t.Errorf("%s down %v", nameOf(d.j, m.who), m.by)
		}
		d.move(m.who, -float64(m.by))
		if m.who.Strip == desk.StripDCA {
			continue
		}
		if at, was := d.stands.inputs[m.who.Index], d.first.inputs[m.who.Index]; at < was-0.05 {
			t.Errorf("%s is led to %v, below the %v where it was", nameOf(d.j, m.who), at, was)
		}
	}
}

// leadsNoThree fails if some three of those who count as raised, back where they were or as far towards
// it as they may be led at a time, lead back where this way, of another kind than a DCA, does not. Who is up
// by less was not raised, and is not asked to come down.
func (l *ledger) leadsNoThree(t *rapid.T, w wayBack) {
	if w.trims[0].who.Strip == desk.StripDCA {
		if most := w.trims[0].by; most < l.limits.Trim {
			t.Errorf("%v are left by a DCA that comes down %v", w.part, most)
		}
		return
	}
	for a := range l.ups {
		for b := range l.ups[:a+1] {
			for c := range l.ups[:b+1] {
				o := wayBack{}
				for _, k := range slices.Compact([]int{a, b, c}) {
					o.trims = append(o.trims, trim{l.ups[k], min(l.net(l.ups[k]), l.limits.Trim)})
				}
				if l.predict(&o); o.part < aim-2*audible {
					t.Errorf("%v are left by %+v, and %+v could leave %v", w.part, w.trims, o.trims, o.part)
				}
			}
		}
	}
}
