package review

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice/practicetest"
	"pawl/daemon/store"
	"pawl/rules"
)

// TestLineCheckInTheReport: a line check of the evening stands in the report, on the
// terminal and on the page, with what it found.
func TestLineCheckInTheReport(t *testing.T) {
	path := filepath.Join(t.TempDir(), "evening.record")
	script, err := practicetest.Service("ratchet")
	if err != nil {
		t.Fatal(err)
	}
	play(t, path, script, evening, press{5 * time.Second, rules.Press{Do: rules.LineCheck, On: true}}, press{30 * time.Second, rules.Press{Do: rules.LineCheck}})
	s, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	services, err := s.Services()
	if err != nil || len(services) != 1 {
		t.Fatalf("%d services, %v", len(services), err)
	}
	m, err := Load(s, services[0])
	if err != nil {
		t.Fatal(err)
	}
	r := Summarise(m, Options{})
	if len(r.Checks) != 1 || !strings.HasPrefix(r.Checks[0].Lines[0], "Line check, 25 s: ") || r.Checks[0].T != rules.Moment(30*time.Second) {
		t.Fatalf("line checks %+v, want one of 25 s that ended at 30 s", r.Checks)
	}
	var text, page bytes.Buffer
	if err := r.Text(&text, TextOptions{}); err != nil {
		t.Fatal(err)
	}
	if err := r.HTML(&page); err != nil {
		t.Fatal(err)
	}
	for name, out := range map[string]string{"text": text.String(), "page": page.String()} {
		if !strings.Contains(out, "The line check") || !strings.Contains(out, "Not heard: ") {
			t.Errorf("the %s has no line check: %s", name, out)
		}
	}
}
