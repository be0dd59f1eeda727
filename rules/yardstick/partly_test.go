package yardstick

import (
	"slices"
	"testing"

	"pawl/daemon/practice/practicetest"
	"pawl/rules/desk"
)

// partly are desks that meter some inputs and not others.
func partly() []lesser {
	return []lesser{
		{name: "every other input unmetered", lacks: nothing, blind: func(input int, _ desk.Input) bool { return input%2 == 1 }, known: []fault{
			{"damson-crate-supper", wasFalse, "open in speech", "a guest who sings at a harmony's microphone, of whose players no more than one is metered, is somebody who speaks"},
			{"linden-trestle-evening", wasFalse, "ratchet", "that a guitar gave its place to a fiddle is not known where nobody knows that it plays"},
		}},
		{name: "the others unmetered", lacks: nothing, blind: func(input int, _ desk.Input) bool { return input%2 == 0 }},
		{name: "voices metered alone", lacks: nothing, blind: func(_ int, in desk.Input) bool { return !in.Voice }, known: []fault{
			{"oar-lock-supper", wasFalse, "creep", "held back: seven up by 2 to 7.5 dB in eight minutes, and how much of that the players took back nobody meters"},
		}},
		{name: "one input metered", lacks: nothing, blind: func(input int, _ desk.Input) bool { return input > 0 }},
	}
}

// tempting are the services of all sets in which something false was said on one of these desks,
// when one without a meter still counted as playing and as heard by nobody.
var tempting = []string{
	"mics-that-hear-each-other", "second-offering", "barn-festival", "ferry-reel", "singer-who-waits", "barn-pageant", "three-lamps",
	"first-apple-supper", "break-and-back", "finale-and-clapping", "first-verse-unheard", "long-gathering", "forgotten-mutes", "guest-singer",
	"scenes-between", "back-porch", "clap-and-again", "ferry-early-check", "ferry-traded-chairs", "hot-from-stage", "whole-village",
	"ferry-forgotten", "little-by-little", "psalm-in-parts", "goose-feather-evening", "peat-fire-supper", "thresher-yard-evening", "slow-millwheel-song", "oar-lock-supper",
	"damson-crate-supper", "linden-trestle-evening",
}

// TestPartlyMeteredDesks plays them, or with -whole every service, to judges who hear such desks, and
// wants nothing false said but what is known: less is said there, as a check tells, and what is missed is counted and no
// fault. With -v it prints the tables.
func TestPartlyMeteredDesks(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Parallel()
	desks := partly()
	scores, played := make([][]score, len(desks)), 0
	for _, l := range everyService(t) {
		if !*whole && !slices.Contains(tempting, l.Name) {
			continue
		}
		played++
		for d, c := range courtsOf(t, desks, l) {
			scores[d] = append(scores[d], hold(l.Name, l.Length, l.Labels, remarks(l.Hall(), c.roster, c.entries, l.Length)))
		}
	}
	if !*whole && played != len(tempting) {
		t.Fatalf("%d services were played, want %d", played, len(tempting))
	}
	for d := range desks {
		t.Log(table(desks[d].name, scores[d]))
		said := 0
		for i := range scores[d] {
			for _, l := range scores[d][i].lines {
				if l.came == met {
					said++
				}
			}
		}
		if said == 0 {
			t.Errorf("%s: nothing was said", desks[d].name)
		}
		wrong := slices.DeleteFunc(desks[d].own(scores[d]), func(f fault) bool { return f.what != wasFalse })
		for _, e := range unlike(wrong, desks[d].known) {
			t.Errorf("%s: %s", desks[d].name, e)
		}
	}
}
