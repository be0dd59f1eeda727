package survey

import (
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
)

// TestTables looks at the table as it is drawn on narrow and on wide screens.
func TestTables(t *testing.T) {
	script, err := practicetest.Service("ratchet")
	if err != nil {
		t.Fatal(err)
	}
	for _, dialect := range []string{"harbour", "numbered"} {
		d, err := practicetest.DialectNamed(dialect)
		if err != nil {
			t.Fatal(err)
		}
		s := New(Options{Map: load(t, withoutFaders(d.Map()))})
		for at, packet := range practice.Play(script, d, practice.Playing{}) {
			if at > 20*time.Second {
				break
			}
			s.Hear(at, packet)
		}
		for _, width := range []int{80, 140} {
			lines := s.Table(width, 0)
			for _, line := range lines {
				if n := utf8.RuneCountInString(line); n > width {
					t.Errorf("%d characters on a screen of %d: %s", n, width, line)
				}
			}
			golden(t, dialect+map[int]string{80: ".80.txt", 140: ".140.txt"}[width], strings.Join(lines, "\n")+"\n")
		}
		if got := s.Table(80, 10); len(got) != 10 || got[9] != "… and 10 shapes more; they stand in the final table" {
			t.Errorf("on 10 lines: %q", got)
		}
	}
}

// withoutFaders is a map without the signals whose addresses speak of throws.
func withoutFaders(src []byte) []byte {
	entries := strings.Split(string(src), "\n  - ")
	return []byte(strings.Join(slices.DeleteFunc(entries, func(e string) bool {
		return strings.Contains(strings.SplitN(e, "\n", 2)[0], "thro")
	}), "\n  - "))
}

func TestTableOfNothing(t *testing.T) {
	if got := strings.Join(New(Options{}).Table(80, 24), "\n"); got != "Nothing has arrived yet." {
		t.Errorf("got %q", got)
	}
}
