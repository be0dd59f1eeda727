package dashboard

import (
	"encoding/csv"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// contrast is the ratio of WCAG 2.2 ("contrast ratio" and "relative luminance"
// in its definitions): (L1 + 0.05) / (L2 + 0.05), unrounded.
func contrast(a, b string) float64 {
	l1, l2 := luminance(a), luminance(b)
	return (max(l1, l2) + 0.05) / (min(l1, l2) + 0.05)
}

func luminance(hex string) float64 {
	n, err := strconv.ParseUint(hex[1:], 16, 32)
	if err != nil || len(hex) != 7 {
		return math.NaN()
	}
	linear := func(c uint64) float64 {
		v := float64(c&255) / 255
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(n>>16) + 0.7152*linear(n>>8) + 0.0722*linear(n)
}

// The published ratios: WCAG 2.2, Understanding 1.4.3, and rows computed from its
// formula by another program. Printed to two to four decimals.
func TestContrastFormula(t *testing.T) {
	f, err := os.Open("../testdata/checks/wcag_contrast.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		want, err := strconv.ParseFloat(row[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		if got := contrast(row[0], row[1]); math.Abs(got-want) > 0.006 {
			t.Errorf("%s on %s: got %.4f, want %.4f", row[0], row[1], got, want)
		}
	}
}

// Text needs 4.5 to 1 (WCAG 2.2, 1.4.3), what must be told apart 3 to 1 (1.4.11).
func TestContrastOfTokens(t *testing.T) {
	pairs := []struct {
		fore, back string
		want       float64
	}{
		{"text", "ground", 7}, {"text", "raised", 7}, {"soft", "ground", 4.5}, {"soft", "raised", 4.5},
		{"now", "raised", 4.5}, {"press-text", "press", 7}, {"ground", "press", 7},
		{"rim", "ground", 3}, {"rim", "raised", 3}, {"focus", "ground", 3}, {"focus", "raised", 3},
		{"faders", "ground", 3}, {"faders", "raised", 3}, {"hands", "ground", 3}, {"stage", "ground", 3},
		{"rest", "ground", 3}, {"water", "ground", 3}, {"now", "raised", 3},
		{"text", "hands", 3}, {"text", "within", 7}, {"soft", "within", 4.5}, {"stage", "within", 3}, {"press", "within", 7},
		{"stale", "ground", 4.5}, {"on-faders", "faders", 4.5}, {"water", "within", 3}, {"rim", "within", 3},
		{"now", "ground", 4.5}, {"faders", "raised", 4.5}, {"stage", "raised", 3}, // of the setup page
		{"press", "ground", 3}, {"soft", "ground", 4.5}, {"text", "edge", 4.5}, // of the review
	}
	fresh, old := tokens(t)
	for name, set := range map[string]map[string]string{"fresh": fresh, "old": old} {
		for _, p := range pairs {
			if got := contrast(set[p.fore], set[p.back]); !(got >= p.want) {
				t.Errorf("%s: --%s %s on --%s %s has %.2f, want %.1f", name, p.fore, set[p.fore], p.back, set[p.back], got, p.want)
			}
		}
	}
}

// tokens reads the two sets of colours; old says only what it changes. Colours may
// stand nowhere else in the style sheets, or this test would not see them.
func tokens(t *testing.T) (fresh, old map[string]string) {
	t.Helper()
	css := asset(t, "tokens.css")
	before, after, found := strings.Cut(css, ".old {")
	if !found {
		t.Fatal("tokens.css has no .old")
	}
	fresh, old = map[string]string{}, map[string]string{}
	line := regexp.MustCompile(`--([a-z-]+): (#[0-9a-f]{6});`)
	for _, m := range line.FindAllStringSubmatch(before, -1) {
		fresh[m[1]], old[m[1]] = m[2], m[2]
	}
	for _, m := range line.FindAllStringSubmatch(after, -1) {
		if fresh[m[1]] == "" {
			t.Errorf("tokens.css: .old names --%s, which nothing else does", m[1])
		}
		old[m[1]] = m[2]
	}
	return fresh, old
}

func TestColoursAreTokens(t *testing.T) {
	colour := regexp.MustCompile(`#[0-9a-fA-F]{3,8}\b[^{]*;|rgba?\(|hsla?\(`)
	for _, name := range []string{"page.css", "watch.css", "parts.css", "setup.css", "review.css"} {
		if found := colour.FindString(asset(t, name)); found != "" {
			t.Errorf("%s: %q is a colour of its own; want a token", name, found)
		}
	}
}

func asset(t *testing.T, name string) string {
	t.Helper()
	data, err := web.ReadFile("web/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
