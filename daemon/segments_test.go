package daemon

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/rules"
)

var update = flag.Bool("update", false, "rewrite testdata/segments.txt")

// TestSegmentsOfServices: nobody taps in the services of the practice desk, and Pawl
// knows music from speech all the same.
func TestSegmentsOfServices(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Parallel()
	const file = "testdata/segments.txt"
	var got strings.Builder
	for _, name := range practicetest.Services() {
		script, err := practicetest.Service(name)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&got, "%s\n", name)
		e := newEngine(harbourHall(t))
		tell := func() {
			for _, entry := range e.judge.Take(nil) {
				if p, ok := entry.(*rules.Parted); ok {
					fmt.Fprintf(&got, "    %v  %d %s %s\n", time.Duration(p.T), p.Number, p.How, p.Kind)
				}
			}
		}
		for at, packet := range practice.Play(script, practicetest.Dialects()[0], practice.Playing{}) {
			e.packet(at, packet)
			tell()
		}
		e.advance(script.Length)
		tell()
	}
	if *update {
		if err := os.WriteFile(file, []byte(got.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got.String() != string(want) {
		t.Errorf("got\n%s\nwant\n%s", got.String(), want)
	}
}
