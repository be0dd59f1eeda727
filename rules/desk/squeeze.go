package desk

// Source is how a compressor's gain reduction is known.
type Source string

// The sources, from none to the best.
const (
	NotKnown Source = ""
	Computed Source = "computed" // from its threshold, ratio, knee and what goes into it
	Measured Source = "measured" // from what goes into it and what comes out
	Reported Source = "reported" // by the desk
)

// squeezeMeter is a compressor's gain reduction, in dB counted upwards, over the
// beats in which something played into it.
type squeezeMeter struct {
	source    Source
	reduction DB
	spread    spread // made when the first beat counts
}

func (s *squeezeMeter) hear(reduction DB) { s.source, s.reduction = Reported, reduction }

// derive takes a reduction that the desk did not report itself.
func (s *squeezeMeter) derive(reduction DB, from Source) { s.source, s.reduction = from, max(reduction, 0) }

func (s *squeezeMeter) fold(active bool) {
	if s.source == NotKnown || !active {
		return
	}
	if s.spread.ring == nil {
		s.spread = newSpread(0, 100, Passage, Minute, LongestMean)
	}
	s.spread.add(float64(s.reduction))
}

// Squeeze is how hard a compressor is working. Until a reading was heard while
// something played it is not known, and then its figures mean nothing.
type Squeeze struct {
	Active bool // something that feeds it is playing and open
	Known  bool // a reading was heard while it played
	Source Source

	Median    DB // over the last 20 s of playing
	Least     DB // its 10th percentile: what it hardly ever lets go of
	Low, High DB // over the last minute of playing: 10th and 90th percentile
}

func (s *squeezeMeter) squeeze(active bool) Squeeze {
	out := Squeeze{Active: active, Known: s.spread.ring != nil}
	if out.Known {
		out.Source, out.Median, out.Least, out.Low, out.High = s.source, s.quantile(0.5), s.quantile(0.1), s.low(), s.high()
	}
	return out
}

func (s *squeezeMeter) quantile(q float64) DB {
	v, _ := s.spread.quantile(Passage, q)
	return DB(v)
}

func (s *squeezeMeter) low() DB {
	v, _ := s.spread.quantile(Minute, 0.1)
	return DB(v)
}

func (s *squeezeMeter) high() DB {
	v, _ := s.spread.quantile(Minute, 0.9)
	return DB(v)
}

// deriveSqueeze works out a group's reduction in this beat where the desk does not
// report it: from its levels on either side, or else from its settings.
func (m *Mix) deriveSqueeze(k int) {
	g := &m.groups[k]
	if g.source == Reported || !g.active {
		return
	}
	in, metered := m.groupIn(k)
	if !metered || in <= quietGroup {
		return // between two notes a meter shows its own noise
	}
	if g.in.heard && g.out.heard {
		out := g.out.mean(Beat).Level()
		g.derive(in.Above(out)+g.makeUp+m.now.faders.At(Mover{StripGroup, k}), Measured)
		return
	}
	if c, ok := m.curve(k); ok {
		g.derive(c.Reduction(in), Computed)
	}
}

// quietGroup is a level into a group from which nothing can be read.
const quietGroup = DBFS(-80)

// groupIn is what went into a group in the last beat: as the desk meters it, or else
// the sum of its members; false if some of them are open and not metered.
func (m *Mix) groupIn(k int) (DBFS, bool) {
	if g := &m.groups[k]; g.in.heard {
		return g.in.mean(Beat).Level(), true
	}
	var sum Power
	for i := range m.inputs {
		in := &m.inputs[i]
		if !in.open || !m.routes[i].groups.has(k) {
			continue
		}
		if !in.heard {
			return Silence, false
		}
		sum += in.mean(Beat) * Power(m.now.gain[i])
	}
	return sum.Level(), true
}

// curve is a group's compressor by its settings, false until threshold and ratio were
// heard.
func (m *Mix) curve(k int) (Curve, bool) {
	threshold, ratio := m.latest.of(GroupThreshold, k), m.latest.of(GroupRatio, k)
	knee := m.latest.of(GroupKnee, k) // 0, a corner, of a desk that tells none
	return Curve{DBFS(threshold.value), ratio.value, DB(knee.value)}, threshold.heard && ratio.heard
}

// inputCurve is curve of an input's own compressor, of which no desk tells the knee.
func (m *Mix) inputCurve(i int) (Curve, bool) {
	threshold, ratio := m.latest.of(InputCompThreshold, i), m.latest.of(InputCompRatio, i)
	return Curve{DBFS(threshold.value), ratio.value, 0}, threshold.heard && ratio.heard
}
