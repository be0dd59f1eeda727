package oscmap

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pawl/rules/desk"
)

const faultsDir = "../testdata/faults"

// TestFaults holds what is said of each bad map to the .want file beside it.
func TestFaults(t *testing.T) {
	maps, err := filepath.Glob(faultsDir + "/*.yaml")
	if err != nil || len(maps) < 15 {
		t.Fatalf("the bad maps are missing: %v, %d files", err, len(maps))
	}
	for _, file := range maps {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".yaml"), func(t *testing.T) {
			src, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			m, faults := Load(filepath.Base(file), src, rosterIn(string(src)), needsIn(string(src))...)
			if (m == nil) != faults.Wrong() {
				t.Errorf("map %v with faults %v", m, faults)
			}
			got := faults.Error() + "\n"
			wantFile := strings.TrimSuffix(file, ".yaml") + ".want"
			if *update {
				if err := os.WriteFile(wantFile, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(wantFile)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
		})
	}
}

func needsIn(src string) []Need {
	if !strings.Contains(src, "# needs") {
		return nil
	}
	return []Need{
		{Rule: "ratchet", Signals: []desk.Signal{desk.InputFader}},
		{Rule: "squeezed bus", Signals: []desk.Signal{desk.GroupReduction}, Why: "It watches how much each group is turned down.",
			Or: [][]desk.Signal{{desk.GroupThreshold, desk.GroupRatio, desk.GroupLevelIn}}},
	}
}

// TestTwelveFaultsInOneRun counts the faults planted in one map, each on its line.
func TestTwelveFaultsInOneRun(t *testing.T) {
	src, err := os.ReadFile(faultsDir + "/twelve.yaml")
	if err != nil {
		t.Fatal(err)
	}
	_, faults := Load("twelve.yaml", src, rosterIn(string(src)))
	lines := strings.Split(string(src), "\n")
	for _, planted := range []string{"desk-port: 107000", "every: 25}", "throw\", args: [{float: 0}]", "[0.4, 0]", "tapper:", "input.mut",
		"{input:1-6}", "thrown", "unit: dB}", "of: float32,", "/needles/whole", "{dca}"} {
		found := false
		for _, f := range faults {
			found = found || strings.Contains(lines[f.Line-1], planted)
		}
		if !found {
			t.Errorf("nothing was said of %s", planted)
		}
	}
}
