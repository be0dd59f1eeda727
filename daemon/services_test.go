package daemon

import (
	"fmt"
	"testing"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/rules"
)

// harbourHall is the house of the demo.
func harbourHall(t interface {
	Helper()
	Fatal(...any)
},
) *house.House {
	t.Helper()
	h, faults := practiceHouse()
	if h == nil {
		t.Fatal(faults)
	}
	return h
}

// TestServices judges every service of the practice desk and holds what is said
// against the script's own label: everything expected is said in its time, and
// nothing else is.
func TestServices(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Parallel()
	for _, name := range practicetest.Services() {
		t.Run(name, func(t *testing.T) {
			script, err := practicetest.Service(name)
			if err != nil {
				t.Fatal(err)
			}
			for _, fault := range mislabelled(judgeService(t, script), script.Expect) {
				t.Error(fault)
			}
		})
	}
}

// mislabelled is what was said and should not have been, and the other way round.
func mislabelled(said []*rules.Finding, expect []practice.Expectation) (wrong []string) {
	for _, want := range expect {
		rest, fault := take(said, want)
		said = rest
		if fault != "" {
			wrong = append(wrong, fault)
		}
	}
	for _, f := range said {
		if f.State == rules.Open || f.State == rules.Eased {
			wrong = append(wrong, fmt.Sprintf("at %v: %s %s %s, which nobody expected: %s", time.Duration(f.T), f.Rule, f.State, f.Weight, what(f)))
		}
	}
	return wrong
}

func judgeService(t *testing.T, script *practice.Script) []*rules.Finding {
	t.Helper()
	e := newEngine(harbourHall(t))
	var said []*rules.Finding
	for at, packet := range practice.Play(script, practicetest.Dialects()[0], practice.Playing{}) {
		e.packet(at, packet)
		said = append(said, findings(e)...)
	}
	e.advance(script.Length)
	said = append(said, findings(e)...)
	if c := e.hearer.Counts(); len(e.malformed) > 0 || c.Unmapped > 0 {
		t.Errorf("%d messages not in the map (last %s), malformed %v", c.Unmapped, e.hearer.LastUnmapped(), e.malformed)
	}
	return said
}

// take finds what was wanted among what was said, and gives the rest and what is wrong
// with it, "" for nothing. A weight may be reached by growing.
func take(said []*rules.Finding, want practice.Expectation) (rest []*rules.Finding, fault string) {
	for i, f := range said {
		phase := f.State.String() == want.State || want.State == "open" && f.State == rules.Grew && want.Weight != ""
		if f.Rule == want.Rule && phase && (want.Weight == "" || f.Weight.String() == want.Weight) {
			if at := time.Duration(f.T); at < want.After || at > want.By {
				fault = fmt.Sprintf("%s %s said at %v, want between %v and %v", f.Rule, f.State, at, want.After, want.By)
			}
			if f.State == rules.Grew {
				return dropOpening(said, f.Number), fault
			}
			return append(said[:i:i], said[i+1:]...), fault
		}
	}
	return said, fmt.Sprintf("%s %s %s between %v and %v was not said", want.Rule, want.State, want.Weight, want.After, want.By)
}

// dropOpening drops the opening of a finding whose growth was what was wanted.
func dropOpening(said []*rules.Finding, number int) []*rules.Finding {
	for i, f := range said {
		if f.Number == number && f.State == rules.Open {
			return append(said[:i:i], said[i+1:]...)
		}
	}
	return said
}

// TestLoopsStayCalm plays the demo for an hour: every turn is judged like the
// first, and what the budget holds back is held back and not lost.
func TestLoopsStayCalm(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Parallel()
	script, err := practicetest.Service("harbour-hall")
	if err != nil {
		t.Fatal(err)
	}
	e := newEngine(harbourHall(t))
	opened, shown := 0, []time.Duration{}
	for at, packet := range practice.Play(script, practicetest.Dialects()[0], practice.Playing{Loop: true}) {
		if at > time.Hour {
			break
		}
		e.packet(at, packet)
		for _, f := range findings(e) {
			if f.State == rules.Open {
				opened++
			}
			if (f.State == rules.Open || f.State == rules.Shown) && f.Shown {
				shown = append(shown, time.Duration(f.T))
			}
		}
	}
	if want := int(time.Hour / script.Length); opened != want {
		t.Errorf("%d findings opened in an hour, want one a turn: %d", opened, want)
	}
	limits := rules.DefaultLimits().Calm
	for i := limits.Most; i < len(shown); i++ {
		if d := shown[i] - shown[i-limits.Most]; d < limits.Every {
			t.Errorf("%d cards within %v, want at most %d in %v", limits.Most+1, d, limits.Most, limits.Every)
		}
	}
}
