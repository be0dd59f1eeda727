package desk

import (
	"math"
	"testing"
)

// pressed is a desk with one input in a compressed group, whose music goes up and down.
type pressed struct {
	*Mix
	curve Curve // as the compressor is really set
	beats int
}

func newPressed(told bool) *pressed {
	r := band(1, nil, []string{"band"})
	r.Inputs[0].Main, r.Inputs[0].Groups = false, []int{0}
	p := &pressed{Mix: mixOf(r, set(InputFader, 0, 0)), curve: Curve{Threshold: -20, Ratio: 3}}
	if told {
		p.tell()
	}
	return p
}

func (p *pressed) tell() {
	p.hear(set(GroupThreshold, 0, float64(p.curve.Threshold)))
	p.hear(set(GroupRatio, 0, p.curve.Ratio))
}

// play lets beats pass, and the meters tell of each.
func (p *pressed) play(beats int) {
	for range beats {
		p.beats++
		level := p.level(p.beats)
		p.hear(set(InputLevel, 0, level))
		p.hear(set(GroupReduction, 0, float64(p.curve.Reduction(DBFS(level)))))
		p.Fold()
	}
}

func (p *pressed) level(beat int) float64 { return -16 + 4*math.Sin(float64(beat)*0.7) }

// want is the total had all of the last ten seconds gone through the compressor as it is.
func (p *pressed) want() DBFS {
	var sum Power
	for i := range meterSlots {
		in := DBFS(p.level(p.beats - i))
		sum += (in - DBFS(p.curve.Reduction(in))).Power()
	}
	return (sum / Power(meterSlots)).Level()
}

func (p *pressed) near(t *testing.T, when string, by DB) {
	t.Helper()
	var b Balance
	p.balance(&b, LongestBeats)
	if got, want := b.Total(), p.want(); got.Above(want).Abs() > by {
		t.Errorf("%s: total %.2f dBFS, want %.2f", when, got, want)
	}
}

// TestMeterOverSetting: a threshold that was moved is seen by the meter within a second,
// told or not, and to be told of it later changes nothing.
func TestMeterOverSetting(t *testing.T) {
	for _, told := range []bool{true, false} {
		p := newPressed(told)
		p.play(300)
		p.near(t, "before", 0.01)
		p.curve.Threshold = -28
		p.play(movedWithin)
		if p.groups[0].feed.full == meterSlots {
			p.near(t, "a second after", 0.1)
		} else if told {
			t.Error("what a told curve explains was forgotten")
		}
		p.play(70)
		p.near(t, "eight seconds after", 0.2)
		if told {
			p.tell()
			p.near(t, "when it is told at last", 0.1)
			if p.groups[0].feed.moved != 0 {
				t.Error("what the settings explain again is still laid at another threshold")
			}
		}
		p.play(meterSlots)
		p.near(t, "in the end", 0.01)
	}
}

// TestToldAtOnce: a threshold that is told as it moves counts from then on.
func TestToldAtOnce(t *testing.T) {
	p := newPressed(true)
	p.play(300)
	p.curve.Threshold = -28
	p.tell()
	p.near(t, "at once", 0.01)
}

// TestALouderPassageIsNoOtherCurve: what was never so loud is turned down more than ever,
// and by the same curve.
func TestALouderPassageIsNoOtherCurve(t *testing.T) {
	for _, told := range []bool{true, false} {
		p := newPressed(told)
		p.play(300)
		for level := -12.0; level < -2; level++ {
			for range 5 {
				p.hear(set(InputLevel, 0, level))
				p.hear(set(GroupReduction, 0, float64(p.curve.Reduction(DBFS(level)))))
				p.Fold()
			}
		}
		if f := &p.groups[0].feed; f.moved != 0 || f.older != nil || f.full != meterSlots {
			t.Errorf("told %v: the curve is taken to have moved", told)
		}
	}
}

// TestAHandThatIsNotToldIsNoOtherCurve: of a fader some desks tell only where it came to
// rest. What the compressor does meanwhile is no other setting where the desk meters what
// goes into it, though that be metered some decibels beside.
func TestAHandThatIsNotToldIsNoOtherCurve(t *testing.T) {
	for _, told := range []bool{true, false} {
		for _, beside := range []float64{0, 4} {
			p := newPressed(told)
			by := 0.0
			play := func(beats int) {
				for range beats {
					in := p.level(p.beats+1) + by
					p.hear(set(GroupLevelIn, 0, in-beside))
					p.beats++
					p.hear(set(InputLevel, 0, p.level(p.beats)))
					p.hear(set(GroupReduction, 0, float64(p.curve.Reduction(DBFS(in)))))
					p.Fold()
				}
			}
			play(300)
			for range 30 {
				by -= 0.3
				play(1)
			}
			p.hear(set(InputFader, 0, by))
			play(10)
			if g := &p.groups[0].feed; g.moved != 0 || g.older != nil {
				t.Errorf("told %v, metered %v dB beside: the threshold is taken to have moved by %v", told, beside, g.moved)
			}
		}
	}
}

// TestWhoIsLetIn: an input that has played for ten seconds behind a mute feeds its group,
// once it is let in, with all that it plays and not with the one beat that it was heard.
func TestWhoIsLetIn(t *testing.T) {
	p := newPressed(true)
	p.play(100)
	p.hear(set(InputMute, 0, 1))
	p.play(150)
	p.hear(set(InputMute, 0, 0))
	p.play(1)
	p.near(t, "a beat after", 0.3)
	p.play(10)
	p.near(t, "a second after", 0.3)
}

// TestPeaksStandIn: where no level is told peaks do, 12 dB down; one level, and they do not.
func TestPeaksStandIn(t *testing.T) {
	m := mixOf(band(1, nil, nil), set(InputFader, 0, 0))
	m.hear(set(InputPeak, 0, -8))
	stand(m)
	v := m.View()
	if got := v.Level(0, LongestBeats); !v.Metered(0) || got.Above(-20).Abs() > 1e-6 {
		t.Errorf("level %v, want -20 dBFS of peaks at -8", got)
	}
	m.hear(set(InputLevel, 0, -30))
	m.hear(set(InputPeak, 0, -3))
	m.Fold()
	if got := v.Level(0, LongestBeats); got.Above(-30).Abs() > 1e-6 {
		t.Errorf("level %v, want -30 dBFS and nothing of the peaks", got)
	}
}
