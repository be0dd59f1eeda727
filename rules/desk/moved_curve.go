package desk

// A compressor may be set anew long before that is told, or without its ever being told:
// many desks are asked for a threshold once in ten seconds. Its meter shows it at once.
// So a meter that has left what the curve can explain is believed over the curve.
const (
	// movedBeats is for how long a meter must say so: what it shows between two notes,
	// while a compressor lets go, is shorter.
	movedBeats = 5
	// movedBy is how far beyond everything of the seconds before it must lie, so that a
	// meter that wanders, or is read beside the beat, says nothing.
	movedBy = DB(0.5)
	// movedAfter is how many beats tell what was usual before.
	movedAfter = 20
)

// hasMoved reports whether every one of the last beats was turned down further beyond
// the curve than any before them, or less far.
func (f *feed) hasMoved() bool {
	low, high := f.beyond(0, movedBeats)
	if max(low.Abs(), high.Abs()) < movedBy || f.full < movedBeats+movedAfter {
		return false
	}
	before := 0
	least, most := DB(1e3), DB(-1e3)
	for i := movedBeats; i < f.full; i++ {
		if b := &f.beats[f.back(i)]; b.in > 0 {
			least, most = min(least, b.beyond), max(most, b.beyond)
			before++
		}
	}
	return before >= movedAfter && (low-most > movedBy || least-high > movedBy)
}

// beyond is the least and the most that the beats from so many ago were turned down
// beyond the curve; nothing at all where the group was not fed throughout.
func (f *feed) beyond(from, n int) (least, most DB) {
	for i := range n {
		b := &f.beats[f.back(from+i)]
		if b.in <= 0 {
			return 0, 0
		}
		if i == 0 {
			least, most = b.beyond, b.beyond
		}
		least, most = min(least, b.beyond), max(most, b.beyond)
	}
	return least, most
}

// move finds how far the curve has moved for the last beats to lie on it as those before
// them did, and makes of what passed before what would have.
func (f *feed) move(c *curve) {
	var usual, want DB
	n := 0
	for i := range f.full {
		b := &f.beats[f.back(i)]
		switch {
		case i < movedBeats:
			want += DB(b.level - b.passed.Level())
		case b.in > 0:
			usual += b.beyond
			n++
		}
	}
	want -= movedBeats * usual / DB(n)
	is := *c
	lo, hi := c.moved-60, c.moved+60
	for range 24 { // it never falls as the curve moves down, so halving finds it
		is.moved = (lo + hi) / 2
		var sum DB
		for i := range movedBeats {
			sum += is.at(f.beats[f.back(i)].level)
		}
		if sum < want {
			lo = is.moved
		} else {
			hi = is.moved
		}
	}
	f.moved = is.moved
	f.reshape(c, &is, movedBeats)
}

// reshape makes of what passed longer ago than so many beats what would have, had the
// compressor been set as it is now: what was heard before a threshold was moved tells
// nothing of after.
func (f *feed) reshape(was, is *curve, since int) {
	for i := range f.full {
		b := &f.beats[f.back(i)]
		if b.in <= 0 {
			continue
		}
		reduction := DB(b.level - b.passed.Level())
		if i >= since {
			reduction = max(reduction+is.at(b.level)-was.at(b.level), 0)
			b.passed = b.in * Power((-reduction).Ratio())
		}
		b.beyond = reduction - is.at(b.level)
	}
}

// reset goes on by other settings. They may have been in force for a while before they
// were told: for the last beats, as many as they explain better than the old ones.
func (f *feed) reset(was, is *curve) {
	var gain, best DB
	since := 0
	for i := range f.full {
		if b := &f.beats[f.back(i)]; b.in > 0 {
			reduction := DB(b.level - b.passed.Level())
			gain += (reduction - was.at(b.level)).Abs() - (reduction - is.at(b.level)).Abs()
		}
		if gain > best {
			best, since = gain, i+1
		}
	}
	f.moved = 0
	f.reshape(was, is, since)
	f.learned = learnedCurve{}
}
