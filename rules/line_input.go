package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// lineInput is one input in a line check: how far it has come, and what it sounded like
// over the last beats in which it did.
type lineInput struct {
	name  string // in the roster; "" if nobody gave it one
	state LineState
	beats int        // in which it sounded, since it was asked or its gain was set
	ring  []lineBeat // the last of them, made when it is first asked
	gain  float64    // of its source, when that began
	with  int        // an input that moves with it; -1 for none
	is    lineLevels
}

// lineBeat is one beat of an input that sounds.
type lineBeat struct {
	power     desk.Power // of the beat
	level     desk.DBFS  // over half a second, which bridges the gaps between syllables
	peak      desk.DBFS
	reduction desk.DB
}

// lineLevels is what the beats come to.
type lineLevels struct {
	mean, low, high, peak desk.DBFS
	swing                 desk.DB // from the 10th to the 90th percentile of single beats
	reduction             desk.DB // median
}

// anew forgets what was heard.
func (in *lineInput) anew() {
	in.beats, in.with, in.is = 0, -1, lineLevels{desk.Silence, desk.Silence, desk.Silence, desk.Silence, 0, 0}
}

// add takes a beat in which it sounded.
func (in *lineInput) add(v *desk.View, i int, level desk.DBFS) {
	b := lineBeat{power: v.Level(i, desk.Beat).Power(), level: level}
	b.peak, _ = v.Peak(i, desk.Beat)
	if r, ok := v.Latest(desk.InputReduction, i); ok {
		b.reduction = desk.DB(r)
	}
	in.ring[in.beats%len(in.ring)] = b
	in.beats++
}

// checked reports whether it has sounded for as long as is asked for.
func (in *lineInput) checked() bool { return len(in.ring) > 0 && in.beats >= len(in.ring) }

// sounded is for how long it has, to what is asked for.
func (in *lineInput) sounded() time.Duration {
	return time.Duration(min(in.beats, len(in.ring))) * desk.Beat
}

// measure works out what its beats come to. scratch is as long as the ring.
func (in *lineInput) measure(scratch []float64) {
	var sum desk.Power
	peak := desk.Silence
	for _, b := range in.ring {
		sum += b.power
		peak = max(peak, b.peak)
	}
	in.is.mean, in.is.peak = (sum / desk.Power(len(in.ring))).Level(), peak
	for n, b := range in.ring {
		scratch[n] = float64(b.level)
	}
	slices.Sort(scratch)
	in.is.low, in.is.high = desk.DBFS(at(scratch, 0.1)), desk.DBFS(at(scratch, 0.9))
	for n, b := range in.ring {
		scratch[n] = float64(b.power.Level())
	}
	slices.Sort(scratch)
	in.is.swing = desk.DBFS(at(scratch, 0.9)).Above(desk.DBFS(at(scratch, 0.1)))
	for n, b := range in.ring {
		scratch[n] = float64(b.reduction)
	}
	slices.Sort(scratch)
	in.is.reduction = desk.DB(at(scratch, 0.5))
}

// at is the value in place n·q of n in order, counted from 0, as desk counts its quantiles.
func at(sorted []float64, q float64) float64 { return sorted[int(float64(len(sorted))*q)] }

// pair is how another input's level went beside the asked one's, over beats in which
// both sounded.
type pair struct {
	beats        int
	sum, squares float64 // of the decibels between them
}

func (p *pair) add(d desk.DB) {
	p.beats++
	p.sum += float64(d)
	p.squares += float64(d) * float64(d)
}

// alike reports whether the two stayed within limit of each other (standard deviation)
// for all of n beats, and near each other: a microphone that merely hears the same
// player is further down.
func (p *pair) alike(n int, limit desk.DB) bool {
	if p.beats < n || n == 0 {
		return false
	}
	mean := p.sum / float64(p.beats)
	return desk.DB(mean).Abs() <= samePlug && p.squares/float64(p.beats)-mean*mean <= float64(limit*limit)
}

// samePlug is how far apart two inputs with one source may be set.
const samePlug = desk.DB(6)
