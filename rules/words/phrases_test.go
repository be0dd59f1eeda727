package words

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pawl/rules"
	"pawl/rules/desk"
)

// ending is how the texts of a kind end.
type ending int

const (
	anyEnd ending = iota // as it is, the same in every language
	stop                 // a sentence
	open                 // no full stop: it stands within another text, or has room for none
)

// kind is a sort of text by where it stands, with the most letters that fit there: with
// names of a word or two, and with names as long as a desk lets anybody write.
type kind struct {
	name       string
	ids        *regexp.Regexp
	most, long int
	ends       ending
	sentences  int  // at most; 0 for any number
	toYou      bool // may speak to the reader as "you": not what judges a mix
	bare       bool // its numbers stand on a scale, or are what a desk sent, and have no unit
}

func sort(name, ids string, most, long int, ends ending) kind {
	return kind{name: name, ids: regexp.MustCompile("^(?:" + ids + ")$"), most: most, long: long, ends: ends}
}

func (k kind) saying(sentences int) kind { k.sentences = sentences; return k }
func (k kind) speaking() kind            { k.toYou = true; return k }
func (k kind) unitless() kind            { k.bare = true; return k }

// kinds are all sorts of text. The first that an ID belongs to is the one that it is of.
var kinds = []kind{
	sort("name", `name\..*|page-setup\.name-.*`, 30, 105, open),
	sort("length of time", `span\..*|page-review\.length-.*`, 16, 16, open),
	sort("button", `page\.(mark|seen|not-now|close|more|back|bring-back|dim|sheet|pages|watch|review|setup|line-check|coach|language|to-setup)|`+
		`page-line-check\.check-(begin|again|end|enough|leave-out|later|leave|ask|once-more)|`+
		`page-review\.(answer|closer|wider|earlier|later|whole-service|end-now|begin-now|delete|note-add|otherwise-press|change-(rename|keep|split|delete))|`+
		`page-coach\.(watch|hold|let-go|send|tell-back|add|press-again|note-keep|note-ask|order-(up|down|rename|remove|begin|reset))`, 28, 28, open).speaking(),
	sort("chip", `page\.(link|segment|element|kind)-.*|page-review\.(part|turn|figure)-.*|page-coach\.(fate|weight|order-is)-.*|part\..*`, 30, 30, open),
	sort("headline", `glance\.(as|little|mostly)-.*|glance\.(louder|quieter|faders-and-stage|several|faders-made-up|stage-made-up)`, 48, 48, stop).saying(1).speaking(),
	sort("headline", `glance\.(closed|listening|silent|shut)|page\.(calm|deaf|foreign|deaf-then)`, 64, 64, stop).saying(1).speaking(),
	sort("causes", `glance\.causes`, 88, 88, open),
	sort("what a word means", `gloss\..*\.means`, 120, 120, stop).saying(1).speaking(),
	sort("words that have a meaning", `gloss\..*\.words`, 50, 50, open),
	sort("page", `page(-.*)?\..*`, 200, 200, anyEnd).speaking(),
	sort("sheet", `sheet\.(title|says|do|care|part-[a-z]+|when-[a-z]+)`, 48, 48, anyEnd).speaking(),
	sort("sheet", `sheet\..*`, 215, 215, stop).speaking(),
	sort("reason", `refused\..*|held\..*`, 115, 115, open).speaking(),
	sort("since when", `mark\..*`, 56, 56, open).speaking(),
	sort("fault", `fault\..*`, 60, 60, open),
	sort("trouble", `trouble\..*`, 150, 240, open).speaking(),
	sort("notice", `notice\.port.*`, 270, 340, stop),
	sort("notice", `basis\..*|link\..*|notice\..*|gap\..*`, 130, 130, anyEnd),
	sort("printed", `printed\..*`, 30, 75, open),
	sort("move", `move\..*`, 56, 98, open),
	sort("advice", `[a-z-]+\.(try|[a-z-]*-try|try-[a-z-]+)|line\.(raise|lower)|lead-behind\.(up|down)`, 170, 350, stop).saying(2),
	sort("what comes of it", `[a-z-]+\.then(-[a-z]+)?`, 195, 370, stop).saying(2),
	sort("practise", `practise\.(why.*|.*-moment)`, 110, 150, anyEnd),
	sort("practise", `practise\..*`, 170, 220, stop).saying(2).speaking(),
	sort("report, what a chart means", `report\.(.*-means|chart-.*)`, 260, 260, anyEnd),
	sort("report", `report\..*`, 175, 260, anyEnd),
	sort("figure, its definition", `figure\..*-means`, 300, 300, stop).saying(2),
	sort("figure", `figure\..*|trend\..*`, 80, 250, anyEnd),
	sort("life", `life\..*`, 45, 75, open),
	sort("line check", `line\..*`, 100, 250, stop),
	sort("evidence", `room-loud\.(dose|day|calibrated)|main-down\.phons|squeezed-group\.drive`, 255, 290, anyEnd),
	sort("guide", `guide\..*`, 345, 390, stop).speaking().unitless(),
	sort("within the guide", `(strip|slot|law|press)\..*`, 60, 110, open).unitless(),
	sort("words that are understood", `typed\..*`, 75, 75, open),
	sort("sentence", `.*`, 200, 360, anyEnd),
}

func kindOf(id string) kind {
	return kinds[slices.IndexFunc(kinds, func(k kind) bool { return k.ids.MatchString(id) })]
}

// long is a name as somebody may write one.
const long = "Lead vocal at the lectern, second from the left"

// casts are the movers that a phrase may name: one, two and many, with short names and
// long ones. Where a text says what it does about nobody, there may be nobody.
var casts = func() (all [][]desk.Who) {
	input := func(name string) desk.Who { return desk.Who{Strip: desk.StripInput, Name: name} }
	dca := func(name string) desk.Who { return desk.Who{Strip: desk.StripDCA, Name: name} }
	return [][]desk.Who{
		{input("cajon")}, {dca("band"), {Strip: desk.StripGroup, Name: "voices"}}, {input("piano"), {Strip: desk.StripMain}, input("harp"), input("iron bells")},
		{input(long)}, {dca(long), {Strip: desk.StripGroup, Name: long}}, {input(long), dca(long), {Strip: desk.StripGroup, Name: long}, input(long)},
	}
}()

// takes is what a template takes, by how the phrase has to bring it.
type takes struct {
	who, maybe, texts []string
	spans, counts     []string
	told, tested      []string // figures that are only told, and those on which it hangs what is said
}

var (
	perhaps = regexp.MustCompile(`{{(?:else )?if \.([a-z]+)}}`)
	hanging = regexp.MustCompile(`\b(?:up|down|part|same|neg) ((?:\.[a-z]+ ?)+)`)
)

func takenBy(template string) takes {
	var t takes
	fields := fieldsOf(template)
	for _, name := range slices.SortedFunc(maps.Keys(fields), func(a, b string) int {
		return cmp.Compare(strings.Index(template, "."+a), strings.Index(template, "."+b))
	}) {
		switch fields[name] {
		case "name", "names", "list", "len":
			t.who = append(t.who, name)
		case "", "begins", "cap", "say":
			t.texts = append(t.texts, name)
		case "span":
			t.spans = append(t.spans, name)
		case "count":
			t.counts = append(t.counts, name)
		default:
			t.told = append(t.told, name)
		}
	}
	for _, m := range perhaps.FindAllStringSubmatch(template, -1) {
		t.maybe = append(t.maybe, m[1])
	}
	for _, m := range hanging.FindAllStringSubmatch(template, -1) {
		for _, name := range strings.Fields(strings.ReplaceAll(m[1], ".", " ")) {
			if i := slices.Index(t.told, name); i >= 0 {
				t.told, t.tested = slices.Delete(t.told, i, i+1), append(t.tested, name)
			}
		}
	}
	return t
}

// The numbers that phrases are said with.
var (
	figures  = []float64{0, 0.04, 1, -2.25, 12.3, -60, math.Inf(-1)}
	times    = []float64{0, 1, 65, 150, 5400}
	counts   = []int{0, 1, 2, 21}
	turnings = []float64{0, 2.25, -2.25}
)

// phrases are all that can be made of a template: every cast with every number, and every
// way in which the figures on which it hangs what is said can lie to nought.
func phrases(id, template string) (all []rules.Phrase) {
	t := takenBy(template)
	if i := slices.Index(t.counts, decides[id]); i > 0 {
		t.counts[0], t.counts[i] = t.counts[i], t.counts[0]
	}
	var some [][]desk.Who
	if len(t.who) > 0 {
		some = casts
	} else {
		some = casts[:1]
	}
	turns := [][]float64{nil}
	for range t.tested {
		var more [][]float64
		for _, turn := range turns {
			for _, v := range turnings {
				more = append(more, append(slices.Clone(turn), v))
			}
		}
		turns = more
	}
	rounds := 1
	if len(t.counts) > 0 {
		rounds = len(counts)
	}
	if len(t.spans) > 0 {
		rounds = max(rounds, len(times))
	}
	if len(t.told)+len(t.tested) > 0 {
		rounds = max(rounds, len(figures))
	}
	for i, cast := range some {
		for round := range rounds {
			for _, turn := range turns {
				if i := slices.Index(t.tested, never[id]); i >= 0 && turn[i] == 0 {
					continue
				}
				p := rules.Phrase{ID: id, Who: rules.Cast{}, Texts: rules.Texts{}}
				for _, name := range t.who {
					p.Who[name] = cast
					if section, _, _ := strings.Cut(id, "."); slices.Contains(alone, section+"."+name) {
						p.Who[name] = cast[:1]
					}
					if slices.Contains(t.maybe, name) && round == 0 {
						p.Who[name] = nil
					}
				}
				for _, name := range t.texts {
					switch {
					case name == "says":
						p.Texts[name] = "So it is."
					case i >= 3:
						p.Texts[name] = long
					default:
						p.Texts[name] = "/an/address"
					}
				}
				for _, name := range t.counts {
					p.Figures = append(p.Figures, rules.Number(name, max(counts[round%len(counts)], least[id+"."+name])))
				}
				for _, name := range t.spans {
					p.Figures = append(p.Figures, rules.Figure{Name: name, Value: times[round%len(times)], Unit: rules.Seconds})
				}
				for _, name := range t.told {
					p.Figures = append(p.Figures, rules.Figure{Name: name, Value: figures[round%len(figures)], Unit: rules.Decibels})
				}
				for k, name := range t.tested {
					v := turn[k]
					if round > 0 && v != 0 {
						v *= 1 + float64(round)/3 // so that two are not the same unless both are nought
					}
					p.Figures = append(p.Figures, rules.Figure{Name: name, Value: v + float64(k)*v/8, Unit: rules.Decibels})
				}
				all = append(all, p)
			}
		}
	}
	return all
}

// filled are all that can be made of a page's label: what its braces take, with a short
// name and a long one, and with no, one and many.
func filled(t *testing.T, tag, id, text string) (all []string) {
	t.Helper()
	form := id[strings.LastIndex(id, ".")+1:]
	for i := range len(counts) * 2 {
		n := counts[i%len(counts)]
		if form == "one" && n != 1 || form == "other" && n == 1 {
			continue
		}
		who := "piano"
		if i >= len(counts) {
			who = long
		}
		mark := "."
		if tag == "es" {
			mark = ","
		}
		said := braces.ReplaceAllStringFunc(text, func(b string) string {
			sample, ok := samples[strings.Trim(b, "{}")]
			if !ok {
				t.Errorf("%s takes %s, of which there is no sample: give one", id, b)
			}
			return strings.NewReplacer("#", fmt.Sprint(n), "@", who, "~", mark).Replace(sample)
		})
		if !slices.Contains(all, said) {
			all = append(all, said)
		}
	}
	return all
}

var braces = regexp.MustCompile(`{[a-z]+}`)

// samples are what a page puts into its labels: # for a number, @ for a name, ~ for the
// decimal mark.
var samples = map[string]string{
	"n": "#", "of": "21", "most": "80", "levels": "#", "then": "#", "other": "#", "line": "#", "column": "#", "hours": "#",
	"id": "k7qf2", "date": "4/3/2026", "address": "http://the-desk/pair", "at": "18:30", "ago": "3 min", "minutes": "3 min", "length": "3 min", "lasted": "3 min",
	"by": "+2~0 dB", "rise": "+2~0 dB", "faders": "+2~0 dB", "stage": "−1~0 dB", "rest": "0~0 dB", "level": "−20~0", "low": "−30", "high": "−12", "peaks": "−6", "db": "−3~0",
	"range": "−30", "causes": "+2~0 dB", "last": "2~0 dB", "rests": "Rests.",
	"who": "@", "names": "@", "desk": "harbour desk", "house": "@", "title": "@", "what": "@", "text": "@", "moved": "@", "segments": "@", "marks": "18:30",
	"example": "/an/address", "map": "the map", "command": "pawl listen --draft", "why": "so", "how": "so", "where": "so", "inputs": "21", "screen": "so", "weight": "so",
}

// tongue is what a language's texts keep beside what all keep: each is a pattern with why.
type tongue struct {
	blame, you *regexp.Regexp
	decimal    *regexp.Regexp // a number in another language's manner
	one        *regexp.Regexp // one of what there are many
}

var tongues = map[string]tongue{
	"en": {
		blame: words(`mistakes?|wrong(ly)?|should have|shouldn't|must not|at fault|(?:your|whose|their) fault|fault of|blame|careless|forg[eo]t|failed|failure|bad(ly)?|sloppy|stop|never again|you always|obviously`),
		you:   words(`you|your|yours|yourself`), decimal: regexp.MustCompile(`\d,\d(\D|\d\D|$)`), one: regexp.MustCompile(`(^|[^\d.,−+])1 \p{Ll}{3,}[^su]s\b`),
	},
	"es": {
		blame: words(`error(es)?|culpa|mal|malo|deberías|debiste|tendrías|hiciste mal|equivo\pL*|olvid\pL*|descuid\pL*|fallo|fallaste|torpe|nunca más|obviamente`),
		you:   words(`tú|tu|tus|te|ti|has|hiciste|subiste|bajaste|moviste|dejaste`), decimal: regexp.MustCompile(`\d\.\d(\D|\d\D|$)`), one: regexp.MustCompile(`(^|[^\d.,−+])1 \p{Ll}{3,}[^sá]s\b`),
	},
}

// words is a pattern of whole words, whatever letters the language has.
func words(of string) *regexp.Regexp {
	return regexp.MustCompile(`(?i)(?:^|\PL)(?:` + of + `)(?:\PL|$)`)
}

// allowed are the few texts that may do what is refused elsewhere, each with why.
var allowed = map[string]string{
	"glance.causes":                  "the page's own figures: what is in dB there says so once, in the headline beside it",
	"main-down.phons":                "phons at four frequencies in a row, with the unit at the first",
	"page-setup.faults-in-files.one": "it is about a file, for whoever writes it", "page-setup.faults-in-files.other": "the same", "page-setup.faults.one": "the same",
	"page-setup.faults.other": "the same", "page-setup.faults-no": "the same", "page-setup.not-taken": "the same",
	"report.number": "it stands under its unit", "report.lasted": "what begins its sentences is a name or a time", "report.lasted-checked": "the same",
	"guide.help": "it names words to type, and stop is one", "guide.no-number": "the same", "typed.stop": "the same", "page-first.first-words": "the same", "guide.nothing-seen": "it is Pawl that was wrong",
	"typed.wrong":                "the same",
	"page-setup.packets-unknown": "it is said of a desk that goes on talking, never of one packet",
}

// alone are the figures of which a text is never told of fewer, and the movers of which it
// never names more than one.
var (
	alone = []string{"harmony-forward.lead", "fill-over-lead.lead", "second-over-first.who", "second-over-first.first", "words-covered.voice"}
	// A habit is one of at least two services, and one player alone needs no turns.
	least = map[string]int{"practise.why.in": 2, "practise.why.of": 2, "refused.long.most": 2, "line.sum.all": 2,
		"guide.quick.n": 3, "guide.scale-units.marks": 2, "guide.scale-power.marks": 4, "guide.scale-even.marks": 4, "guide.scale-lines.marks": 2, "guide.scale-bent.marks": 2}
	never = map[string]string{"squeezed-group.hand": "faders", "squeezed-group.member": "fader"} // nought: then another text is said

	// decides is the count that a text's form hangs on, where that is not the first in it.
	decides = map[string]string{"trend.rests": "of", "trend.scarce": "of"}
)

var (
	hyphen   = regexp.MustCompile(`(^|[^\pL\d])-[\d∞]`)
	unitless = regexp.MustCompile(`[\d∞](dB|dBFS|%|s|min|h|phon|fonios)\b|[\d∞](\s\s+|\n)(dB|%|s|min|h)\b`)
	figure   = regexp.MustCompile(`[\d∞][.,]\d+|∞`)
	unit     = regexp.MustCompile(`^ (dB|dBFS|dB\(A\)|s|phon|fonios|%|kHz|Hz)(\PL|$)|^:\d|^ (to|a) (1\b|[−+]?[\d∞])|^ (in an hour|por hora) `)
	spacing  = regexp.MustCompile(`  |^ | $| [.,;:)»”]|[(«“] |\.\.|,[.,;]|;[.;,]|\( *\)`)
	small    = regexp.MustCompile(`[.?] \p{Ll}`)
	sentence = regexp.MustCompile(`[.?]( |$)`)
)

// faultIn is what is not as it should be in a text of a kind, said in a language; "" for
// nothing. What a name brought with it is no fault of the text.
func faultIn(tag string, k kind, said string, withLong bool) string {
	most := k.most
	if withLong {
		most = k.long
	}
	t := tongues[tag]
	plain := strings.NewReplacer(long, "piano", strings.ToUpper(long[:1])+long[1:], "piano", "/an/address", "piano", " :10701", " a port").Replace(said)
	last, _ := utf8.DecodeLastRuneInString(said)
	switch {
	case strings.TrimSpace(said) == "":
		return "it says nothing"
	case strings.Contains(said, "<no value>") || strings.Contains(said, "NaN") || strings.Contains(said, "%!") || strings.Contains(said, "{{") || strings.Contains(said, "map["):
		return "something is not filled in"
	case strings.ContainsAny(said, "!¡"):
		return "no exclamation marks"
	case hyphen.MatchString(said):
		return "a hyphen for a minus; want U+2212"
	case spacing.MatchString(plain):
		return "spaces or marks that should not be there: " + fmt.Sprintf("%q", spacing.FindString(plain))
	case unitless.MatchString(said):
		return "one space between a number and its unit"
	case t.blame != nil && t.blame.MatchString(plain):
		return fmt.Sprintf("it blames: %q", t.blame.FindString(plain))
	case !k.toYou && t.you != nil && t.you.MatchString(plain):
		return fmt.Sprintf("it is about the mix, and not about who mixes: %q", t.you.FindString(plain))
	case t.decimal != nil && t.decimal.MatchString(strings.ReplaceAll(said, "10·lg", "")):
		return "a decimal mark of another language"
	case t.one != nil && t.one.MatchString(plain):
		return fmt.Sprintf("one of many: %q", t.one.FindString(plain))
	case k.ends == stop && !strings.ContainsRune(".?:…)", last):
		return "it should end as a sentence does"
	case k.ends == open && last == '.':
		return "it should not end in a full stop"
	case k.ends == stop && !beginsWell(said):
		return "a sentence begins with a capital"
	case small.MatchString(strings.TrimSuffix(plain, "so")):
		return "a sentence begins with a capital"
	case k.sentences > 0 && len(sentence.FindAllString(plain, -1)) > k.sentences:
		return fmt.Sprintf("%d sentences at most", k.sentences)
	case utf8.RuneCountInString(said) > most:
		return fmt.Sprintf("%d letters; %d are the most of a text of the kind %q", utf8.RuneCountInString(said), most, k.name)
	}
	return ""
}

func beginsWell(said string) bool {
	first, _ := utf8.DecodeRuneInString(said)
	return !unicode.IsLower(first) || strings.HasPrefix(said, "dBFS")
}

// bare is a figure of a text that has no unit behind it; "" if every one has.
func bare(said string) string {
	for _, at := range figure.FindAllStringIndex(said, -1) {
		if !unit.MatchString(said[at[1]:]) {
			return said[at[0]:at[1]] + firstOf(said[at[1]:], 12)
		}
	}
	return ""
}

func firstOf(s string, n int) string { return s[:min(len(s), n)] }

// TestEveryPhraseReads says every phrase of every language with all sorts of names and
// numbers, and holds each to what all of them keep and to what its kind has room for.
func TestEveryPhraseReads(t *testing.T) {
	for _, name := range catalogues(t) {
		tag := strings.TrimSuffix(name, ".yaml")
		speaker := Own().For(tag)
		if _, ok := tongues[tag]; !ok {
			t.Errorf("%s: say in tongues what blames, and how numbers are not written", name)
		}
		check := func(id, said string) {
			k := kindOf(id)
			withLong := strings.Contains(strings.ToLower(said), strings.ToLower(long))
			why := faultIn(tag, k, said, withLong)
			if figure := bare(said); why == "" && figure != "" && !k.bare {
				why = fmt.Sprintf("a figure without a unit: %q", figure)
			}
			if why != "" && allowed[id] == "" {
				t.Errorf("%s: %s says %q: %s", name, id, said, why)
			}
		}
		for id, text := range texts(t, name) {
			if section, _, _ := strings.Cut(id, "."); slices.Contains(Pages, section) {
				continue
			}
			for _, p := range phrases(id, text) {
				said, err := speaker.Put(p)
				if err != nil {
					t.Fatalf("%s: %s cannot be said of %+v: %v; the head of en.yaml says what may stand in a text", name, id, p, err)
				}
				check(id, said)
			}
		}
		for _, section := range Pages {
			for id, text := range speaker.LabelsOf(section) {
				for _, said := range filled(t, tag, id, text) {
					check(section+"."+id, said)
				}
			}
		}
	}
}

// TestBadTextsAreRefused: what is held against every phrase is seen where it is wrong.
func TestBadTextsAreRefused(t *testing.T) {
	advice, reason, chip, button := kindOf("ratchet.try"), kindOf("held.seen"), kindOf("page.link-quiet"), kindOf("page.seen")
	for _, c := range []struct {
		tag  string
		kind kind
		said string
		want string // of the reason for which it is refused; "" for a good text
	}{
		{"en", advice, "Bring the piano down 2.0 dB.", ""},
		{"en", advice, "Bring the piano down −∞ dB each.", ""},
		{"es", advice, "Baja piano 2,0 dB por fader.", ""},
		{"es", advice, "Sube piano 1.200 dB.", ""},
		{"en", advice, "", "says nothing"},
		{"en", advice, "Bring <no value> down.", "not filled in"},
		{"en", advice, "Bring the {{.who}} down.", "not filled in"},
		{"en", advice, "Bring the piano down!", "exclamation"},
		{"es", advice, "¡Baja piano.", "exclamation"},
		{"en", advice, "Bring the piano to -2.0 dB.", "minus"},
		{"en", advice, "Bring the piano  down.", "spaces"},
		{"en", advice, "Bring the piano down .", "spaces"},
		{"en", advice, "Bring the piano, , down.", "spaces"},
		{"en", advice, "Bring the piano down..", "spaces"},
		{"en", advice, "Bring the piano ( ) down.", "spaces"},
		{"en", advice, "Bring the piano down 2.0dB.", "unit"},
		{"en", advice, "Bring the piano down 2.0.", "without a unit"},
		{"en", advice, "Bring the piano down by 2.0 or so.", "without a unit"},
		{"en", advice, "Bring the piano down 2,0 dB.", "decimal mark"},
		{"es", advice, "Baja piano 2.0 dB.", "decimal mark"},
		{"en", advice, "That was a mistake: bring the piano down.", "blames"},
		{"en", advice, "The piano is wrong.", "blames"},
		{"es", advice, "El piano suena mal.", "blames"},
		{"es", advice, "No olvides el piano.", "blames"},
		{"en", advice, "You raised the piano.", "who mixes"},
		{"es", advice, "Subiste piano.", "who mixes"},
		{"en", advice, "Take 1 inputs down.", "one of many"},
		{"es", advice, "Baja 1 canales.", "one of many"},
		{"en", advice, "Bring the piano down", "end as a sentence"},
		{"en", advice, "bring the piano down.", "capital"},
		{"en", advice, "Bring it down. then listen.", "capital"},
		{"en", advice, "Bring it down. Listen. Bring it up.", "2 sentences"},
		{"en", advice, "Bring " + strings.Repeat("the piano and ", 13) + "the harp down.", "letters"},
		{"en", reason, "it was seen", ""},
		{"en", reason, "it was seen.", "full stop"},
		{"en", chip, "The desk was heard a good while ago", "letters"},
		{"es", button, "Visto y dado por bueno del todo", "letters"},
	} {
		why := faultIn(c.tag, c.kind, c.said, false)
		if figure := bare(c.said); why == "" && figure != "" {
			why = "a figure without a unit"
		}
		if (why == "") != (c.want == "") || !strings.Contains(why, c.want) {
			t.Errorf("%s %q: got %q, want %q", c.tag, c.said, why, c.want)
		}
	}
}

// TestExceptionsAreNeeded: what is allowed, and what the test is told of a text, is of a
// text that there is.
func TestExceptionsAreNeeded(t *testing.T) {
	there := texts(t, Default+".yaml")
	has := func(id string) bool {
		for _, form := range []string{"", ".one", ".other"} {
			if name, ok := strings.CutSuffix(id, form); ok && there[name] != "" {
				return true
			}
		}
		return false
	}
	var ids []string
	ids = append(ids, slices.Collect(maps.Keys(allowed))...)
	ids = append(append(ids, slices.Collect(maps.Keys(never))...), slices.Collect(maps.Keys(decides))...)
	for of := range least {
		ids = append(ids, of[:strings.LastIndex(of, ".")])
	}
	for _, id := range ids {
		if !has(id) {
			t.Errorf("%s is told of, and no text", id)
		}
	}
}
