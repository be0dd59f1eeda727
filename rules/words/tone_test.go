package words

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pawl/rules"
	"pawl/rules/desk"
)

// What every text keeps to, by language; a new language brings its own.
var tones = map[string]tone{
	"en": {
		decimal: ".", other: ",",
		// Nothing here was done wrong by anybody: it happened, and there is one thing to try.
		blame: regexp.MustCompile(`(?i)\b(you(r own)? (should|must|have|forgot|failed|did|made|never|always|again)|your (fault|mistake)|mistakes? of|should have|careless\w*|sloppy|bad(ly)?|blame\w*|guilty|forgot\w*|fail\w*|error\w*|terrible|never do|obviously|simply)\b`),
		after: regexp.MustCompile(`^( dB(FS|\(A\))?\b| phon\b| Hz\b|:1\b|\)| s\b| min\b| in an hour| from (the )?| at \d| to 1\b| %)`),
	},
	"es": {
		decimal: ",", other: ".",
		blame: regexp.MustCompile(`(?i)\b(debiste|deberías|tienes que|has (hecho|olvidado|fallado)|tu culpa|culpa\w*|olvid\w*|descuid\w*|mal hecho|fallaste|error(es)?|terrible|obviamente|simplemente)\b`),
		after: regexp.MustCompile(`^( dB(FS|\(A\))?([^\pL]|$)| fonios?\b| Hz\b|:1\b|\)| s\b| min\b| por hora| de(l| los| las)? | en \d| a \d| %)`),
	},
}

type tone struct {
	decimal, other string         // the mark of a number with decimals, and the one that would be foreign
	blame          *regexp.Regexp // what tells somebody off
	after          *regexp.Regexp // what follows a number with decimals: its unit, or what it is a part of
}

// The longest that each sort of text may be, in characters and with the short names that a
// hall gives: somebody reads it at arm's length while music plays. The first that fits the
// end of a text's name serves.
var longest = []struct {
	ends  *regexp.Regexp
	most  int
	which string
}{
	{regexp.MustCompile(`^(page|page-coach|page-line-check)\.(seen|not-now|mark|back|bring-back|dim|close|more|pages|check-(enough|later|ask|leave|leave-out|once-more|begin)|hold)$`), 20, "a button"},
	{regexp.MustCompile(`^(line|name|span|part|mark|basis|life|held|glance|move|link|figure\.[a-z-]*cases)\b`), 130, "a line of a list"},
	{regexp.MustCompile(`\.try(-[a-z]+)*$`), 180, "one thing to do"},
	{regexp.MustCompile(`\.(then|eased|back)(-[a-z]+)*$`), 200, "what it brings"},
	{regexp.MustCompile(`^gloss\..*\.means$`), 140, "what a word means"},
	{regexp.MustCompile(`^refused\.`), 120, "why a press did nothing"},
	{regexp.MustCompile(``), 420, "anything"},
}

var (
	withDecimals = regexp.MustCompile(`\d+[.,]\d\b`)
	loose        = regexp.MustCompile(`\s[.,;:?](\s|$)|\(\s|\s\)|,,|\.\.(\s|$)|[,;] ?\.`)
)

// off is what a text does that no text should, "" if nothing.
func (t tone) off(said string) string {
	switch {
	case strings.Contains(said, "{{") || strings.Contains(said, "}}") || strings.Contains(said, "<no value>"):
		return "something in it was not put in"
	case strings.ContainsAny(said, "!¡"):
		return "an exclamation mark"
	case loose.MatchString(said):
		return fmt.Sprintf("punctuation that stands loose: %q", loose.FindString(said))
	}
	for _, at := range withDecimals.FindAllStringIndex(said, -1) {
		number, rest := said[at[0]:at[1]], said[at[1]:]
		if rest != "" && rest[0] == t.other[0] && len(rest) > 1 && rest[1] >= '0' && rest[1] <= '9' {
			continue // the thousands of a number that is none of these
		}
		if strings.Contains(number, t.other) {
			return number + " is written as another language does"
		}
		if !t.after.MatchString(rest) {
			return fmt.Sprintf("%s has no unit: %q follows", number, rest[:min(len(rest), 12)])
		}
	}
	return ""
}

// Each of these is refused, so that the tests below can fail.
func TestToneIsHeard(t *testing.T) {
	for _, c := range []struct{ language, said string }{
		{"en", "Bring the piano down {{db .by}}."}, {"en", "Bring the piano down!"}, {"en", "You should have brought the piano down."}, {"en", "The piano is too loud ."},
		{"en", "Bring the piano down 2.0."}, {"en", "Bring the piano down 2,0 dB."}, {"en", "That was a bad raise."}, {"en", "Bring down piano,, fiddle."}, {"en", "You forgot the reader."},
		{"es", "Baja piano 2.0 dB."}, {"es", "¡Baja piano!"}, {"es", "Deberías bajar piano."}, {"es", "Baja piano 2,0."}, {"es", "Baja piano, ."},
	} {
		if tones[c.language].off(c.said) == "" && !tones[c.language].blame.MatchString(c.said) {
			t.Errorf("%q passes", c.said)
		}
	}
	for _, c := range []struct{ language, said string }{
		{"en", "Bring the piano down 2.0 dB, to −12.5 dBFS (1 h): 5.4 from the faders."}, {"es", "Baja piano 2,0 dB; 5,4 de los faders, el 1.200 % en 8 h."},
	} {
		if why := tones[c.language].off(c.said); why != "" {
			t.Errorf("%q is refused: %s", c.said, why)
		}
	}
}

// TestTone says every phrase of every language with few and many, none and one, up and
// down, and holds each to the tone of its language and to the length of its sort.
func TestTone(t *testing.T) {
	input := func(name string) desk.Who { return desk.Who{Strip: desk.StripInput, Name: name} }
	casts := [][]desk.Who{
		{input("pad")},
		{{Strip: desk.StripDCA, Name: "band"}, input("lead voice")},
		{input("piano"), input("accordion"), {Strip: desk.StripGroup, Name: "voices"}, {Strip: desk.StripMain}},
	}
	for _, name := range catalogues(t) {
		language := strings.TrimSuffix(name, ".yaml")
		tone, ok := tones[language]
		if !ok {
			t.Errorf("%s: nothing says what its tone is; see tones in this file", name)
			continue
		}
		speaker := Own().For(language)
		for id, text := range texts(t, name) {
			i := slices.IndexFunc(longest, func(l struct {
				ends  *regexp.Regexp
				most  int
				which string
			}) bool {
				return l.ends.MatchString(id)
			})
			for _, cast := range casts {
				for _, v := range []float64{0, 0.04, 1, 2, 21, 4.5, -2.25, 95, 180, math.Inf(-1)} {
					p := rules.Phrase{ID: id, Who: rules.Cast{}, Texts: rules.Texts{}}
					for f, verb := range fieldsOf(text) {
						give(&p, verb, f, v, cast)
					}
					said, err := speaker.Put(p)
					if err != nil {
						t.Fatalf("%s: %s: %v", name, id, err)
					}
					if id == "squeezed-group.hand" && v < 0.05 || id == "report.number" {
						continue // it is said only of what added to it; it stands under its unit
					}
					if why := tone.off(said); why != "" {
						t.Errorf("%s: %s says %q: %s", name, id, said, why)
					}
					// The mistakes that the setup page speaks of are a file's.
					if blamed := tone.blame.FindString(said); blamed != "" && !strings.HasPrefix(id, "page-setup.") {
						t.Errorf("%s: %s says %q: it tells somebody off, %q", name, id, said, blamed)
					}
					if n := len([]rune(said)); n > longest[i].most {
						t.Errorf("%s: %s says %q: %d characters, and %d are the most for %s", name, id, said, n, longest[i].most, longest[i].which)
					}
				}
			}
		}
	}
}

// jargon is the words of the trade that a second-week volunteer may not know, by language.
// Fader, decibel and meter are not among them: they stand on every desk.
var jargon = map[string]*regexp.Regexp{
	"en": regexp.MustCompile(`(?i)\b(DCAs?|groups?|main|compress(or|ors|ion)|threshold|ratio|make-up|dBFS|gate|source gain|peaks?|feedback|solo|low cut|routing|(un)?mute[sd]?|phons?|aux|bus(es)?|pan|crest|limiter|knee|attack|release|headroom|phase|polarity|insert)\b`),
	"es": regexp.MustCompile(`(?i)\b(DCA|grupos?|máster|compresor(es)?|compresión|umbral|ratio|dBFS|puerta|picos?|realimentación|acople|solo en|mute|fonios?|auxiliar|bus(es)?|envío|limitador|rodilla|ataque|fase|polaridad)\b`),
}

// TestJargonHasAGloss: what a rule says in words of the trade can be tapped and read.
func TestJargonHasAGloss(t *testing.T) {
	for _, name := range catalogues(t) {
		language, all := strings.TrimSuffix(name, ".yaml"), texts(t, name)
		if jargon[language] == nil {
			t.Errorf("%s: nothing says which of its words are the trade's; see jargon in this file", name)
			continue
		}
		glossed := map[string]bool{}
		for id, text := range all {
			if strings.HasPrefix(id, Glosses+".") && strings.HasSuffix(id, ".words") {
				for _, word := range strings.Split(text, ", ") {
					glossed[strings.ToLower(word)] = true
				}
			}
		}
		found := 0
		for _, k := range rules.Kinds {
			for _, id := range k.Says {
				for _, word := range jargon[language].FindAllString(action.ReplaceAllString(all[id], ""), -1) {
					if found++; !glossed[strings.ToLower(word)] {
						t.Errorf("%s: %s says %q, which has no gloss: %q", name, id, word, all[id])
					}
				}
			}
		}
		if found < 30 {
			t.Errorf("%s: only %d words of the trade were found", name, found)
		}
	}
}
