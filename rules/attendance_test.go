package rules

import (
	"testing"
	"time"

	"pawl/rules/desk"
)

// metered lets a judge hear four inputs from one time on, as often as every says and until
// another: three play as loud as said, the last, a voice, does not.
func metered(j *Judge, from, until, every time.Duration, loud desk.DBFS) {
	for at := from; at < until; at += every {
		j.Alive(at)
		for i := range 4 {
			level := loud
			if i == 3 {
				level = -80
			}
			j.Hear(desk.Reading{At: at, Signal: desk.InputLevel, Index: i, Value: float64(level)})
		}
	}
}

// unsaidDesk is a desk of which no map says how long it may be quiet, with its faders up.
func unsaidDesk(steady bool) *Judge {
	r := band(4, nil, nil)
	r.Inputs[3].Voice = true
	j := NewJudge(r, DefaultLimits(), Options{Steady: steady})
	for i := range 4 {
		j.Alive(0)
		j.Hear(set(desk.InputFader, i, -10))
	}
	return j
}

// TestTimeNotHeard: of a desk whose map does not say how long it may be quiet no time
// counts in which its levels stay away for longer than is its way. What else is silent
// tells nothing, and time passes.
func TestTimeNotHeard(t *testing.T) {
	for _, c := range []struct {
		name           string
		every          time.Duration // between two levels
		levels         desk.DBFS
		away           time.Duration
		counted, music time.Duration // of that time at most
		said           bool          // that the desk is away
	}{
		{"ten times a second", 100 * ms, -20, 30 * time.Second, 1200 * ms, 1200 * ms, true},
		{"a hiccup of the network", 100 * ms, -20, 900 * ms, 900 * ms, 900 * ms, false},
		{"a cable out for three seconds", 100 * ms, -20, 3 * time.Second, 1200 * ms, 1200 * ms, false},
		{"every second", time.Second, -20, 30 * time.Second, 4200 * ms, 4200 * ms, true},
		{"every second, three lost", time.Second, -20, 3900 * ms, 3900 * ms, 3900 * ms, false},
		{"every six seconds", 6 * time.Second, -20, time.Minute, 24200 * ms, 24200 * ms, true},
		{"nobody plays, and the desk may tell only what changes", 100 * ms, -80, 30 * time.Second, 30 * time.Second, 0, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := unsaidDesk(true)
			metered(j, 0, minute, c.every, c.levels)
			j.Advance(minute)
			j.Take(nil)
			last := minute - c.every
			watched, played := j.watched()-c.every, j.view().Played-c.every
			back := last + c.away
			j.Advance(back)
			gone := len(only[*Linked](j.Take(nil))) == 1
			metered(j, back, back+1, c.every, c.levels)
			if got := j.watched() - watched; got > c.counted || got < c.counted-200*ms {
				t.Errorf("%v of %v counted, want %v", got, c.away, c.counted)
			}
			if got := j.view().Played - played; c.music > 0 && (got > c.music || got < c.music-200*ms) {
				t.Errorf("%v of %v were music, want %v", got, c.away, c.music)
			}
			if gone != c.said {
				t.Errorf("said that the desk is away: %v, want %v", gone, c.said)
			}
			from := j.watched()
			metered(j, back+1, back+minute, c.every, c.levels)
			if got := j.watched() - from; got < minute-c.every-1 {
				t.Errorf("%v of the minute after it counted, want all", got)
			}
		})
	}
}

// TestNoMetersTellNothing: a desk without meters is silent between two moves, and so is
// one of which the map hears levels that do not come.
func TestNoMetersTellNothing(t *testing.T) {
	for _, steady := range []bool{false, true} {
		j := unsaidDesk(steady)
		j.Advance(20 * minute)
		if got := j.watched(); got != 20*minute {
			t.Errorf("steady %v: %v counted, want all of 20 min", steady, got)
		}
		if l := only[*Linked](j.Take(nil)); len(l) > 0 {
			t.Errorf("steady %v: %+v, want nothing of a desk that may be silent", steady, l[0])
		}
	}
}

// TestSlowerMeters: meters that come more slowly from now on are away at first, and then
// that is the desk's way.
func TestSlowerMeters(t *testing.T) {
	j := unsaidDesk(true)
	metered(j, 0, minute, 100*ms, -20)
	metered(j, minute, 2*minute, 3*time.Second, -20)
	from := j.watched()
	metered(j, 2*minute, 3*minute, 3*time.Second, -20)
	if got := j.watched() - from; got != minute {
		t.Errorf("%v of a minute counted, want all", got)
	}
}

// TestFrozenMeters: what a desk showed when it went away is part of no mean and no count: a
// compressor that it caught in a loud beat has not stood there for half a minute.
func TestFrozenMeters(t *testing.T) {
	for _, o := range []Options{{Steady: true}, {Stale: 2 * time.Second}} {
		r := band(4, nil, []string{"band"})
		for i := range r.Inputs {
			r.Inputs[i].Main, r.Inputs[i].Groups = false, []int{0}
		}
		j := NewJudge(r, DefaultLimits(), o)
		for at := time.Duration(0); at <= minute; at += 100 * ms {
			j.Alive(at)
			loud := at%(2*time.Second) == 0 // the last beat, too
			for i := range 4 {
				j.Hear(desk.Reading{At: at, Signal: desk.InputFader, Index: i, Value: -10})
				j.Hear(desk.Reading{At: at, Signal: desk.InputLevel, Index: i, Value: map[bool]float64{false: -20, true: -8}[loud]})
			}
			j.Hear(desk.Reading{At: at, Signal: desk.GroupReduction, Value: map[bool]float64{false: 1, true: 9}[loud]})
		}
		v := j.view()
		was, level := v.Squeeze(0), v.Level(0, 10*time.Second)
		j.Advance(2 * minute)
		v = j.view()
		if is := v.Squeeze(0); is.Median != was.Median {
			t.Errorf("%+v: the compressor stands at %v in the median, was at %v when the desk was heard last", o, is.Median, was.Median)
		}
		if is := v.Level(0, 10*time.Second); is.Above(level) > 5 { // until it is missed a map may want two seconds
			t.Errorf("%+v: the first input is at %v, was at %v in the mean", o, is, level)
		}
		if got := of(only[*Finding](j.Take(nil)), "squeezed-group"); len(got) > 0 {
			t.Errorf("%+v: %s", o, got[0].Said.What[0].ID)
		}
	}
}
