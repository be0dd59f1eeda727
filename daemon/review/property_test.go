package review

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/desk"
)

// drawn is a service of whatever may happen, in order of time.
func drawnService(t *rapid.T) *made {
	s := newMade(time.Duration(rapid.IntRange(60, 4000).Draw(t, "length")) * time.Second)
	length := s.m.Service.Ended.Sub(s.m.Service.Began).Seconds()
	at, number := 0.0, 0
	var alive []*rules.Finding
	who := rapid.SampledFrom([]desk.Who{input(0), input(1), input(2), input(3), bandDCA, {Strip: desk.StripMain}})
	s.part(0, 1, desk.Music)
	for at < length {
		switch rapid.IntRange(0, 5).Draw(t, "what") {
		case 0:
			s.part(at, s.parts()+1, rapid.SampledFrom([]desk.SegmentKind{desk.Music, desk.Music, desk.Speech, desk.Quiet, desk.AnyKind}).Draw(t, "kind"))
		case 1, 2:
			kind := desk.MoveKind(rapid.IntRange(1, int(desk.GainSet)).Draw(t, "move"))
			s.move(at, who.Draw(t, "who"), kind, desk.DB(rapid.Float64Range(0.5, 8).Draw(t, "by")))
		case 3:
			number++
			rule := rapid.SampledFrom([]string{"ratchet", "lead-behind", "solo-raise", "crowded"}).Draw(t, "rule")
			alive = append(alive, s.find(at, number, rule, rules.Open, rules.Weight(rapid.IntRange(1, 3).Draw(t, "weight")), rapid.Bool().Draw(t, "shown"), 3, who.Draw(t, "about")))
		case 4:
			if len(alive) > 0 {
				f := alive[len(alive)-1]
				state := rules.State(rapid.IntRange(2, 5).Draw(t, "state"))
				g := s.find(at, f.Number, f.Rule, state, f.Weight, state != rules.Held, desk.DB(rapid.Float64Range(0, 4).Draw(t, "faders")), f.About...)
				if state == rules.Eased {
					alive, g.Accepted = alive[:len(alive)-1], rapid.Bool().Draw(t, "accepted")
				}
			}
		case 5:
			if number > 0 {
				s.say(at, rules.PressEntry, &rules.Pressed{Press: rules.Press{Do: rules.Seen, Number: rapid.IntRange(1, number).Draw(t, "seen")}})
			}
		}
		at += float64(rapid.IntRange(0, 90).Draw(t, "later"))
	}
	gain, level := rapid.Float64Range(-12, 6), rapid.Float64Range(-60, -10)
	for from := 0; from < int(length); from += 30 {
		reduction := desk.DB(rapid.Float64Range(0, 9).Draw(t, "reduction"))
		s.stand(from, min(from+30, int(length)), rules.GroupLevels{Known: true, Low: reduction / 2, Median: reduction, High: 2 * reduction},
			[4]desk.DB{desk.DB(gain.Draw(t, "gain")), 0, 0, 0}, [4]desk.DBFS{desk.DBFS(level.Draw(t, "level")), -20, -20, -20})
	}
	return s
}

func (s *made) parts() (n int) {
	for _, e := range s.m.Stretches[0].Entries {
		if _, ok := e.(*rules.Parted); ok {
			n++
		}
	}
	return n
}

// TestFiguresAddUp: whatever a service was, each figure has a value or says why not, its
// parts add up to its cases, shares to the whole, and every form can be written.
func TestFiguresAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawnService(t)
		r := Summarise(s.m, Options{})
		if h := r.Heading; h.Music+h.Speech+h.Quiet > h.Length || h.Cards+h.Lines > h.Findings {
			t.Fatalf("heading %+v", h)
		}
		for _, f := range r.Figures {
			if f.Means == "" || f.Title == "" || f.Cases == "" || (f.Value == nil) == (f.Why == "") {
				t.Fatalf("figure %+v", f)
			}
			parts := map[string]float64{}
			sum := 0.0
			for _, p := range f.Parts {
				parts[p.Name] = p.Value
				sum += p.Value
				if math.IsNaN(p.Value) || math.IsInf(p.Value, 0) {
					t.Fatalf("figure %+v", f)
				}
			}
			switch {
			case f.Name == "way-back" && sum != float64(f.N), f.Name == "followed" && sum != float64(f.N):
				t.Fatalf("%s: %v of %d", f.Name, parts, f.N)
			case f.Unit == Share && f.Value != nil && (*f.Value < 0 || *f.Value > 1), f.Name == "window" && f.Value != nil && math.Abs(*f.Value+sum-1) > 0.002:
				t.Fatalf("%s: %v and %v", f.Name, *f.Value, parts)
			case f.Name == "bought" && f.Value != nil && math.Abs(*f.Value+parts["swallowed"]-parts["raised"]) > 0.002:
				t.Fatalf("%s: %v and %v", f.Name, *f.Value, parts)
			case f.Name == "lead-behind" && f.Value != nil && *f.Value > time.Duration(r.Heading.Music).Seconds()+0.001:
				t.Fatalf("the lead is behind for %v s of %v", *f.Value, r.Heading.Music)
			}
		}
		writeAll(t, r)
	})
}

type fataler interface{ Fatal(...any) }

// writeAll writes every form of a report.
func writeAll(t fataler, r *Report) {
	var text strings.Builder
	if err := r.Text(&text, TextOptions{Width: 60}); err != nil {
		t.Fatal(err)
	}
	if err := r.HTML(io.Discard); err != nil {
		t.Fatal(err)
	}
	if _, err := json.Marshal(r); err != nil {
		t.Fatal(err)
	}
	for _, table := range Tables() {
		if err := table.Begin(io.Discard).Add(r); err != nil {
			t.Fatal(err)
		}
	}
	for line := range strings.Lines(text.String()) {
		if wide(strings.TrimRight(line, "\n")) > 60 || strings.ContainsAny(line, "\x1b\u009b") {
			t.Fatal(fmt.Sprintf("line %q", line))
		}
	}
}

// TestOneServiceInTwoStretches: where a house file was read again in the middle, the
// findings, the parts and all figures that rest on them are those of one stretch.
func TestOneServiceInTwoStretches(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawnService(t)
		whole := s.m.Stretches[0]
		cut := rules.Moment(rapid.Int64Range(1, int64(whole.Until)-1).Draw(t, "cut"))
		first, second := whole, whole
		first.Until, second.From = cut, cut
		first.Entries, second.Entries = nil, nil
		for _, e := range whole.Entries {
			if e.Head().T < cut {
				first.Entries = append(first.Entries, e)
				if p, ok := e.(*rules.Parted); ok {
					second.Segment = p
				}
			} else {
				second.Entries = append(second.Entries, e)
			}
		}
		i, _ := slices.BinarySearchFunc(whole.Levels, cut, func(l rules.Levels, t rules.Moment) int { return int(min(max(l.T-t, -1), 1)) })
		first.Levels, second.Levels = whole.Levels[:i], whole.Levels[i:]
		one, two := Summarise(s.m, Options{}), Summarise(Material{Service: s.m.Service, Stretches: []store.Stretch{first, second}}, Options{})
		if a, b := fmt.Sprintf("%+v", withoutBought(one)), fmt.Sprintf("%+v", withoutBought(two)); a != b {
			t.Fatalf("in one:\n%s\nin two, cut at %v:\n%s", a, time.Duration(cut), b)
		}
	})
}

// withoutBought are the figures that do not rest on levels on both sides of a moment.
func withoutBought(r *Report) (all []string) {
	for _, f := range r.Figures {
		if f.Name != "bought" {
			all = append(all, f.Name+" "+told(f)+" "+f.Cases)
		}
	}
	for i := range r.Findings {
		all = append(all, r.Findings[i].Life, string(r.Findings[i].Followed))
	}
	return all
}
