package survey

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/daemon/practice/practicetest"
	"pawl/oscmap/wire"
)

// mostAnswers is how often a person has to answer, whatever the desk does, who never goes back:
// each of the 36 questions twice, a mark that cannot be some times more, and the further strips.
const mostAnswers = 36*patience + (maxMarks+3)*mostWrong + mostFurther*patience

// TestGuideEnds: a desk may answer with whatever it likes; the guide comes to an end within so
// many answers, and the draft is one that passes.
func TestGuideEnds(t *testing.T) {
	practicetest.SkipRaced(t)
	rapid.Check(t, func(rt *rapid.T) {
		d := drawWild(rt)
		g := d.survey.Guide()
		always := rapid.SampledFrom([]string{"", "-10", "10"}).Draw(rt, "always") // is typed by who is stubborn
		n := 0
		for ; g.Question() != "" && n <= mostAnswers; n++ {
			d.anyMove(rt)
			d.pass(rapid.IntRange(30, 50).Draw(rt, "tenths"))
			typed := ""
			switch a := g.Asks(); {
			case a.Number && always != "":
				typed = always
			case a.None && rapid.IntRange(0, 9).Draw(rt, "none") == 0:
				typed = "none"
			case a.Number && !(a.Nothing && rapid.IntRange(0, 4).Draw(rt, "enter") == 0):
				typed = fmt.Sprint(rapid.IntRange(-60, 10).Draw(rt, "mark"))
			}
			g.Answer(typed)
		}
		if n > mostAnswers {
			rt.Errorf("after %d answers it still asks %q", n, g.Question())
		}
		draft := d.survey.Draft(g, DraftOptions{})
		checked(rt, draft)
	})
}

// wildDesk sends messages of accidental forms, each of which goes its own way.
type wildDesk struct {
	survey *Survey
	now    time.Duration
	all    []*wildMessage
}

// wildMessage is one address and what stands in it; what moves by a hand, by itself, or never.
type wildMessage struct {
	address string
	args    []func(x float64) any
	moves   int // 0 never, 1 by a hand, 2 by itself, 3 with all that does
	x       float64
}

func drawWild(rt *rapid.T) *wildDesk {
	d := &wildDesk{survey: New(Options{})}
	word := rapid.SampledFrom([]string{"up", "low", "a", "b", "one", "two", "level", "cut"})
	arg := rapid.SampledFrom([]func(float64) any{
		func(x float64) any { return float32(x) },
		func(x float64) any { return float32(x*60 - 50) },
		func(x float64) any { return int(x * 1000) },
		func(x float64) any { return int(x * 2) },
		func(x float64) any { return x > 0.5 },
		func(x float64) any { return fmt.Sprintf("%.1f dB", x*60-50) },
		func(x float64) any { return []string{"open", "shut"}[int(x*1.99)] },
		func(float64) any { return "gain" },
		func(x float64) any { return []byte{byte(x * 255), byte(x * 99), 0, byte(x * 7)} },
	})
	for range rapid.IntRange(1, 6).Draw(rt, "forms") {
		n := rapid.SampledFrom([]int{1, 1, 2, 4, 8}).Draw(rt, "strips")
		segments := "/" + strings.Join(rapid.SliceOfN(word, 1, 3).Draw(rt, "words"), "/")
		args := rapid.SliceOfN(arg, 0, 9).Draw(rt, "args")
		moves := rapid.IntRange(0, 3).Draw(rt, "moves")
		counted := rapid.IntRange(0, 2).Draw(rt, "counted")
		for i := range n {
			m := &wildMessage{segments, args, moves, 0.5}
			switch {
			case n > 1 && counted == 0:
				m.address += fmt.Sprint("/", i+1)
			case n > 1 && counted == 1:
				m.args = append([]func(float64) any{func(float64) any { return i + 1 }}, args...)
			case n > 1:
				m.address += "/" + string(rune('a'+i)) + "x/at"
			}
			d.all = append(d.all, m)
		}
	}
	for _, m := range d.all {
		d.say(m)
	}
	d.pass(40)
	return d
}

func (d *wildDesk) say(m *wildMessage) {
	var args []any
	for _, a := range m.args {
		args = append(args, a(m.x))
	}
	if packet, err := wire.AppendMessage(nil, m.address, args...); err == nil {
		d.survey.Hear(d.now, packet)
	}
}

// anyMove moves some of what a hand moves, anywhere.
func (d *wildDesk) anyMove(rt *rapid.T) {
	for _, m := range d.all {
		if m.moves == 1 && rapid.IntRange(0, 2).Draw(rt, "moved") == 0 || m.moves == 3 {
			m.x = rapid.SampledFrom([]float64{0, 0.2, 0.4, 0.6, 0.8, 1}).Draw(rt, "to")
			d.say(m)
		}
	}
}

func (d *wildDesk) pass(tenths int) {
	for range tenths {
		d.now += 100 * time.Millisecond
		for i, m := range d.all {
			if m.moves == 2 {
				m.x = float64((int(d.now/time.Millisecond)*7+i*31)%997) / 1000
				d.say(m)
			}
		}
	}
	d.survey.Elapse(d.now)
}
