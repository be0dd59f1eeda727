package desk

import "time"

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
	heard     bool
	reduction DB // as the desk reports it
	source    Source
	derived   DB     // while it does not
	spread    spread // made when the first beat counts
}

func (s *squeezeMeter) hear(reduction DB) {
	s.heard, s.reduction, s.source = true, reduction, Reported
}

// derive takes a reduction that the desk did not report itself.
func (s *squeezeMeter) derive(reduction DB, from Source) {
	s.derived, s.source = max(reduction, 0), from
}

func (s *squeezeMeter) fold(active bool) {
	if s.source == NotKnown || !active {
		return
	}
	if s.spread.ring == nil {
		s.spread = newSpread(0, 100, Passage, Minute, LongestMean)
	}
	if s.heard {
		s.spread.add(float64(s.reduction))
		return
	}
	s.spread.add(float64(s.derived))
}

// Squeeze is how hard a compressor is working. Until a reading was heard while
// something played it is not known, and then its figures mean nothing.
type Squeeze struct {
	Active bool // something that feeds it is playing and open
	Known  bool // a reading was heard while it played
	Source Source

	Median         DB // over the last 20 s of playing
	Least          DB // its 10th percentile: what it hardly ever lets go of
	Low, Mid, High DB // over the last minute of playing: 10th percentile, median and 90th
}

func (s *squeezeMeter) squeeze(active bool) Squeeze {
	out := Squeeze{Active: active, Known: s.spread.ring != nil}
	if out.Known {
		out.Source = s.source
		out.Median, out.Least = s.quantile(Passage, 0.5), s.quantile(Passage, 0.1)
		out.Low, out.Mid, out.High = s.quantile(Minute, 0.1), s.quantile(Minute, 0.5), s.quantile(Minute, 0.9)
	}
	return out
}

func (s *squeezeMeter) quantile(span time.Duration, q float64) DB {
	v, _ := s.spread.quantile(span, q)
	return DB(v)
}

// deriveSqueeze works out a group's reduction in this beat where the desk does not
// report it: from its levels on either side, or else from its settings.
func (m *Mix) deriveSqueeze(k int) {
	g := &m.groups[k]
	if g.heard || !g.active {
		return
	}
	in, metered := m.fed[k].Level(), g.metered
	if g.in.heard {
		in, metered = g.in.mean(Beat).Level(), true
	}
	if !metered || in <= quietGroup {
		return // between two notes a meter shows its own noise
	}
	if g.in.heard && g.out.heard {
		out, fader := g.out.mean(Beat).Level(), m.now.faders.At(Mover{StripGroup, k})
		if out > quietGroup && fader > Off { // closed, it tells nothing
			g.derive(in.Above(out)+g.makeUp+fader, Measured)
		}
		return
	}
	if c, ok := m.settings(k); ok {
		g.derive(c.Reduction(in), Computed)
	}
}

// quietGroup is a level into a group from which nothing can be read.
const quietGroup = DBFS(-80)

// settings is a group's compressor by what the desk tells of it, false until threshold
// and ratio were heard.
func (m *Mix) settings(k int) (Curve, bool) {
	return curveOf(m.latest.of(GroupThreshold, k), m.latest.of(GroupRatio, k), m.latest.of(GroupKnee, k))
}

// inputSettings is settings of an input's own compressor, of which no signal tells the knee.
func (m *Mix) inputSettings(i int) (Curve, bool) {
	return curveOf(m.latest.of(InputCompThreshold, i), m.latest.of(InputCompRatio, i), lastWord{})
}

// curveOf makes a curve of a desk's words. One that tells no knee has a corner, and a
// threshold at no level at all is none.
func curveOf(threshold, ratio, knee lastWord) (Curve, bool) {
	heard := threshold.heard && ratio.heard && DBFS(threshold.value) > Silence
	return Curve{DBFS(threshold.value), ratio.value, max(DB(knee.value), 0)}, heard
}
