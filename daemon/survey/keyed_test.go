package survey

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// TestWhatTellsApart: what arguments tell apart, and what only looks so.
func TestWhatTellsApart(t *testing.T) {
	every := func(n int, by time.Duration, what func(i int) []any) (all []saidAt) {
		for i := range n {
			all = append(all, saidAt{time.Duration(i) * by, what(i)})
		}
		return all
	}
	for _, c := range []struct {
		name     string
		messages []saidAt
		want     string
	}{
		{"a number behind the value", every(64, 50*time.Millisecond, func(i int) []any { return []any{2000 + 5*i, i % 16} }), "/x # 0–15"},
		{"a name before the number", every(16, 10*time.Millisecond, func(i int) []any { return []any{strings.Repeat("a", i+1), i + 1} }), "/x # 1–16"},
		{"a kind, and a number", every(32, 10*time.Millisecond, func(i int) []any { return []any{i/2 + 1, []string{"up", "shut"}[i%2], float32(i)} }),
			`/x # "shut" 1–16; /x # "up" 1–16`},
		{"a kind alone", every(8, 100*time.Millisecond, func(i int) []any { return []any{[]string{"in", "out"}[i%2], float32(1), float32(i), float32(3)} }),
			`/x "in" ; /x "out" `},
		{"a value, a kind, and a number", every(48, 10*time.Millisecond, func(i int) []any {
			return []any{[]any{float32(i), i%2 == 0, strings.Repeat("b", i/3+1)}[i%3], []string{"up", "shut", "who"}[i%3], i/3 + 1}
		}), `/x # "shut" 1–16; /x # "up" 1–16; /x # "who" 1–16`},
		{"a kind behind the value", every(8, 100*time.Millisecond, func(i int) []any { return []any{[]any{float32(i), i%2 == 0}[i%2], []string{"up", "shut"}[i%2]} }),
			`/x "shut" ; /x "up" `},
		{"a state behind the value", every(8, 100*time.Millisecond, func(i int) []any { return []any{float32(i), []string{"up", "shut"}[i%2]} }), "/x "},
		{"a name and a colour before the number", every(16, 10*time.Millisecond, func(i int) []any { return []any{strings.Repeat("c", i+1), []string{"red", "blue"}[i%2], i + 1} }),
			"/x # 1–16"},
		{"one word is no kind", every(8, 100*time.Millisecond, func(i int) []any { return []any{"rack", i * 2000} }), "/x "},
		{"a counter", every(40, 200*time.Millisecond, func(i int) []any { return []any{i, float32(0.5)} }), "/x "},
		{"a clock", every(40, time.Second, func(i int) []any { return []any{float32(i), i % 20} }), "/x "},
		{"a fader and its mute", every(80, 100*time.Millisecond, func(i int) []any { return []any{780 - 20*max(min(i-30, 70-i), 0), i / 75} }), "/x "},
		{"a strip now and then, and its fader", every(80, time.Second, func(i int) []any { return []any{i/8%5 + 1, 300 - i} }), "/x # 1–5"},
		{"a switch beside a value", every(80, 200*time.Millisecond, func(i int) []any { return []any{i / 50, float32(i)} }), "/x "},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := New(Options{})
			for _, m := range c.messages {
				s.Hear(m.at, packetOf(t, "/x", m.args...))
			}
			var got []string
			for _, r := range s.Rows() {
				got = append(got, fmt.Sprintf("%s %s", r.Address, r.Which))
			}
			if got := strings.Join(got, "; "); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// saidAt is a message's arguments at a time.
type saidAt struct {
	at   time.Duration
	args []any
}

// TestGuideGivesUp: a move that is not seen is asked for twice, and then the guide goes on and
// says what it could not see. It ends on any desk.
func TestGuideGivesUp(t *testing.T) {
	b := newBench(t)
	g := b.Guide()
	var all []string
	for n := 0; g.Question() != ""; n++ {
		if n == 40 {
			t.Fatalf("it still asks %q after\n%s", g.Question(), strings.Join(all, "\n"))
		}
		b.pass(40)
		all = append(all, g.Answer("")...)
	}
	got := strings.Join(all, "\n")
	for _, want := range []string{"I cannot see input 1's fader", "I cannot see input 1's mute", "I cannot see the main's fader", "MAP.md"} {
		if strings.Count(got, want) == 0 {
			t.Errorf("got\n%s\nwant %q in it", got, want)
		}
	}
	draft := b.Draft(g, DraftOptions{})
	checked(t, draft)
	if !strings.HasPrefix(draft, nothingTold) {
		t.Errorf("the draft is\n%s", draft)
	}
}

// TestSecondStrip: where one message has the faders of several, a hand on the second tells how
// they lie, and one on the third strip of another kind where they end.
func TestSecondStrip(t *testing.T) {
	for _, blob := range []bool{false, true} {
		b := &bench{Survey: New(Options{}), t: t}
		up, shut := []float32{0.5, 0.5, 0.5, 0.5, 0.5}, []int{0, 0, 0, 0, 0} // four inputs and the main
		tell := func() {
			var args []any
			var data []byte
			for i := range up {
				args = append(args, up[i], shut[i])
				data = append(data, byte(200*up[i]), byte(shut[i]))
			}
			if blob {
				args = []any{data}
			}
			b.say("/all", args...)
			b.pass(20)
		}
		tell()
		b.pass(50)
		g := b.Guide()
		b.pass(40)
		g.Answer("")
		move := func(strip int, to float32, typed string) {
			t.Helper()
			up[strip] = to
			tell()
			if got := strings.Join(g.Answer(typed), "\n"); !strings.Contains(got, "I saw /all") {
				t.Errorf("%s", got)
			}
		}
		press := func(strip, to int) {
			t.Helper()
			shut[strip] = to
			tell()
			if got := strings.Join(g.Answer(""), "\n"); !strings.Contains(got, "I saw /all") {
				t.Errorf("%s", got)
			}
		}
		move(0, 0, "")
		move(0, 1, "10")
		move(0, 0.75, "")
		move(0, 0.5, "-10")
		move(0, 0.25, "-30")
		g.Answer("")
		press(0, 1)
		press(0, 0)
		move(4, 0, "")
		move(4, 0.5, "")
		move(4, 0.75, "")
		press(4, 1)
		press(4, 0)
		g.Answer("none")
		g.Answer("none")
		if q := g.Question(); !strings.Contains(q, "the fader of input 2") {
			t.Fatalf("asks %q", q)
		}
		move(1, 0.4, "")
		if q := g.Question(); q != "" {
			t.Errorf("still asks %q", q)
		}
		draft := b.Draft(g, DraftOptions{})
		checked(t, draft)
		want := []string{"value: {args: 0, each: input:1-4, stride: 2, taper: travel}", "value: {args: 1, each: input:1-4, stride: 2}",
			"  - hear: /all\n    is: main.fader\n    value: {arg: 8, taper: travel}"}
		if blob {
			want = []string{"value: {blob: 0, of: uint8, stride: 2, each: input:1-4, taper: travel}", "value: {blob: 0, of: uint8, skip: 1, stride: 2, each: input:1-4}",
				"  - hear: /all\n    is: main.fader\n    value: {blob: 0, of: uint8, skip: 8, taper: travel}"}
		}
		for _, w := range want {
			if !strings.Contains(draft, w) || strings.Contains(draft, "# "+w) {
				t.Errorf("want %q in\n%s", w, draft)
			}
		}
	}
}

// TestStatesCountNoStrips: numbers made of a few bits, with gaps between them and never two at one
// time, are a state; strips are counted without gaps, or told at one time.
func TestStatesCountNoStrips(t *testing.T) {
	for _, c := range []struct {
		name    string
		numbers []int
		crowded bool
		want    bool
	}{
		{"a bit that turns over", []int{1, 3}, false, true},
		{"and a mute", []int{1, 3, 9, 11}, false, true},
		{"strips", []int{1, 2, 3, 4}, false, false},
		{"two strips at one time", []int{1, 3}, true, false},
		{"what a number each is about", []int{7, 10, 64}, false, false},
	} {
		i := indices{different: map[int]bool{}, crowded: c.crowded}
		for _, x := range c.numbers {
			i.different[x] = true
		}
		if got := i.flags(); got != c.want {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}
