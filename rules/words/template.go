package words

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/template"
	"unicode/utf8"

	i18ntemplate "github.com/nicksnyder/go-i18n/v2/i18n/template"
	"golang.org/x/text/number"

	"pawl/rules"
	"pawl/rules/desk"
)

// templates reads the templates of one language, each once.
type templates struct {
	speaker *Speaker
	text    i18ntemplate.TextParser
}

// newTemplates offers a template what any language needs. The README of the catalogues,
// at the head of en.yaml, tells translators of each.
func newTemplates(s *Speaker) *templates {
	p := &templates{speaker: s}
	p.text = i18ntemplate.TextParser{Option: "missingkey=error", Funcs: template.FuncMap{
		"db": p.db, "plus": p.plus, "num": p.num, "level": p.level, "span": p.span, "count": p.count,
		"short": p.short, "fine": p.fine, "seen": p.seen,
		"up": up, "down": down, "same": same, "neg": neg,
		"name": p.first, "names": p.names, "list": p.list, "commas": commas, "part": p.part, "say": p.say, "cap": capital, "begins": begins,
	}}
	return p
}

// Cacheable implements the library's Parser: the functions of one language do not change.
func (p *templates) Cacheable() bool { return true }

// Parse implements the library's Parser.
func (p *templates) Parse(src, left, right string) (i18ntemplate.ParsedTemplate, error) {
	return p.text.Parse(src, left, right)
}

// minus is U+2212, as wide as a plus and never broken from its number.
const minus = "−"

// decimal is a number with one decimal, as the language writes it.
func (p *templates) decimal(v float64) string {
	if math.IsInf(v, -1) {
		return minus + "∞"
	}
	v = math.Round(v*10) / 10
	text := p.speaker.printer.Sprint(number.Decimal(math.Abs(v), number.Scale(1)))
	if v < 0 {
		return minus + text
	}
	return text
}

func (p *templates) num(f rules.Figure) string { return p.decimal(f.Value) }
func (p *templates) db(f rules.Figure) string  { return p.decimal(f.Value) + " dB" }

func (p *templates) plus(f rules.Figure) string {
	if f.Value > -0.05 {
		return "+" + p.db(f)
	}
	return p.db(f)
}

func (p *templates) level(f rules.Figure) string { return p.decimal(f.Value) + " dBFS" }

func (p *templates) count(f rules.Figure) string {
	return p.speaker.printer.Sprint(number.Decimal(f.Value))
}

// short is a number that is on a scale or was sent, with as many decimals as it has.
func (p *templates) short(f rules.Figure) string {
	return p.written(f.Value, number.MaxFractionDigits(6))
}

// fine is a number with two decimals.
func (p *templates) fine(f rules.Figure) string { return p.written(f.Value, number.Scale(2)) }

// written is a number in digits that stand together, since it is compared with one of the desk's.
func (p *templates) written(v float64, digits number.Option) string {
	var text string
	switch size := math.Abs(v); {
	case math.IsInf(v, 0):
		text = "∞"
	case size >= 1e12:
		text = strconv.FormatFloat(size, 'g', 6, 64)
	default:
		text = p.speaker.printer.Sprint(number.Decimal(size, digits, number.NoSeparator()))
	}
	if v < 0 {
		return minus + text
	}
	return text
}

// seen is what a value of the desk's was: a number, or a text that is told as it is, or the
// name of a phrase.
func (p *templates) seen(value any) string {
	if f, ok := value.(rules.Figure); ok {
		return p.short(f)
	}
	return p.say(fmt.Sprint(value), nil)
}

// span is a length of time as one would say it: "65 s", "3 min", "2 min 30 s".
func (p *templates) span(f rules.Figure) (string, error) {
	s := int(math.Round(f.Value))
	id := "span.both"
	switch {
	case s < 100:
		id = "span.seconds"
	case s%60 == 0:
		id = "span.minutes"
	}
	minutes, seconds := s/60, s%60
	if s < 100 {
		minutes, seconds = 0, s
	}
	return p.speaker.Put(rules.Phrase{ID: id, Figures: rules.Figures{rules.Number("minutes", minutes), rules.Number("seconds", seconds)}})
}

// up and down report whether a change shows at one decimal.
func up(f rules.Figure) bool   { return f.Value >= 0.05 }
func down(f rules.Figure) bool { return f.Value <= -0.05 }

// same reports whether two figures show the same at one decimal.
func same(a, b rules.Figure) bool { return math.Round(a.Value*10) == math.Round(b.Value*10) }

func neg(f rules.Figure) rules.Figure {
	f.Value = -f.Value
	return f
}

// part is a figure with what it is a part of, or nothing if it does not show.
func (p *templates) part(f rules.Figure, shown, of string) string {
	if !up(f) && !down(f) {
		return ""
	}
	return strings.ReplaceAll(of, "#", shown)
}

// nested are the sections of phrases that stand within others.
var nested = []string{"fault", "trouble", "strip", "slot", "law", "press"}

// say is a text that may be the name of a phrase that stands within others, which is then said,
// with what it takes of the phrase that it stands in; any other is told as it is.
func (p *templates) say(text string, of map[string]any) string {
	if section, _, named := strings.Cut(text, "."); !named || !slices.Contains(nested, section) {
		return text
	}
	said, err := p.speaker.localize(text, of)
	if err != nil {
		return text
	}
	return said
}

// commas joins what there is of its parts.
func commas(parts ...string) string {
	var some []string
	for _, part := range parts {
		if part != "" {
			some = append(some, part)
		}
	}
	return strings.Join(some, ", ")
}

// name is a mover with what it is, unless its own name says so.
func (p *templates) name(w desk.Who) string {
	what := map[desk.Strip]string{desk.StripDCA: "name.dca", desk.StripGroup: "name.group", desk.StripMain: "name.main"}[w.Strip]
	if what == "" {
		return w.Name
	}
	text, err := p.speaker.localize(what, map[string]any{"of": w.Name})
	if err != nil {
		return w.Name
	}
	// "Low DCA" needs no second "DCA", in whichever order a language puts the two.
	if word := strings.TrimSpace(strings.Replace(text, w.Name, "", 1)); w.Name != "" && hasWord(w.Name, word) {
		return w.Name
	}
	return text
}

func hasWord(name, word string) bool {
	for _, w := range strings.Fields(strings.ToLower(name)) {
		if w == strings.ToLower(word) {
			return true
		}
	}
	return false
}

func (p *templates) first(who []desk.Who) string {
	if len(who) == 0 {
		return ""
	}
	return p.name(who[0])
}

// names is a list as a sentence would have it: "piano, fiddle and accordion".
func (p *templates) names(who []desk.Who) (string, error) { return p.join(who, "name.plain") }

// list is names with the article of the language.
func (p *templates) list(who []desk.Who) (string, error) { return p.join(who, "name.article") }

func (p *templates) join(who []desk.Who, each string) (string, error) {
	var text string
	for i, w := range who {
		name, err := p.speaker.localize(each, map[string]any{"of": p.name(w)})
		if err != nil {
			return "", err
		}
		switch {
		case i == 0:
			text = name
		case i < len(who)-1:
			text += ", " + name
		default:
			if text, err = p.speaker.localize("name.and", map[string]any{"some": text, "last": name}); err != nil {
				return "", err
			}
		}
	}
	return text, nil
}

// capital gives a text the capital that begins a sentence.
func capital(s string) string {
	_, size := utf8.DecodeRuneInString(s)
	return strings.ToUpper(s[:size]) + s[size:]
}

// begins reports whether a text begins with one of some others, whatever its capitals: a
// word may hang on the sound that follows it, as the Spanish "and" does.
func begins(s string, with ...string) bool {
	lower := strings.ToLower(s)
	return slices.ContainsFunc(with, func(w string) bool { return strings.HasPrefix(lower, w) })
}
