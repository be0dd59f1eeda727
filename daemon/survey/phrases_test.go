package survey

import (
	"regexp"
	"strings"
	"testing"

	"pawl/rules"
	"pawl/rules/words"
)

// nestedID is the name of a phrase that was not found where it stands within another.
var nestedID = regexp.MustCompile(`(^|[^/a-z])(guide|press|strip|slot|law)\.[a-z]`)

// sayable wants phrases that every language can say, and that take all that they bring.
func sayable(t *testing.T, all []rules.Phrase) {
	t.Helper()
	for _, p := range all {
		for _, l := range words.Own().Languages() {
			s := words.Own().For(l.Tag)
			said, err := s.Put(p)
			if err != nil || nestedID.MatchString(said) {
				t.Errorf("%s: %+v is %q, %v", l.Tag, p, said, err)
			}
			without := func(what string, q rules.Phrase) {
				if less, err := s.Put(q); err == nil && less == said {
					t.Errorf("%s: %q does not tell the %s of %+v", l.Tag, said, what, p)
				}
			}
			for i, f := range p.Figures {
				q := p
				q.Figures = append(append(rules.Figures{}, p.Figures[:i]...), p.Figures[i+1:]...)
				without(f.Name, q)
			}
			for as := range p.Texts {
				q := p
				q.Texts = rules.Texts{}
				for other, text := range p.Texts {
					if other != as {
						q.Texts[other] = text
					}
				}
				without(as, q)
			}
		}
	}
}

// TestWhatThePageSays: a page has something to press where a terminal has something to type.
func TestWhatThePageSays(t *testing.T) {
	var all []rules.Phrase
	for _, q := range questions() {
		all = append(all, q.phrase())
	}
	all = append(all, question{act: another, n: 9}.phrase(), question{act: second}.phrase())
	sayable(t, all)
	all = OnPage(all)
	sayable(t, all)
	for _, p := range all {
		for _, l := range words.Own().Languages() {
			said := words.Own().For(l.Tag).Say(p)
			if strings.Contains(said, "Enter") || strings.Contains(said, "type none") || strings.Contains(said, "escribe ninguno") {
				t.Errorf("on a page it says %q", said)
			}
		}
	}
	if got := words.Own().For("es").Say(all[len(all)-2]); got != "Mueve el fader del canal 9 un poco arriba y abajo, espera dos segundos y luego pulsa «Hecho». Si no lo hay, pulsa «No hay en esta consola»." {
		t.Errorf("got %q", got)
	}
}

// TestAnswersInEveryLanguage: what a language has for the words of the guide it knows, and so
// it does what its own help and the hint of its page name.
func TestAnswersInEveryLanguage(t *testing.T) {
	for tag, typed := range map[string]map[string]string{
		"en": {"back": "guide.back", " Not  that one": "guide.then-it-is", "that was input 2": "guide.was-another", "it was input 1": "guide.as-asked", "none": "guide.left-out",
			"stop": "guide.stopped", "?": "guide.help", "done": "guide.nothing-changed", "off": "guide.bottom-known", "-10 dB": "guide.saw", "ninguno": "guide.no-number"},
		"es": {"atrás": "guide.back", "Volver": "guide.back", "no ese": "guide.then-it-is", "Ese no es": "guide.then-it-is", "era el canal 2": "guide.was-another",
			"fue la entrada 3": "guide.was-another", "moví el grupo 2": "guide.was-another", "era el canal 1": "guide.as-asked", "ninguno": "guide.left-out", "NINGUNA": "guide.left-out",
			"basta": "guide.stopped", "ayuda": "guide.help", "sí": "guide.nothing-changed", "hecho": "guide.nothing-changed", "cerrado": "guide.bottom-known", "-10,0 dB": "guide.saw",
			"none": "guide.left-out", "not that one": "guide.then-it-is", "era otro": "guide.was-another", "cielo": "guide.no-number"},
	} {
		for line, want := range typed {
			a := newAnswered(t)
			a.say("/in/1/glass", float32(0.5))
			a.say("/in/1/glass", float32(0))
			a.move(1, 0)
			a.want("", "I saw /in/1/")
			a.say("/in/1/glass", float32(1))
			a.move(1, 1)
			a.want("10", "I saw /in/1/")
			switch want {
			case "guide.bottom-known", "guide.saw", "guide.no-number": // where a mark is asked for
				a.say("/in/1/glass", float32(0.75))
				a.move(1, 0.75)
				a.want("", "I saw /in/1/")
				a.say("/in/1/glass", float32(0.5))
				a.move(1, 0.5)
			}
			said := a.g.Tell(words.Own().For(tag).Understood(line))
			sayable(t, said)
			if len(said) == 0 || said[0].ID != want {
				t.Errorf("%s: %q is answered with %+v, want %s", tag, line, said, want)
			}
		}
	}
}
