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
	{"wool-comb-evening", wasFalse, "fill over lead", "held back, at 4m49s, the fiddle 3.7 dB below the lead for 20 s: all the players have come up, and with them the fiddle; the rule does not ask how much of what a fill has gained the others have too"},
	{"birch-ladder-evening", wasMissed, "open in speech", "as first played: four who practise behind a talk for 40 s, together 4 dB below it and each far below; they stop before any of them has played beside the words for long enough"},
	{"hay-rake-assembly", wasFalse, "ratchet", "as first played, a whisper at 6m29s: the flute leaves and three are lifted, and the flute, raised before that, is taken for the first of them"},
	{"hay-rake-assembly", wasFalse, "harmony over lead", "as first played, held back: of two leads who swap places the second is 2 dB over the first for 6 s, and the rule asks nobody whether it is a lead too"},
	{"low-beam-kitchen", wasFalse, "fill over lead", "as first played, held back: the fiddle plays on 3.3 dB below a lead who is held down by a compressor left as for a whisper"},
	{"low-beam-kitchen", wasMissed, "input too hard", "as first played: that compressor, at four to one and 9 dB"},
	{"osier-basket-evening", wasMissed, "creep", "as first played: twenty small raises go round through several parts and end 3 dB up; by how much in each part has not been looked into"},
	{"stone-trough-feast", wasFalse, "more open mics", "as first played, held back: a choir that was opened for the song and rests in it for a while"},
	{"stone-trough-feast", wasMissed, "everybody at once", "as first played: all sections from the first verse on, for nearly four minutes"},
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
