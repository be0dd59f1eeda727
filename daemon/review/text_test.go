package review

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/desk"
)

var escapes = regexp.MustCompile("\x1b\\[[0-9]*m")

// TestTextFits: no line is wider than the terminal, whatever its width; colour changes
// nothing of what is said.
func TestTextFits(t *testing.T) {
	m := material(t, opened(t, golden(t)))[0]
	m.Service.Name = "A service with a name that is far too long for any terminal and without-a-place-to-break-it-in-the-whole-of-it-as-it-seems"
	m.Service.Mixing = strings.Repeat("é", 90)
	r := Summarise(m, Options{})
	for _, width := range []int{0, 1, 40, 53, 80, 100, 300} {
		var plain, coloured bytes.Buffer
		if err := r.Text(&plain, TextOptions{Width: width}); err != nil {
			t.Fatal(err)
		}
		if err := r.Text(&coloured, TextOptions{Width: width, Colour: true}); err != nil {
			t.Fatal(err)
		}
		most := max(40, min(width, 100))
		if width == 0 {
			most = 80
		}
		for line := range strings.Lines(plain.String()) {
			if n := wide(strings.TrimSuffix(line, "\n")); n > most {
				t.Errorf("width %d: %d columns: %q", width, n, line)
			}
		}
		if strings.ContainsRune(plain.String(), 0x1b) {
			t.Errorf("width %d: escapes without colour", width)
		}
		if !escapes.MatchString(coloured.String()) || escapes.ReplaceAllString(coloured.String(), "") != plain.String() {
			t.Errorf("width %d: with colour it says something else", width)
		}
	}
}

// TestTerminalObeysNobody: names and notes cannot move the cursor or turn the writing
// round.
func TestTerminalObeysNobody(t *testing.T) {
	s := newMade(20*time.Minute).part(0, 1, desk.Music)
	s.m.Service.Name, s.m.Service.Mixing, s.m.Service.House = "a\x1b]0;x\x07", "b\u009b2J", "c\u202ed"
	s.move(10, desk.Who{Strip: desk.StripInput, Name: "e\x1b[5m"}, desk.Raise, 3)
	s.say(20, rules.PressEntry, &rules.Pressed{Press: rules.Press{Do: rules.Note, Text: "f"}})
	r := Summarise(s.m, Options{})
	r.Notes = append(r.Notes, Note{Text: "g\r\x1b[A"})
	var out bytes.Buffer
	if err := r.Text(&out, TextOptions{}); err != nil {
		t.Fatal(err)
	}
	if err := ListText(&out, []Listed{List(s.m, Options{})}, Options{}, TextOptions{}); err != nil {
		t.Fatal(err)
	}
	if i := strings.IndexFunc(out.String(), func(r rune) bool { return r < ' ' && r != '\n' || r >= 0x7f && r < 0xa0 || r == '\u202e' }); i >= 0 {
		t.Errorf("the terminal is told %q", out.String()[max(0, i-10):i+10])
	}
}

// TestPageNeedsNothing: no script, nothing from elsewhere, and names are shown as they are.
func TestPageNeedsNothing(t *testing.T) {
	m := material(t, opened(t, golden(t)))[0]
	m.Service.Name, m.Service.Mixing = `<script>alert(1)</script>`, `"><img src=x>`
	m.Notes[0].Text = `</style><script src="//x"></script>`
	var out bytes.Buffer
	if err := Summarise(m, Options{}).HTML(&out); err != nil {
		t.Fatal(err)
	}
	page := out.String()
	if found := regexp.MustCompile(`(?i)<(script|link|img|iframe|object|embed|base|form)\b|<[a-z][^<>]*\s(src|href|action|xlink:href)=|url\((?:[^#]|$)|@import|https?:`).FindAllString(page, -1); found != nil {
		t.Errorf("the page has %q", found)
	}
	if !strings.Contains(page, "&lt;script&gt;alert(1)&lt;/script&gt;") {
		t.Error("a name is not shown as it is")
	}
	if strings.Contains(page, "NaN") || strings.Contains(page, "Inf") || strings.Contains(page, "ZgotmplZ") || strings.Contains(page, "%!") {
		t.Error("something in the page is no number")
	}
	for _, f := range Summarise(m, Options{}).Figures {
		if !strings.Contains(page, strings.ReplaceAll(f.Means, "'", "&#39;")) {
			t.Errorf("the definition of %s is not on the page", f.Name)
		}
	}
}

// TestGaps: what the record does not have is said with when and for how long.
func TestGaps(t *testing.T) {
	s := newMade(20*time.Minute).part(0, 1, desk.Music)
	s.m.Service.Lost = 3
	s.stand(0, 100, rules.GroupLevels{}, open, equal)
	s.say(103, rules.LinkEntry, &rules.Linked{})
	s.say(160, rules.LinkEntry, &rules.Linked{Heard: true, Away: 60 * second})
	s.stand(160, 400, rules.GroupLevels{}, open, equal).stand(420, 600, rules.GroupLevels{}, open, equal)
	one := s.m.Stretches[0]
	two := one
	one.Until = 600 * second
	two.From, two.Levels, two.Entries = 700*second, nil, nil
	two.Run.Zero = evening.Add(time.Second)
	s.m.Stretches = []store.Stretch{one, two}
	var got []string
	for _, g := range Summarise(s.m, Options{}).Gaps {
		got = append(got, fmt.Sprintf("%s %v %v", g.Kind, time.Duration(g.From.T), time.Duration(g.Length)))
		if g.Text == "" {
			t.Errorf("gap %+v without words", g)
		}
	}
	want := []string{"desk-away 1m40s 1m0s", "lost 6m39s 21s", "pawl-away 10m0s 1m41s", "lost 0s 0s"}
	if !slices.Equal(got, want) {
		t.Errorf("gaps %q, want %q", got, want)
	}
}
