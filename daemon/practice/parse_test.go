package practice

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func TestScriptFaults(t *testing.T) {
	for _, c := range []struct{ name, src, want string }{
		{"unknown word", "length 1m\nexpect nothing\n1s push piano 2 dB", `s.txt:3: "push" is not understood`},
		{"unknown input", "length 1m\nexpect nothing\n1s raise paino 2 dB", `s.txt:3: nothing here is called "paino 2 dB"`},
		{"unknown dca", "length 1m\nexpect nothing\n1s dca strings +2 dB", `s.txt:3: no dca called "strings +2 dB"; want one of low end`},
		{"no unit", "length 1m\nexpect nothing\n1s raise piano 2 over 1s", `s.txt:3: 2 has no unit; want 2 dB`},
		{"no number", "length 1m\nexpect nothing\n1s raise piano much", `s.txt:3: "much" is no number`},
		{"nothing to raise by", "length 1m\nexpect nothing\n1s raise piano -2 dB", `s.txt:3: -2 dB is no amount`},
		{"no sign", "length 1m\nexpect nothing\n1s dca band 2 dB", `s.txt:3: want "to -6 dB"`},
		{"backwards", "length 1m\nexpect nothing\n9s play piano\n2s rest piano", `s.txt:4: 2s is before the line above`},
		{"too long", "length 1m\nexpect nothing\n1m play piano", `s.txt:1: the length is 1m0s but the last line is at 1m0s`},
		{"no length", "expect nothing", `s.txt:1: no length`},
		{"no label", "length 1m", `s.txt:1: no label`},
		{"two labels", "length 1m\nexpect nothing\nexpect ratchet by 10s", `s.txt:2: nothing is expected here`},
		{"label without end", "length 1m\nexpect ratchet", `s.txt:2: want expect RULE`},
		{"endless", "length 9999h\nexpect nothing", `s.txt:1: a length of 9999h0m0s is no service`},
		{"infinite", "length 1m\nexpect nothing\n1s raise piano NaN dB", `s.txt:3: "NaN" is no number`},
		{"bad time", "length soon\nexpect nothing", `s.txt:1: "soon" is no time`},
		{"no setting", "length 1m\nexpect nothing\ntempo 90", `s.txt:3: "tempo" is no time and no setting`},
		{"bad style", "length 1m\nexpect nothing\nstyle smooth", `s.txt:3: want steps, end only or repeats`},
		{"left over", "length 1m\nexpect nothing\n1s play piano loudly", `s.txt:3: "loudly" is not understood here`},
		{"louder at once", "length 1m\nexpect nothing\n1s stage louder 4 dB", `s.txt:3: nobody grows louder in no time`},
		{"no player", "length 1m\nexpect nothing\n1s play dca band", `s.txt:3: dca band makes no sound`},
		{"closed", "length 1m\nexpect nothing\n0s fader piano to closed\n1s raise piano 2 dB", `s.txt:4: piano is closed`},
		{"past the end", "length 1m\nexpect nothing\n0s raise piano 20 dB", `s.txt:3: piano would go to 12.0 dB`},
		{"two hands", "length 1m\nexpect nothing\n0s raise piano 2 dB over 3s\n1s lower piano 1 dB", `s.txt:4: piano is still moving`},
		{"twice", "length 1m\nexpect nothing\n0s play piano\n1s play piano", `s.txt:4: piano does that already`},
		{"loop not home", "length 1m\nloops\nexpect nothing\n0s raise piano 2 dB", `s.txt:2: the service does not end as it began: piano is at -6.00 dB`},
		{"no such threshold", "length 1m\nexpect nothing\n1s threshold piano to -20 dBFS", `s.txt:3: no group called "piano to -20 dBFS"; want one of rhythm`},
		{"threshold nowhere", "length 1m\nexpect nothing\n1s threshold band -20 dBFS", `s.txt:3: want to and a level`},
		{"threshold as a gain", "length 1m\nexpect nothing\n1s threshold band to -20 dB", `s.txt:3: -20 has no unit; want -20 dBFS`},
		{"threshold off the scale", "length 1m\nexpect nothing\n1s threshold band to 3 dBFS", `s.txt:3: a threshold of 3 dBFS is not on this desk`},
		{"infinite threshold", "length 1m\nexpect nothing\n1s threshold band to -Inf dBFS", `s.txt:3: "-Inf" is no number`},
		{"threshold left", "length 1m\nloops\nexpect nothing\n0s threshold band to -20 dBFS", `s.txt:2: the service does not end as it began: the threshold of group band is at -20 dBFS, not -17 dBFS`},
		{"loop not as soloed", "length 1m\nloops\nexpect nothing\n0s solo piano", `s.txt:2: the service does not end as it began: piano has a switch that is not as it was`},
		{"loop faster", "length 1m\nloops\nexpect nothing\n0s stage cajon faster 5% over 2s", `s.txt:2: the service does not end as it began: cajon plays +5% faster`},
		{"loop in applause", "length 1m\nloops\nexpect nothing\n0s room louder 9 dB over 2s", `s.txt:2: the service does not end as it began: the room is +9.0 dB at cajon`},
		{"loop bleeds", "length 1m\nloops\nexpect nothing\n0s bleed horn into piano at -20 dB", `s.txt:2: the service does not end as it began: horn bleeds into piano`},
		{"solo of a group", "length 1m\nexpect nothing\n1s solo group band", `s.txt:3: group band makes no sound`},
		{"assigned nowhere", "length 1m\nexpect nothing\n1s assign click", `s.txt:3: "" is not understood; want to main`},
		{"unassigned to", "length 1m\nexpect nothing\n1s unassign click to main", `s.txt:3: "to main" is not understood; want from main`},
		{"ratio of an input", "length 1m\nexpect nothing\n1s ratio piano to 4:1", `s.txt:3: no group called "piano to 4:1"`},
		{"ratio nowhere", "length 1m\nexpect nothing\n1s ratio band 4:1", `s.txt:3: want to and a ratio`},
		{"ratio as a number", "length 1m\nexpect nothing\n1s ratio band to 4", `s.txt:3: "4" is no ratio`},
		{"ratio below one", "length 1m\nexpect nothing\n1s ratio band to 0.5:1", `s.txt:3: "0.5:1" is no ratio`},
		{"ratio left", "length 1m\nloops\nexpect nothing\n0s ratio band to 3:1", `s.txt:2: the service does not end as it began: the ratio of group band is 3:1, not 2:1`},
		{"bleed of nobody", "length 1m\nexpect nothing\n1s bleed horn at -20 dB", `s.txt:3: "at -20 dB" is not understood; want into`},
		{"bleed of nothing", "length 1m\nexpect nothing\n1s bleed horn into piano", `s.txt:3: "" is not understood; want at`},
		{"bleed too loud", "length 1m\nexpect nothing\n1s bleed horn into piano at 2 dB", `s.txt:3: nobody is 2 dB louder`},
		{"bleed into itself", "length 1m\nexpect nothing\n1s bleed horn into horn at -20 dB", `s.txt:3: horn cannot bleed into its own`},
		{"bleed into a cable", "length 1m\nexpect nothing\n1s bleed horn into click at -20 dB", `s.txt:3: click comes by a cable`},
		{"faster by dB", "length 1m\nexpect nothing\n1s stage cajon faster 3 dB over 4s", `s.txt:3: "3" is no share`},
		{"faster at once", "length 1m\nexpect nothing\n1s stage cajon faster 3%", `s.txt:3: nobody grows louder in no time`},
		{"room of somebody", "length 1m\nexpect nothing\n1s room piano louder 3 dB over 1s", `s.txt:3: "piano louder 3 dB over 1s" is not understood; want louder or softer`},
		{"oddly", "length 1m\nexpect nothing\n1s raise piano 2 dB over 2s, oddly", `s.txt:3: want steps, end only or repeats`},
		{"scene half said", "length 1m\nexpect nothing\n1s scene piano to -6 dB, fiddle", `s.txt:3: "" is not understood; want to`},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := ParseScript("s.txt", []byte(c.src))
			if err == nil {
				t.Fatalf("no fault, got %+v", s)
			}
			if !strings.HasPrefix(err.Error(), c.want) {
				t.Errorf("got %q, want it to begin %q", err, c.want)
			}
		})
	}
}

func TestEveryFaultAtOnce(t *testing.T) {
	_, err := ParseScript("s.txt", []byte("length 1m\nexpect nothing\n1s push\n2s pull\n3s play nobody"))
	if err == nil || strings.Count(err.Error(), "s.txt:") != 3 {
		t.Errorf("got %v, want three faults", err)
	}
}

func TestLabels(t *testing.T) {
	s, err := ParseScript("s.txt", []byte("length 5m\nexpect main pulled down nudge after 10s by 1m50s # why\nexpect ratchet eased by 3m"))
	if err != nil {
		t.Fatal(err)
	}
	want := []Expectation{
		{"main pulled down", "open", "nudge", 10 * time.Second, 110 * time.Second},
		{"ratchet", "eased", "", 0, 3 * time.Minute},
	}
	if len(s.Expect) != 2 || s.Expect[0] != want[0] || s.Expect[1] != want[1] {
		t.Errorf("got %+v, want %+v", s.Expect, want)
	}
}

func FuzzParseScript(f *testing.F) {
	f.Add(service)
	files, _ := filepath.Glob("../../testdata/[sy]*/*.txt")
	for _, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(src)
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		if s, err := ParseScript("s.txt", src); err == nil && s.Length <= 0 {
			t.Errorf("no fault in a script of length %v", s.Length)
		}
	})
}
