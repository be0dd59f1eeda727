package survey

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/oscmap/wire"
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

// TestTableOfSeveralSignals: each of those that one message carries is to be seen, with
// its values, and eight letters of a name on the narrowest screen.
func TestTableOfSeveralSignals(t *testing.T) {
	s := New(Options{Map: load(t, []byte(`desk: a desk
signals:
  - {hear: "/in/{input:1-16}", is: input.name, value: {arg: 0}}
  - {hear: "/in/{input:1-16}", is: input.fader, value: {arg: 1, unit: dB}}
  - {hear: "/in/{input:1-16}", is: input.mute, value: {arg: 2}}
  - {hear: /whole, is: main.fader, value: {arg: 0, unit: dB}}
`))})
	for i, name := range []string{"accordion", "upright bass"} {
		packet, err := wire.AppendMessage(nil, fmt.Sprintf("/in/%d", i+1), name, float32(-3), int32(i))
		if err != nil {
			t.Fatal(err)
		}
		s.Hear(time.Duration(i)*time.Second, packet)
	}
	packet, err := wire.AppendMessage(nil, "/whole", float32(0))
	if err != nil {
		t.Fatal(err)
	}
	s.Hear(2*time.Second, packet)
	for _, c := range []struct {
		width, height int
		want          string
	}{
		{60, 0, `
ADDRESS       TYPES SEEN VALUES        LAST MAP
/in/*         sfi      2 "accordion…    1 s input.name
                         -3.0 dB            input.fader
                         off, on            input.mute
/whole        f        1 0.0 dB         now main.fader
`},
		{60, 5, "\n" + `ADDRESS       TYPES SEEN VALUES        LAST MAP
… and 2 shapes more; they stand in the final table
`},
		{120, 6, `
ADDRESS                        TYPES    SEEN    COUNT VALUES                      RATE   LAST MAP
/in/*                          sfi         2        2 "accordion", "upright ba…  1.0/s    1 s input.name
                                                      -3.0 dB                                 input.fader
                                                      off, on                                 input.mute
/whole                         f           1        1 0.0 dB                         -    now main.fader
`},
	} {
		got := strings.Join(s.Table(c.width, c.height)[1:], "\n") + "\n"
		if got != strings.TrimPrefix(c.want, "\n") {
			t.Errorf("%d by %d: got\n%s\nwant%s", c.width, c.height, got, c.want)
		}
	}
	if r := s.Rows()[0]; r.HeardAs() != "input.name, input.fader, input.mute" {
		t.Errorf("the setup page is told of %q", r.HeardAs())
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
