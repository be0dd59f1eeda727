package rules_test

import (
	"bytes"
	"os"
	"slices"
	"strings"
	"testing"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/oscmap/wire"
	"pawl/rules"
)

// hard has for each rule where it speaks, and where it is silent though it is tempted: what is
// near its limit, and by how much is told by a limit a little stricter, by which it would speak.
// A name is a service of testdata/services or, with replays/ before it, a replay: Harbour Hall's
// desk has no compressors on inputs and no meter of the room, and creeping takes long.
var hard = map[string]struct {
	speaks, silent string
	stricter       string // as the house file would have it under limits
}{
	"ratchet":           {"ratchet", "small-raises", "ratchet: {whisper: 1.2 dB}"},
	"creep":             {"creep", "replays/silent-creep-near", "creep: {part: 2.6 dB}"},
	"muted-voice":       {"muted-reader", "word-into-a-muted-mic", "muted-voice: {for: 1500ms}"},
	"stray-cue":         {"stray-cue", "cue-kept-out", "stray-cue: {gain: -43 dB}"},
	"hot-input":         {"squeezed-group-loud-end", "replays/silent-hot-input", "hot-input: {on: 2500ms}"},
	"hot-main":          {"hot-main", "loud-with-room", "hot-main: {peak: -2 dBFS}"},
	"quiet-main":        {"main-left-closed", "main-fade", "quiet-main: {below: -56 dBFS}"},
	"quiet-desk":        {"desk-away", "reboot", "quiet-desk: {after: 17s}"},
	"solo-raise":        {"solo-raise", "solo-to-look", "solo-raise: {raise: 1.5 dB}"},
	"open-mics":         {"open-mics", "open-mics-in-use", "open-mics: {rest: 20s}"},
	"squeezed-group":    {"squeezed-group", "brass-held", "squeezed-group: {whisper: 2.6 dB}"},
	"squeezed-input":    {"replays/squeezed-input", "replays/silent-squeezed-input-8", "squeezed-input: {whisper: 7.9 dB, eased: 7.5 dB}"},
	"main-down":         {"main-down", "main-touched", "main-down: {whisper: 1.5 dB}"},
	"room-loud":         {"replays/room-loud", "replays/silent-room-loud-song", "room-loud: {limit: 99 dB(A)}"},
	"lead-behind":       {"lead-behind", "lead-less", "lead-behind: {behind: 3 dB}"},
	"harmony-forward":   {"harmony-forward", "harmony-under", "harmony-forward: {over: -1 dB}"},
	"fill-over-lead":    {"fill-over-lead", "fill-for-a-line", "fill-over-lead: {for: 15s}"},
	"second-over-first": {"second-over-first", "second-beside-first", "second-over-first: {over: 1.5 dB}"},
	"crowded":           {"crowded", "crowded-and-rests", "crowded: {for: 100s}"},
	"speech-remark":     {"speech-remark", "speech-little-open", "speech-remark: {under: 18 dB}"},
	"words-covered":     {"words-covered", "words-over-vamp", "words-covered: {over: -6 dB}"},
}

// TestEveryRuleIsHard holds each rule to a service in which it must speak and one in which it
// must not though it is tempted. A rule without a row fails: it could be loosened and nobody
// would hear of it.
func TestEveryRuleIsHard(t *testing.T) {
	practicetest.SkipRaced(t)
	for _, k := range rules.Kinds {
		row, ok := hard[k.Name]
		if !ok {
			t.Errorf("%s has no row: where does it speak, and where is it silent though it is tempted?", k.Name)
			continue
		}
		t.Run(k.Name, func(t *testing.T) {
			if !playedBy(t, row.speaks, "")[k.Name] {
				t.Errorf("silent in %s", row.speaks)
			}
			if playedBy(t, row.silent, "")[k.Name] {
				t.Errorf("speaks in %s", row.silent)
			}
			if !strings.HasPrefix(row.stricter, k.Name+": ") {
				t.Errorf("%q is no limit of its own", row.stricter)
			}
			if !playedBy(t, row.silent, row.stricter)[k.Name] {
				t.Errorf("%s does not tempt it: by %s it is silent too", row.silent, row.stricter)
			}
		})
	}
	for name := range hard {
		if !slices.ContainsFunc(rules.Kinds, func(k rules.Kind) bool { return k.Name == name }) {
			t.Errorf("%s is no rule", name)
		}
	}
}

// playedBy is what rules speak in a service of the practice desk or a replay, by name, with
// other limits laid over its own.
func playedBy(t *testing.T, name, limits string) map[string]bool {
	t.Helper()
	if replay, ok := strings.CutPrefix(name, "replays/"); ok {
		return inReplay(t, "../testdata/replays/"+replay+".txt", limits)
	}
	return inService(t, name, limits)
}

func inReplay(t *testing.T, path, limits string) map[string]bool {
	t.Helper()
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	head, _, _ := bytes.Cut(file, []byte(rules.WantLine))
	s := rules.ScriptOf(t, path, string(head))
	j := rules.NewJudge(s.Roster, stricter(t, &house.House{Limits: s.Limits}, limits), rules.Options{Stale: s.Stale})
	s.Play(j)
	return spoke(j)
}

func inService(t *testing.T, name, limits string) map[string]bool {
	t.Helper()
	script, err := practicetest.Service(name)
	if err != nil {
		t.Fatal(err)
	}
	file, files := practicetest.House(script.Hall())
	h, faults := house.Files(files).Load(file)
	if h == nil {
		t.Fatal(faults)
	}
	j := rules.NewJudge(h.Roster, stricter(t, h, limits), rules.Options{Stale: h.Map.Link().StaleAfter, Steady: h.Map.TellsLevels(), Order: h.Order})
	hearer, reader := h.Map.NewHearer(), wire.Reader{}
	for at, packet := range practice.Play(script, practice.Harbour(), practice.Playing{}) {
		j.Alive(at)
		for reader.Reset(packet); reader.Next(); {
			for _, r := range hearer.Hear(nil, at, reader.Message()) {
				j.Hear(r)
			}
		}
	}
	j.Advance(script.Length)
	return spoke(j)
}

// stricter are a house's limits with others laid over them, as `pawl replay --limits` does.
func stricter(t *testing.T, h *house.House, limits string) rules.Limits {
	t.Helper()
	if limits == "" {
		return h.Limits
	}
	l, faults := h.LimitsOver("stricter", []byte("limits: {"+limits+"}"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return l
}

func spoke(j *rules.Judge) map[string]bool {
	all := map[string]bool{}
	for _, e := range j.Take(nil) {
		if f, ok := e.(*rules.Finding); ok {
			all[f.Rule] = true
		}
	}
	return all
}
