package desk

// answer is what a group's compressor lets through of what is fed to it. It is made of
// a window of what was heard: how loud the group was fed, beat by beat, and by how much
// it was reduced. At that same level it is what was heard; at another each of the
// window's levels follows the compressor's curve from where it was. The zero value lets
// nothing through.
type answer struct {
	fed     Power // mean over the window
	through Ratio // what then passed, weighted by it: a mean over pauses would understate the reduction
	curve   curve // if it is not known, through holds for any level
	classes [answerClasses]class
}

// class is the beats of a window that were about as loud.
type class struct {
	power, passed Power // of them all
	in            Power // their mean

	level     DBFS // of in, and
	reduction DB   // weighted by what passed: once a curve is known
}

// The loudest 12 dB of a window are told apart in steps of 1.5 dB, which no knee is
// narrower than by much; what lies below passes hardly any power.
const (
	answerClasses = 8
	classWidth    = DB(1.5)
)

// to is what passes of a power that is fed to the group.
func (a *answer) to(fed Power) Ratio {
	if !a.curve.known || fed <= 0 || a.fed <= 0 {
		return a.through
	}
	louder := DBFS(fed.Level() - a.fed.Level())
	var all, passed Power
	for i := range a.classes {
		c := &a.classes[i]
		if c.power <= 0 {
			continue
		}
		reduction := max(c.reduction+a.curve.at(c.level+louder)-a.curve.at(c.level), 0)
		all += c.power
		passed += c.power * Power((-reduction).Ratio())
	}
	return Ratio(passed / all)
}

// feed is what one group was fed and what of it passed, over the last ten seconds of
// beats. Logarithms are taken once a beat, because answers are asked for all the time.
type feed struct {
	beats   [meterSlots]fedBeat
	next    int
	full    int
	held    Ratio // what passes now
	learned *learnedCurve
	older   *learnedCurve // before the compressor was seen to be set anew; nil if it was not
	moved   DB            // how far the meters say that the threshold has come down since it was told
}

type fedBeat struct {
	in, passed Power
	level      DBFS // that the compressor went by: of in, but while a hand is on a fader that is not told
	tells      bool // it is known by how much this level is turned down
	beyond     DB   // and it was turned down by so much more than that
}

// reduction is how far a beat was turned down.
func (b *fedBeat) reduction() DB { return DB(b.in.Level() - b.passed.Level()) }

// add takes a beat, and the curve as it stood before it.
func (f *feed) add(in Power, level DBFS, reduction DB, c *curve) {
	b := fedBeat{in: in, level: level}
	f.held = (-reduction).Ratio()
	b.passed = in * Power(f.held)
	if usual, ok := f.usual(c, b.level); ok {
		b.tells, b.beyond = true, reduction-usual
	}
	f.beats[f.next] = b
	if f.next++; f.next == meterSlots {
		f.next = 0
	}
	f.full = min(f.full+1, meterSlots)
	f.learned.add(b.level, reduction)
}

// answer makes an answer of the last n beats, by a curve that is known or not.
func (f *feed) answer(n int, c curve) answer {
	n = min(max(n, 1), f.full)
	if from := f.next - n; from < 0 {
		return f.answerOf(f.beats[meterSlots+from:], f.beats[:f.next], c)
	}
	return f.answerOf(f.beats[f.next-n:f.next], nil, c)
}

// refed makes an answer of the last beats, had the group been fed so much in each, the
// latest first: the curve is known. Where a beat was fed nothing, it is turned down as
// far beyond the curve as the others were.
func (f *feed) refed(fed []Power, c curve) answer {
	var beats [meterSlots]fedBeat
	var all, beyond Power
	for i := range fed {
		if b := &f.beats[f.back(i)]; b.in > 0 {
			all, beyond = all+b.in, beyond+b.in*Power(b.reduction()-c.at(b.level))
		}
	}
	usual := DB(beyond / max(all, floor))
	for i, in := range fed {
		if in <= 0 {
			continue
		}
		was, b := &f.beats[f.back(i)], fedBeat{in: in, level: in.Level()}
		beyond := usual
		if was.in > 0 {
			beyond = was.reduction() - c.at(was.level)
		}
		b.passed = in * Power((-max(c.at(b.level)+beyond, 0)).Ratio())
		beats[i] = b
	}
	return f.answerOf(beats[:len(fed)], nil, c)
}

// answerOf makes an answer of two runs of beats, of which one may be empty.
func (f *feed) answerOf(some, more []fedBeat, c curve) answer {
	a := answer{through: 1}
	top := Silence
	for _, beats := range [...][]fedBeat{some, more} {
		for i := range beats {
			top = max(top, beats[i].level)
		}
	}
	var count, passed [answerClasses]Power
	for _, beats := range [...][]fedBeat{some, more} {
		for i := range beats {
			b := &beats[i]
			if b.in <= 0 {
				continue
			}
			k := min(int(DB(top-b.level)/classWidth), answerClasses-1)
			count[k]++
			a.classes[k].power += b.in
			passed[k] += b.passed
		}
	}
	var all Power
	for k := range a.classes {
		a.fed += a.classes[k].power
		all += passed[k]
	}
	if a.fed <= 0 { // of a group's members that tell no level its meters may still tell
		if len(some) > 0 {
			a.through = f.held
		}
		return a
	}
	a.through = Ratio(all / a.fed)
	a.fed /= Power(len(some) + len(more))
	for k := range a.classes {
		a.classes[k].in, a.classes[k].passed = a.classes[k].power/max(count[k], 1), passed[k]
	}
	if c.known {
		a.know(c)
	}
	return a
}

// know gives the answer a curve to follow. Logarithms wait until there is one.
func (a *answer) know(c curve) {
	a.curve = c
	for k := range a.classes {
		if c := &a.classes[k]; c.power > 0 {
			c.level, c.reduction = c.in.Level(), DB(c.power.Level()-c.passed.Level())
		}
	}
}

// back is the slot of i beats ago.
func (f *feed) back(i int) int {
	if at := f.next - 1 - i; at >= 0 {
		return at
	}
	return f.next - 1 - i + meterSlots
}

// curve is a compressor's reduction as a function of what is fed to it, never falling as
// that rises. The zero value is not known.
type curve struct {
	known bool

	static   bool // by its settings
	settings Curve

	learned *learnedCurve // or as it was seen to do

	moved DB // and the threshold so far down from there, as the meter shows
}

// at is the reduction of an in-level.
func (c *curve) at(in DBFS) DB {
	in += DBFS(c.moved)
	if !c.static {
		return c.learned.at(in)
	}
	return c.settings.Reduction(in)
}

// since is what has become known of a curve, or what another balance knows of it. What
// was learned after the compressor was set anew is another's curve.
func (c *curve) since(other *curve) curve {
	switch {
	case c.learned != nil && c.learned.known:
		return curve{known: true, learned: c.learned}
	case c.learned == nil || other.static || other.learned == c.learned:
		return *other
	}
	return *c
}

// learnedCurve is a compressor's curve from what it was seen to do in the last minutes:
// mean reduction by in-level, in steps of 1 dB from -60 dBFS to full scale.
type learnedCurve struct {
	weight, sum [learnedSteps]float64

	shape       [learnedSteps]float64 // never falling; made anew once a second
	first, last int                   // the steps that were seen
	slope       float64               // beyond them
	known       bool
}

const (
	learnedSteps = 61
	learnedFrom  = DBFS(-60)
	// forgetting makes what was seen two minutes of its own time ago count half.
	forgetting = 0.99942
	// seenEnough is the weight that makes a step believed: a second and a half of it.
	seenEnough = 15
	// leastSpread is how far apart the levels seen must lie to tell how steep the curve is.
	leastSpread = 3
)

func (c *learnedCurve) add(in DBFS, reduction DB) {
	step, ok := stepOf(in)
	if !ok {
		return
	}
	// Only the step that was met ages: one that the music leaves for a verse keeps what it knew.
	c.weight[step] = c.weight[step]*forgetting + 1
	c.sum[step] = c.sum[step]*forgetting + float64(reduction)
}

func stepOf(in DBFS) (step int, ok bool) {
	step = int(in - learnedFrom + 0.5)
	return step, step >= 0 && step < learnedSteps
}

// seen is what a level was seen to be turned down by, false if that was seldom.
func (c *learnedCurve) seen(in DBFS) (DB, bool) {
	step, ok := stepOf(in)
	if !ok || c.weight[step] < seenEnough {
		return 0, false
	}
	return DB(c.sum[step] / c.weight[step]), true
}

// draw makes the shape of what was seen.
func (c *learnedCurve) draw() {
	highest := 0.0
	c.first, c.last = -1, -1
	for s := range c.shape {
		if c.weight[s] >= seenEnough {
			highest = max(highest, c.sum[s]/c.weight[s])
			if c.first < 0 {
				c.first = s
			}
			c.last = s
		}
		c.shape[s] = highest
	}
	c.known = c.first >= 0 && c.last-c.first >= leastSpread
	if c.known {
		c.slope = min((c.shape[c.last]-c.shape[max(c.last-6, c.first)])/float64(min(6, c.last-c.first)), 1)
	}
}

// at is the reduction of an in-level. Beyond what was seen it goes on as steeply as in
// the last 6 dB of that.
func (c *learnedCurve) at(in DBFS) DB {
	x := float64(in - learnedFrom)
	switch {
	case x >= float64(c.last):
		return DB(c.shape[c.last] + c.slope*(x-float64(c.last)))
	case x <= float64(c.first):
		return DB(max(c.shape[c.first]-c.slope*(float64(c.first)-x), 0))
	}
	i := int(x)
	return DB(c.shape[i] + (x-float64(i))*(c.shape[i+1]-c.shape[i]))
}
