package desk

// A compressor may be set anew long before that is told, or without its ever being told:
// many desks are asked for a threshold once in ten seconds. Its meter shows it at once.
// So a meter that has left what the curve can explain is believed over the curve.
const (
	// movedWithin is the second in which movedBeats must say so. What a meter shows between
	// two notes, while a compressor lets go, is shorter; and what is fed below any
	// threshold says nothing either way.
	movedWithin = 10
	movedBeats  = 5
	// movedBy is how far beyond everything of the seconds before they must lie, so that a
	// meter that wanders, or is read beside the beat, says nothing. movedBeyondSeen is the
	// same where no setting is told: a level was seen to be turned down by so much to the
	// nearest dB of it, and no compressor takes back more than a dB for a dB. Meters go by
	// such steps, so that a whole one is not beyond, to rounding.
	movedBy         = DB(0.3) + rounding
	movedBeyondSeen = DB(1) + rounding
	// movedAfter is how many beats tell what was usual before.
	movedAfter = 20
)

// hasMoved reports whether beats of the last second were turned down further beyond the
// curve than any before it, or less far, and none the other way; and how many of the
// last beats tell of what is so now.
func (f *feed) hasMoved(c *curve) (since int, moved bool) {
	by := movedBeyondSeen
	if c.static {
		by = movedBy
	}
	if f.full < movedWithin+movedAfter || !f.beats[f.back(0)].tells {
		return 0, false
	}
	// Nearly always the one beat before the second tells as much as all of them would.
	if one := &f.beats[f.back(movedWithin)]; one.tells {
		if _, above, below := f.outside(one.beyond-by, one.beyond+by); max(above, below) < movedBeats {
			return 0, false
		}
	}
	least, most, n := f.beyond(movedWithin, f.full)
	if n < movedAfter {
		return 0, false
	}
	since, above, below := f.outside(least-by, most+by)
	return since, max(above, below) >= movedBeats && min(above, below) == 0
}

// outside counts the beats of the last second that lie above a span or below it; since is
// how many beats ago the first of them began.
func (f *feed) outside(lo, hi DB) (since, above, below int) {
	for i := range movedWithin {
		switch b := &f.beats[f.back(i)]; {
		case !b.tells:
		case b.beyond > hi:
			above, since = above+1, i+1
		case b.beyond < lo:
			below, since = below+1, i+1
		}
	}
	return since, above, below
}

// usual is the reduction of an in-level, false where it was not told and hardly seen.
func (f *feed) usual(c *curve, in DBFS) (DB, bool) {
	switch {
	case in == Silence:
		return 0, false
	case c.static:
		return c.at(in), true
	case c.learned == nil:
		return 0, false
	}
	return f.learned.seen(in)
}

// beyond is the least and the most that beats were turned down beyond the curve, and by
// how many of them that is told.
func (f *feed) beyond(from, to int) (least, most DB, n int) {
	for i := from; i < to; i++ {
		b := &f.beats[f.back(i)]
		if !b.tells {
			continue
		}
		if n++; n == 1 {
			least, most = b.beyond, b.beyond
		}
		least, most = min(least, b.beyond), max(most, b.beyond)
	}
	return least, most, n
}

// move goes on by what the meter shows. Of settings it finds where the threshold must be
// for the last beats to lie on the curve as those before them did. What was learned is
// learned anew; until it is, the old curve still tells how steep the new one may be, but
// what was heard through it tells nothing.
func (f *feed) move(c *curve, since int) {
	if !c.static {
		if f.learned.known {
			f.older = f.learned
		}
		f.learned, f.full = &learnedCurve{}, since // anew: a mark may hold the old one
		return
	}
	var usual, want DB
	n, before := 0, 0
	for i := range f.full {
		switch b := &f.beats[f.back(i)]; {
		case !b.tells:
		case i < since:
			want += b.beyond + c.at(b.level)
			n++
		default:
			usual += b.beyond
			before++
		}
	}
	want -= usual * DB(n) / DB(before)
	is := *c
	for lo, hi := c.moved-60, c.moved+60; hi-lo > 0.001; { // the reduction never falls as the threshold comes down
		is.moved = (lo + hi) / 2
		var sum DB
		for i := range since {
			if b := &f.beats[f.back(i)]; b.tells {
				sum += is.at(b.level)
			}
		}
		if sum < want {
			lo = is.moved
		} else {
			hi = is.moved
		}
	}
	f.moved = is.moved
	f.reshape(c, &is, since)
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
		reduction := b.reduction()
		if i >= since {
			reduction = max(reduction+is.at(b.level)-was.at(b.level), 0)
			b.passed = b.in * Power((-reduction).Ratio())
		}
		b.tells, b.beyond = true, reduction-is.at(b.level)
	}
}

// reset goes on by other settings. They may have been in force for a while before they
// were told: for the last beats, as many as they explain better than the old ones.
func (f *feed) reset(was, is *curve) {
	var gain, best DB
	since := 0
	for i := range f.full {
		if b := &f.beats[f.back(i)]; b.in > 0 {
			reduction := b.reduction()
			gain += (reduction - was.at(b.level)).Abs() - (reduction - is.at(b.level)).Abs()
		}
		if gain > best {
			best, since = gain, i+1
		}
	}
	f.moved = 0
	f.reshape(was, is, since)
	f.learned = &learnedCurve{}
}
