package desk

import (
	"math"
	"testing"
)

// squeezed is a desk with one input straight to the main, whose meter lies behind its own
// compressor.
type squeezed struct {
	*Mix
	curve  Curve
	makeUp DB
	beats  int
}

func newSqueezed() *squeezed {
	return &squeezed{Mix: mixOf(band(1, nil, nil), set(InputFader, 0, 0)), curve: Curve{Threshold: -20, Ratio: 1}}
}

func (s *squeezed) tell() {
	s.hear(set(InputCompThreshold, 0, float64(s.curve.Threshold)))
	s.hear(set(InputCompRatio, 0, s.curve.Ratio))
	s.hear(set(InputCompMakeUp, 0, float64(s.makeUp)))
}

// out is what a beat's level is after the compressor as it is set.
func (s *squeezed) out(beat int) (level DBFS, taken DB) {
	in := DBFS(-16 + 4*math.Sin(float64(beat)*0.7))
	taken = s.curve.Reduction(in)
	return in + DBFS(s.makeUp-taken), taken
}

func (s *squeezed) play(beats int) {
	for range beats {
		s.beats++
		level, taken := s.out(s.beats)
		s.hear(set(InputLevel, 0, float64(level)))
		s.hear(set(InputReduction, 0, float64(taken)))
		s.Fold()
	}
}

// near wants the total that all of the last ten seconds would make through the compressor as it is.
func (s *squeezed) near(t *testing.T, when string, by DB) {
	t.Helper()
	for n := range s.inputs[0].full {
		if m := &s.inputs[0].meter; m.level(n) != m.beat(n).Level() {
			t.Fatalf("%s: %d beats ago a level of %.2f dBFS stands beside a power of %.2f", when, n, m.level(n), m.beat(n).Level())
		}
	}
	var sum Power
	for i := range meterSlots {
		level, _ := s.out(s.beats - i)
		sum += level.Power()
	}
	var b Balance
	s.balance(&b, LongestBeats)
	if got, want := b.Total(), (sum / Power(meterSlots)).Level(); got.Above(want).Abs() > by {
		t.Errorf("%s: total %.2f dBFS, want %.2f", when, got, want)
	}
}

// TestInputCompressorSetAnew: what the meter of an input showed before its compressor was
// set is read again as the compressor is set now.
func TestInputCompressorSetAnew(t *testing.T) {
	s := newSqueezed()
	s.tell()
	s.play(150)
	s.near(t, "before", 0.01)
	for _, c := range []struct {
		when   string
		curve  Curve
		makeUp DB
	}{
		{"hard", Curve{Threshold: -32, Ratio: 8}, 0},
		{"made up for", Curve{Threshold: -32, Ratio: 8}, 6},
		{"let go", Curve{Threshold: -8, Ratio: 8}, 6},
		{"all at once", Curve{Threshold: -24, Ratio: 2}, 1},
	} {
		s.curve, s.makeUp = c.curve, c.makeUp
		s.tell()
		s.near(t, c.when, 0.1)
		s.play(20)
		s.near(t, c.when+", two seconds after", 0.1)
	}
}

// TestInputCompressorToldLate: a desk that is asked for its settings now and then tells of
// them when the meter has long been another.
func TestInputCompressorToldLate(t *testing.T) {
	s := newSqueezed()
	s.curve = Curve{Threshold: -24, Ratio: 2}
	s.tell()
	s.play(150)
	s.curve.Threshold = -36
	s.play(40)
	s.tell()
	s.near(t, "told four seconds late", 0.1)
}

// TestInputCompressorThatTellsLittle: without its reduction nobody knows what a curve does,
// and the first word of a setting is no change of it.
func TestInputCompressorThatTellsLittle(t *testing.T) {
	m := mixOf(band(1, nil, nil), set(InputFader, 0, 0))
	m.hear(set(InputLevel, 0, -20))
	m.Fold()
	for _, r := range []Reading{set(InputCompThreshold, 0, -40), set(InputCompRatio, 0, 2), set(InputCompMakeUp, 0, 3), set(InputCompRatio, 0, 8), set(InputCompMakeUp, 9, 3)} {
		m.hear(r)
	}
	if got := m.inputs[0].mean(LongestBeats).Level(); got.Above(-20).Abs() > 1e-9 {
		t.Errorf("level %v, want -20 dBFS", got)
	}
	m.hear(set(InputCompMakeUp, 0, 5))
	if got := m.inputs[0].mean(LongestBeats).Level(); got.Above(-18).Abs() > 1e-9 {
		t.Errorf("made up for by 2 dB more: %v, want -18 dBFS", got)
	}
}
