package dashboard

import (
	"cmp"
	"encoding/csv"
	"maps"
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
	sets := tokens(t)
	if len(sets) != 6 {
		t.Errorf("%d sets of colours, want fresh and old at each of three steps of light", len(sets))
	}
	for name, set := range sets {
		for _, p := range pairs {
			want := p.want
			switch {
			case !strings.Contains(name, "dim"):
			case p.fore == "hands": // has an edge of --faders, and the line over it is to be seen first
				continue
			default:
				want = min(want, 4.5)
			}
			if got := contrast(set[p.fore], set[p.back]); !(got >= want) {
				t.Errorf("%s: --%s %s on --%s %s has %.2f, want %.1f", name, p.fore, set[p.fore], p.back, set[p.back], got, want)
			}
		}
	}
}

// TestDimIsDarker: each step gives less light, in all that lights most of the screen.
func TestDimIsDarker(t *testing.T) {
	sets := tokens(t)
	for _, old := range []string{"", ".old"} {
		for _, token := range []string{"ground", "raised", "within", "text", "soft", "faders", "hands"} {
			bright, dimmed, dimmest := sets[":root"+old][token], sets[".dim-1"+old][token], sets[".dim-2"+old][token]
			if !(luminance(bright) > luminance(dimmed) && luminance(dimmed) > luminance(dimmest)) {
				t.Errorf("--%s%s is %s, dimmed %s and %s; want each darker", token, old, bright, dimmed, dimmest)
			}
		}
	}
}

// tokens reads the sets of colours by what chooses them: each says only what it changes of
// those that hold there too. Colours may stand nowhere else in the style sheets, or this
// test would not see them.
func tokens(t *testing.T) map[string]map[string]string {
	t.Helper()
	block := regexp.MustCompile(`(?m)^([^\s/*{][^{]*?) \{([^}]*)\}`)
	line := regexp.MustCompile(`--([a-z-]+): (#[0-9a-f]{6});`)
	said := map[string]map[string]string{}
	for _, m := range block.FindAllStringSubmatch(asset(t, "tokens.css"), -1) {
		said[m[1]] = map[string]string{}
		for _, one := range line.FindAllStringSubmatch(m[2], -1) {
			said[m[1]][one[1]] = one[2]
			if said[":root"][one[1]] == "" {
				t.Errorf("tokens.css: %s names --%s, which nothing else does", m[1], one[1])
			}
		}
	}
	sets := map[string]map[string]string{}
	for _, dim := range []string{"", ".dim-1", ".dim-2"} {
		for _, old := range []string{"", ".old"} {
			set := map[string]string{}
			for _, holds := range []string{":root", old, dim, dim + old} { // each weighs no less than the one before
				maps.Copy(set, said[holds])
			}
			sets[cmp.Or(dim, ":root")+old] = set
		}
	}
	return sets
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
