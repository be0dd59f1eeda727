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
	if !a.curve.known || fed <= 0 {
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
	learned learnedCurve
}

type fedBeat struct {
	in, passed Power
	level      DBFS // of in
}

func (f *feed) add(in Power, reduction DB) {
	level := in.Level()
	f.held = (-reduction).Ratio()
	f.beats[f.next] = fedBeat{in, in * Power(f.held), level}
	if f.next++; f.next == meterSlots {
		f.next = 0
	}
	f.full = min(f.full+1, meterSlots)
	f.learned.add(level, reduction)
}

// answer makes an answer of the last n beats, by a curve that is known or not.
func (f *feed) answer(n int, c curve) answer {
	a := answer{through: 1}
	n = min(max(n, 1), f.full)
	top := Silence
	for i := range n {
		top = max(top, f.beats[f.back(i)].level)
	}
	if top == Silence {
		if n > 0 {
			a.through = f.held
		}
		return a
	}
	var count [answerClasses]Power
	var passed [answerClasses]Power
	for i := range n {
		b := &f.beats[f.back(i)]
		if b.in <= 0 {
			continue
		}
		k := min(int(DB(top-b.level)/classWidth), answerClasses-1)
		count[k]++
		a.classes[k].power += b.in
		passed[k] += b.passed
	}
	var all Power
	for k := range a.classes {
		a.fed += a.classes[k].power
		all += passed[k]
	}
	a.through = Ratio(all / a.fed)
	a.fed /= Power(n)
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

// reshape makes of what passed what would have, had the compressor been set as it is now:
// what was heard before a threshold was moved tells nothing of after.
func (f *feed) reshape(was, is *curve) {
	for i := range f.full {
		b := &f.beats[f.back(i)]
		if b.in > 0 {
			reduction := max(DB(b.level-b.passed.Level())+is.at(b.level)-was.at(b.level), 0)
			b.passed = b.in * Power((-reduction).Ratio())
		}
	}
	f.learned = learnedCurve{}
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
}

// at is the reduction of an in-level.
func (c *curve) at(in DBFS) DB {
	if !c.static {
		return c.learned.at(in)
	}
	return c.settings.Reduction(in)
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
	leastSpread = 4
)

func (c *learnedCurve) add(in DBFS, reduction DB) {
	step := int(in - learnedFrom + 0.5)
	if step < 0 || step >= learnedSteps {
		return
	}
	// Only the step that was met ages: one that the music leaves for a verse keeps what it knew.
	c.weight[step] = c.weight[step]*forgetting + 1
	c.sum[step] = c.sum[step]*forgetting + float64(reduction)
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
