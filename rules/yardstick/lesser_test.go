package yardstick

import (
	"flag"
	"slices"
	"testing"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/desk"
)

// lesser is a desk that tells less than the harbour's.
type lesser struct {
	name  string
	lacks func(desk.Signal) bool // it has nothing of this, nor what would stand in for it
	peaks bool                   // its meters show peaks and nothing else

	// blind are the inputs of which no meter is told; nil for none.
	blind func(input int, in desk.Input) bool

	// known are the faults that a desk which tells everything has not.
	known []fault
}

func nothing(desk.Signal) bool { return false }

// metered reports whether a signal is what a meter shows.
func metered(s desk.Signal) bool {
	return (s.Quantity() == desk.Level || s.Quantity() == desk.Reduction) && !s.Control()
}

// lessers are those that the sets are scored on.
func lessers() []lesser {
	return []lesser{
		{name: "no meters", lacks: metered, known: []fault{
			{"reel-climbs", wasSlow, "ratchet", "who is open and rests counts as much as who plays, so that what a hand adds seems less"},
			{"dcas-in-a-circle", wasSlow, "ratchet", "the same"},
			{"slow-creep", wasMissed, "creep", "the same"},
			{"quiet-hands", wasMissed, "creep", "the same"},
			{"little-by-little", wasMissed, "creep", "the same"},
			{"finale-and-clapping", wasFalse, "ratchet", "that two DCAs carry nearly all that plays is not known where nobody knows who plays"},
			{"band-into-a-wall", wasFalse, "ratchet", "a compressor takes back what four were raised, and nothing tells of it"},
			{"loud-guest", wasMissed, "open in speech", "nobody tapped, and nothing but meters tells speech from a song"},
			{"two-readers", wasMissed, "open in speech", "the same"},
			{"back-porch", wasMissed, "open in speech", "the same"},
			{"barn-pageant", wasMissed, "open in speech", "the same"},
			{"ferry-sleeve-evening", wasMissed, "open in speech", "the same"},
			{"mooring-post-evening", wasMissed, "open in speech", "the same"},
			{"mooring-post-evening", wasMissed, "creep", "said 20 s before it is fair, as on every desk, and not again"},
			{"reed-cutters-evening", wasMissed, "open in speech", "nobody tapped, and nothing but meters tells speech from a song"},
			{"wet-boots-supper", wasMissed, "open in speech", "the same"},
			{"wool-comb-evening", wasMissed, "open in speech", "the same"},
			{"thatch-rake-feast", wasMissed, "open in speech", "the same"},
			{"birch-ladder-evening", wasMissed, "open in speech", "the same"},
			{"copper-weathervane", wasSlow, "ratchet", "who is open and rests counts as much as who plays"},
			{"goose-feather-evening", wasFalse, "ratchet", "that the pianist has left, for whom three are lifted, is not known where nobody knows who plays"},
			{"upland-well-morning", wasFalse, "ratchet", "nor that a DCA moves nobody but the two who were raised"},
			{"first-apple-supper", wasFalse, "open in speech", "a sound check that ends is speech until more is heard, and who is open and silent is not known"},
			{"flint-path-morning", wasFalse, "open in speech", "the same"},
			{"ox-yoke-gathering", wasFalse, "open in speech", "the same"},
			{"tallow-window-evening", wasFalse, "open in speech", "the same"},
			{"split-cone-social", wasFalse, "open in speech", "the same"},
			{"oar-lock-supper", wasSlow, "ratchet", "who is open and rests counts as much as who plays"},
			{"low-beam-kitchen", wasSlow, "ratchet", "the same"},
			{"low-beam-kitchen", wasMissed, "open in speech", "nobody tapped, and nothing but meters tells speech from a song"},
			{"wet-slate-morning", wasMissed, "open in speech", "the same"},
			{"rope-ladder-tunes", wasMissed, "open in speech", "nor are two who begin behind it known to be louder than it"},
			{"tar-bucket-supper", wasMissed, "open in speech", "nobody tapped, and nothing but meters tells speech from a song"},
			{"tallow-window-evening", wasMissed, "raised in solo", "that another plays beside it is not known; no cause was looked for beyond that"},
		}},
		{name: "peak meters only", lacks: nothing, peaks: true, known: []fault{
			{"fiddle-over-line", wasFalse, "second rhythm", "peaks that are held make a mandolin louder than it is: 1.1 s too early, held back"},
			{"fiddle-over-line", wasMissed, "second rhythm", "the same"},
			{"hot-from-stage", wasFalse, "hot main", "the first peak is said, 9 s before the mean that the label goes by"},
			{"hot-from-stage", wasMissed, "hot main", "the same"},
			{"barn-committee-evening", wasFalse, "hot main", "likewise, 0.9 s before the mean, while a hand still pushes the main"},
			{"barn-committee-evening", wasMissed, "hot main", "the same"},
			{"narrow-jetty-songs", wasFalse, "fill over lead", "peaks that are held make a fiddle louder than it is: 5 s before one of two who labelled it allows it, held back"},
			{"dry-moss-evening", wasMissed, "muted mic", "no cause was looked for yet"},
			{"osier-basket-evening", wasFalse, "lead lost", "held back, 5.0 dB by peaks that are held, while players begin one by one"},
		}},
		{name: "the main not metered", lacks: func(s desk.Signal) bool { return s == desk.MainLevel || s == desk.MainPeak }},
	}
}

// How far peaks lie above levels, in dB: an input's as Pawl supposes, where a desk tells no
// levels; the main's by as little as they can, for a yardstick's hot main is one of levels.
const (
	crest     = 12
	mainCrest = 3
)

// held are the newest readings of meters that hold a peak until it has been seen: for three.
type held map[desk.Mover]*[3]float64

// take is what such a meter shows.
func (h held) take(r *desk.Reading) float64 {
	who := desk.Mover{Strip: r.Signal.Of(), Index: r.Index}
	of := h[who]
	if of == nil {
		of = &[3]float64{r.Value, r.Value, r.Value}
		h[who] = of
	}
	*of = [3]float64{of[1], of[2], r.Value}
	return max(of[0], of[1], of[2])
}

// tells makes of a reading what this desk tells in its place, and reports whether it tells
// anything.
func (l *lesser) tells(of desk.Roster, h held, r *desk.Reading) bool {
	switch {
	case l.lacks(r.Signal), l.blind != nil && metered(r.Signal) && r.Signal.Of() == desk.StripInput && l.blind(r.Index, of.Inputs[r.Index]):
		return false
	case !l.peaks:
		return true
	}
	switch r.Signal {
	case desk.InputLevel:
		r.Value, r.Signal = h.take(r)+crest, desk.InputPeak
	case desk.MainLevel:
		r.Value, r.Signal = h.take(r)+mainCrest, desk.MainPeak
	case desk.GroupLevel, desk.GroupLevelIn:
		return false
	}
	return true
}

// court is that of a judge who hears this desk. There is no witness.
func (l *lesser) court(h *house.House, script *practice.Script) *court {
	limits := h.Limits
	if l.peaks { // the practice desk's levels go as high as peaks do, and with a crest over them
		limits.HotInput.Peak += crest
	}
	full, peaks := h.Map.NewHearer().Hear, held{}
	return &court{
		hear: func(dst []desk.Reading, at time.Duration, m *wire.Message) []desk.Reading {
			kept := dst
			for _, r := range full(dst, at, m)[len(dst):] {
				if l.tells(h.Roster, peaks, &r) {
					kept = append(kept, r)
				}
			}
			return kept
		},
		judge:  rules.NewJudge(h.Roster, limits, rules.Options{Stale: h.Map.Link().StaleAfter, Order: h.Order}),
		script: script, roster: h.Roster,
	}
}

// courtsOf are those of all these desks, once the service was played to them.
func courtsOf(t *testing.T, desks []lesser, l practicetest.Labelled) (courts []*court) {
	t.Helper()
	h := houseOf(t, l.Script)
	for d := range desks {
		courts = append(courts, desks[d].court(h, l.Script))
	}
	sit(courts, l.Script, soundChecks(l.Labels.Parts))
	return courts
}

// silent is the words of the rules that have nothing to go by on this desk, where no other has the same.
func (l *lesser) silent() (all []string) {
	var spoken []string
	for _, k := range rules.Kinds {
		ways := append([][]desk.Signal{k.Needs}, k.Or...)
		if slices.ContainsFunc(ways, func(w []desk.Signal) bool { return !slices.ContainsFunc(w, l.lacks) }) {
			spoken = append(spoken, allWordsOf(k)...)
		} else {
			all = append(all, allWordsOf(k)...)
		}
	}
	return slices.DeleteFunc(all, func(w string) bool { return slices.Contains(spoken, w) })
}

var whole = flag.Bool("whole", false, "play every service to desks that tell less")

// TestYardstickOnLesserDesks scores every third service, those of which a fault is known, and with
// -whole all, on desks that tell less. Rules that have nothing to go by there are silent, as a check
// says, and what they miss is counted and no fault; all else must be as on a desk that tells
// everything, but for what is known. With -v it prints the tables.
func TestYardstickOnLesserDesks(t *testing.T) {
	practicetest.SkipRaced(t)
	desks := lessers()
	var all []practicetest.Labelled
	for i, l := range everyService(t) {
		of := func(f fault) bool { return f.service == l.Name }
		if *whole || i%3 == 0 || slices.ContainsFunc(desks, func(d lesser) bool { return slices.ContainsFunc(d.known, of) }) {
			all = append(all, l)
		}
	}
	scores := make([][]score, len(desks))
	for d := range desks {
		scores[d] = make([]score, len(all))
	}
	t.Run("services", func(t *testing.T) {
		for i, l := range all {
			t.Run(l.Name, func(t *testing.T) {
				t.Parallel()
				for d, c := range courtsOf(t, desks, l) {
					if basis := c.judge.Picture().Basis; basis != desk.NoBasis && (basis == desk.OnFaders) != desks[d].lacks(desk.InputLevel) {
						t.Errorf("%s: the basis is %q", desks[d].name, basis)
					}
					scores[d][i] = hold(l.Name, l.Length, l.Labels, remarks(l.Hall(), c.roster, c.entries, l.Length))
				}
			})
		}
	})
	for d := range desks {
		l := &desks[d]
		t.Log(table(l.name, scores[d]))
		for _, e := range unlike(l.own(scores[d]), l.known) {
			t.Errorf("%s: %s", l.name, e)
		}
	}
}

// own are the faults that this desk is to blame for: neither what it cannot tell, nor what
// is known of every desk.
func (l *lesser) own(scores []score) (faults []fault) {
	silent := l.silent()
	for i := range scores {
		for _, f := range scores[i].faults() {
			everywhere := false
			for _, set := range known {
				everywhere = everywhere || slices.ContainsFunc(set, func(k fault) bool { return k.service == f.service && k.what == f.what && k.word == f.word })
			}
			if !everywhere && (f.what != wasMissed || !slices.Contains(silent, f.word)) {
				faults = append(faults, f)
			}
		}
	}
	return faults
}
