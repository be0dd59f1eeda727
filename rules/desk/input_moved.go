package desk

import "math"

// followOwn believes an input's reduction meter where no setting is told. A meter behind the
// compressor shows a player who seems to be softer or louder once somebody has set it anew;
// but what was taken and what was left tell together what went in. The beats of the last
// second are held against those before them that went in about as loud: where they are turned
// down further than any of those, or less far, the compressor is another one now, and what the
// meter showed before is made what it would have shown through this one.
func (in *inputMeter) followOwn(makeUp DB) {
	if in.full < movedWithin+movedAfter || in.squeeze.reduction == in.taken[in.ago(movedWithin)] {
		return
	}
	since, above, below := 0, 0, 0
	var told [movedWithin]shifted
	tell := told[:0]
	for n := range movedWithin {
		level := in.wentIn(n, makeUp)
		least, most, mean, ok := in.takenNear(level, makeUp)
		if !ok {
			continue
		}
		switch taken := in.taken[in.ago(n)]; {
		case taken > most+movedBeyondSeen:
			above, since, tell = above+1, n+1, append(tell, shifted{level, taken - mean})
		case taken < least-movedBeyondSeen:
			below, since, tell = below+1, n+1, append(tell, shifted{level, taken - mean})
		}
	}
	if max(above, below) < movedBeats || min(above, below) > 0 {
		return
	}
	for n := since; n < in.full; n++ {
		k := in.ago(n)
		turned := max(in.taken[k]+nearest(tell, in.wentIn(n, makeUp)), 0)
		in.put(k, in.slots[k]*Power((in.taken[k]-turned).Ratio()))
		in.taken[k] = turned
	}
}

// shifted is by how much more a level is turned down than it was.
type shifted struct {
	level DBFS
	by    DB
}

// nearest is by how much that is at the level that is nearest to one.
func nearest(told []shifted, level DBFS) (by DB) {
	away := DB(math.Inf(1))
	for _, s := range told {
		if d := DB(s.level - level).Abs(); d < away {
			away, by = d, s.by
		}
	}
	return by
}

// wentIn is the level of the beat n before the last, ahead of the input's compressor.
func (in *inputMeter) wentIn(n int, makeUp DB) DBFS {
	return in.level(n) + DBFS(in.taken[in.ago(n)]-makeUp)
}

// takenNear is the least and the most that was taken, and the mean of that, of the beats
// before the last second that went in about as loud; false of fewer than three.
func (in *inputMeter) takenNear(level DBFS, makeUp DB) (least, most, mean DB, ok bool) {
	beats := 0
	for n := movedWithin; n < in.full; n++ { // for every input that is reduced, many times a second
		if away := DB(in.wentIn(n, makeUp) - level); away > alike || away < -alike {
			continue
		}
		taken := in.taken[in.ago(n)]
		if beats == 0 {
			least, most = taken, taken
		}
		least, most, mean = min(least, taken), max(most, taken), mean+taken
		beats++
	}
	return least, most, mean / DB(max(beats, 1)), beats >= nearBeats
}

const (
	// alike is how far apart levels may lie that a compressor turns down alike: a step of many
	// meters, and so to rounding.
	alike = DB(0.5) + rounding
	// nearBeats is how many beats tell how far a level was turned down.
	nearBeats = 3
)
