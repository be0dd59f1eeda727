package rules_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/rules"
	"pawl/rules/words"
)

var update = flag.Bool("update", false, "rewrite the expected part of each replay")

// TestReplays judges every service in testdata/replays and holds what is said
// against what is written there. It fails for a rule that no replay makes speak:
// a rule without one is a rule nobody has heard.
func TestReplays(t *testing.T) {
	paths, err := filepath.Glob("../testdata/replays/*.txt")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no replays: %v", err)
	}
	heard, said := map[string]bool{}, map[string]bool{}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txt"), func(t *testing.T) {
			file, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			head, want, ok := bytes.Cut(file, []byte(rules.WantLine))
			if !ok {
				t.Fatalf("%s: no line %q; write it after the last event, and `go test ./rules -run TestReplays -update` adds the rest", path, rules.WantLine)
			}
			got := replay(t, path, string(head), heard, said)
			if *update {
				if err := os.WriteFile(path, []byte(string(head)+rules.WantLine+got), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if got != string(want) {
				t.Errorf("%s:\ngot\n%s\nwant\n%s", path, got, want)
			}
		})
	}
	for _, k := range rules.Kinds {
		if !heard[k.Name] {
			t.Errorf("no replay makes %q speak", k.Name)
		}
		for _, id := range k.Says {
			if !said[id] && !rare[id] {
				t.Errorf("no replay makes %q say %q: write one, or put it among those that are rare, with why", k.Name, id)
			}
		}
	}
}

// rare are phrases that a service on a desk hardly comes to; tests of the rule itself
// hold them.
var rare = map[string]bool{
	"ratchet.raised-little": true, // what was raised has been closed
	"ratchet.nobody":        true, // only groups or the main went up
	"ratchet.up":            true, // the same
	"ratchet.try-each":      true, // nothing that could come down alone
	"ratchet.then-each":     true,
	"ratchet.partly":        true, // some inputs metered, some not
}

// replay feeds a written service to a judge and writes down what it says, and how
// the mix stands at the end. A line that it cannot read fails the test.
func replay(t *testing.T, path, text string, heard, spoken map[string]bool) string {
	t.Helper()
	s := rules.ScriptOf(t, path, text)
	j := rules.NewJudge(s.Roster, s.Limits, rules.Options{Stale: s.Stale})
	s.Play(j)
	var out strings.Builder
	speaker := speaker(t)
	for _, e := range j.Take(nil) {
		if f, ok := e.(*rules.Finding); ok {
			heard[f.Rule] = true
			for _, p := range phrases(f) {
				spoken[p.ID] = true
				if _, err := speaker.Put(p); p.ID != "" && err != nil {
					t.Errorf("%s: at %v: %v", path, time.Duration(f.T), err)
				}
			}
			write(&out, speaker, f)
		}
	}
	p := j.Picture()
	end := strings.TrimSpace(speaker.Say(p.Lead) + " " + speaker.Say(p.Rest))
	if causes := speaker.Say(p.Causes); causes != "" {
		end += fmt.Sprintf(" %s: %s", p.Rise.Signed(), causes)
	}
	fmt.Fprintf(&out, "end: %s\n", end)
	return out.String()
}

// phrases is all that a finding says.
func phrases(f *rules.Finding) []rules.Phrase {
	all := append(slices.Clone(f.What), f.Try, f.Then)
	if f.HeldBack != nil {
		all = append(all, *f.HeldBack)
	}
	for _, fact := range f.Facts {
		all = append(all, fact.Phrase)
	}
	return all
}

func speaker(t *testing.T) *words.Speaker {
	t.Helper()
	return words.Own().For("en")
}

func write(out *strings.Builder, s *words.Speaker, f *rules.Finding) {
	said := s.Finding(f).Words
	fmt.Fprintf(out, "%v %s %s %s: %s\n", time.Duration(f.T), f.State, f.Weight, f.Rule, strings.Join(said.What, " "))
	if f.State == rules.Shown || f.State == rules.Held {
		return
	}
	if said.Try != "" && f.State != rules.Eased {
		fmt.Fprintf(out, "    try: %s\n", strings.TrimSpace(said.Try+" "+said.Then))
	}
	if said.HeldBack != "" {
		fmt.Fprintf(out, "    held back: %s\n", said.HeldBack)
	}
	for i, text := range said.Facts {
		fmt.Fprintf(out, "    %v %s\n", time.Duration(f.Facts[i].T), text)
	}
}
