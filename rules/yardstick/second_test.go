package yardstick

import (
	"testing"

	"pawl/daemon/practice/practicetest"
)

// What two of three who labelled a service blame the judge for.
var blamedByTwo = []fault{
	{"full-hall", wasSlow, "hot main", "said at -4 dBFS in the mean, 3.9 and 5.9 s after the two and 1.9 s after whoever wrote it; 1 dB less would be too early in hot-from-stage"},
	{"ferry-four-up", wasFalse, "ratchet", "0.8 s before the third hand comes to rest: it hesitates in the middle of its raise"},
	{"brass-band-blessing", wasFalse, "everybody at once", "all five elements for two minutes and more than one of most, beside a lead who stays clear, as where it is wanted"},
	{"mic-handed-on", wasMissed, "open in speech", "of two voices' microphones beside a speaker; the word is of players, and of voices three other services do not want it"},
}

// TestSecondOpinions holds the judge against the services that two others labelled besides
// whoever wrote them. What only one of three calls a fault is a matter of taste.
func TestSecondOpinions(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Parallel()
	var found []fault
	services, by := 0, map[int]int{}
	for _, l := range everyService(t) {
		others, err := practicetest.SecondOpinions(l)
		if err != nil {
			t.Fatal(err)
		}
		if len(others) == 0 {
			continue
		}
		services++
		for f, n := range blamed(l, append(others, l.Labels), asLabelled(t, l).said) {
			by[n]++
			if n >= 2 {
				found = append(found, f)
			} else {
				t.Logf("blamed by one of three: %s: %s: %s", f.service, f.what, f.word)
			}
		}
	}
	t.Logf("%d services; faults that one, two and three of three see: %d, %d, %d", services, by[1], by[2], by[3])
	if services == 0 {
		t.Fatal("nobody was asked for a second opinion")
	}
	for _, e := range unlike(found, blamedByTwo) {
		t.Error(e)
	}
}

// blamed is how many of those who labelled a service see each fault. One that says a thing twice
// too often, or two labels of which both are missed, counts once.
func blamed(l practicetest.Labelled, labels []practicetest.Labels, said []remark) map[fault]int {
	times := map[fault]int{}
	for _, label := range labels {
		seen := map[fault]bool{}
		s := hold(l.Name, l.Length, label, said)
		for _, f := range s.faults() {
			f.detail = ""
			if !seen[f] {
				seen[f] = true
				times[f]++
			}
		}
	}
	return times
}
