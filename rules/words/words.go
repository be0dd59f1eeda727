// Package words says findings in a reader's language: it turns the phrases of
// package rules into sentences by a catalogue, one file a language.
//
// A catalogue is a file of templates that a translator can edit, named by its BCP 47
// tag. What differs from language to language (the order of a sentence, plurals, how
// a list is joined, the decimal mark) is decided there or taken from the Unicode
// CLDR; what does not (which number, which mover, units) comes with the phrase. The
// package does no arithmetic and knows no rule.
package words

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"strings"
	"sync"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/language"
	"golang.org/x/text/language/display"
	"golang.org/x/text/message"
	"gopkg.in/yaml.v3"

	"pawl/rules"
	"pawl/rules/desk"
)

//go:embed *.yaml
var files embed.FS

// Default is the language of whoever asks for none.
const Default = "en"

// Catalogues are all languages that Pawl speaks. They may
// be used from any goroutine.
type Catalogues struct {
	speakers map[string]*Speaker
	tags     []string
	matcher  language.Matcher
}

// Language is one that can be chosen.
type Language struct {
	Tag  string `json:"tag"`  // BCP 47: "en"
	Name string `json:"name"` // in itself: "English"
}

// Own are the catalogues that come with the program.
var Own = sync.OnceValue(func() *Catalogues {
	c, err := LoadFrom(files)
	if err != nil {
		panic(err) // a file of ours, which the tests read
	}
	return c
})

// LoadFrom reads every catalogue of a folder, one *.yaml a language. The default comes
// first, so that it is what a reader of an unknown language gets.
func LoadFrom(from fs.FS) (*Catalogues, error) {
	names, err := fs.Glob(from, "*.yaml")
	if err != nil {
		return nil, err
	}
	bundle := i18n.NewBundle(language.MustParse(Default))
	bundle.RegisterUnmarshalFunc("yaml", yaml.Unmarshal)
	c, labels := &Catalogues{speakers: map[string]*Speaker{}}, map[string]map[string]map[string]string{}
	for _, name := range names {
		text, err := fs.ReadFile(from, name)
		if err != nil {
			return nil, err
		}
		file, err := bundle.ParseMessageFileBytes(text, path.Base(name))
		if err != nil {
			return nil, fmt.Errorf("words: %s: %w", name, err)
		}
		labels[file.Tag.String()] = labelsIn(file)
	}
	for _, tag := range bundle.LanguageTags() {
		s := &Speaker{tag: tag, localizer: i18n.NewLocalizer(bundle, tag.String()), printer: message.NewPrinter(tag)}
		s.templates, s.labels = newTemplates(s), labels[tag.String()]
		c.speakers[tag.String()] = s
		c.tags = append(c.tags, tag.String())
	}
	c.matcher = language.NewMatcher(bundle.LanguageTags())
	return c, nil
}

// Languages lists what can be chosen, the default first.
func (c *Catalogues) Languages() []Language {
	out := make([]Language, 0, len(c.tags))
	for _, tag := range c.tags {
		t := language.MustParse(tag)
		out = append(out, Language{tag, display.Self.Name(t)})
	}
	return out
}

// String lists the tags.
func (c *Catalogues) String() string { return strings.Join(c.tags, ", ") }

// Has reports whether there is a catalogue of exactly this language.
func (c *Catalogues) Has(tag string) bool { return c.speakers[tag] != nil }

// For is the speaker of the nearest language to the wanted ones, each a tag or a
// list of them as browsers send it; of the default if none is near.
func (c *Catalogues) For(wanted ...string) *Speaker {
	_, i := language.MatchStrings(c.matcher, wanted...)
	return c.speakers[c.tags[i]]
}

// Speaker says phrases in one language. It may be used from any goroutine.
type Speaker struct {
	tag       language.Tag
	localizer *i18n.Localizer
	templates *templates
	printer   *message.Printer
	labels    map[string]map[string]string // by section and name
}

// Pages are the sections of a catalogue that are the fixed texts of pages: what all of
// them share and Watch has, and what only one of the others has.
var Pages = []string{"page", "page-review", "page-line-check", "page-setup", "page-coach", "page-first", "page-pair"}

// Glosses is the section of a catalogue that says what words of the trade mean: for each
// its words, with commas between, and one sentence.
const Glosses = "gloss"

// Labels are the fixed texts that every page has, by name without their section. A name in
// braces in one is put in by the page. One that has several forms stands there once for each,
// with the plural's name of the CLDR behind a point: "moves.one".
func (s *Speaker) Labels() map[string]string { return s.LabelsOf("page") }

// LabelsOf are the labels of some sections together.
func (s *Speaker) LabelsOf(sections ...string) map[string]string {
	all := map[string]string{}
	for _, section := range sections {
		maps.Copy(all, s.labels[section])
	}
	return all
}

// labelsIn are those of the sections of a catalogue that are for pages.
func labelsIn(file *i18n.MessageFile) map[string]map[string]string {
	labels := map[string]map[string]string{}
	for _, section := range Pages {
		labels[section] = map[string]string{}
	}
	labels[Glosses], labels[typed] = map[string]string{}, map[string]string{}
	for _, m := range file.Messages {
		section, name, _ := strings.Cut(m.ID, ".")
		if section == Glosses {
			name = m.ID
		}
		if labels[section] == nil {
			continue
		}
		forms := map[string]string{"zero": m.Zero, "one": m.One, "two": m.Two, "few": m.Few, "many": m.Many}
		maps.DeleteFunc(forms, func(_, text string) bool { return text == "" })
		if len(forms) == 0 {
			labels[section][name] = m.Other
			continue
		}
		forms["other"] = m.Other
		for form, text := range forms {
			labels[section][name+"."+form] = text
		}
	}
	return labels
}

// Tag is the language's BCP 47 tag.
func (s *Speaker) Tag() string { return s.tag.String() }

// Say is a phrase in words; of one that says nothing it is "". A phrase that the
// catalogue lacks, which no build that passed its tests has, is said by its ID.
func (s *Speaker) Say(p rules.Phrase) string {
	if p.ID == "" {
		return ""
	}
	text, err := s.Put(p)
	if err != nil {
		return p.ID
	}
	return text
}

// Put is Say with what was wrong: a phrase that the catalogue lacks, or one that takes
// a figure that was not given.
func (s *Speaker) Put(p rules.Phrase) (string, error) {
	data := make(map[string]any, len(p.Figures)+len(p.Who))
	var plural any // the first count decides which form is taken
	for _, f := range p.Figures {
		data[f.Name] = f
		if f.Unit == rules.Count && plural == nil {
			plural = int(f.Value)
		}
	}
	for as, who := range p.Who {
		data[as] = who
	}
	for as, text := range p.Texts {
		data[as] = text
	}
	if plural != nil {
		text, err := s.localizer.Localize(&i18n.LocalizeConfig{MessageID: p.ID, TemplateData: data, PluralCount: plural, TemplateParser: s.templates})
		if err == nil {
			return text, nil
		} // a phrase with one form for all counts has none for this one
	}
	return s.localize(p.ID, data)
}

func (s *Speaker) localize(id string, data map[string]any) (string, error) {
	return s.localizer.Localize(&i18n.LocalizeConfig{MessageID: id, TemplateData: data, TemplateParser: s.templates})
}

// Why is why something was not done: a refusal in words, and what no person is meant to
// meet as it says itself.
func (s *Speaker) Why(err error) string {
	if refusal := (*rules.Refusal)(nil); errors.As(err, &refusal) {
		return s.Say(refusal.Says)
	}
	return err.Error()
}

// Entry gives an entry with its words; one without any as it is. e itself is not changed.
func (s *Speaker) Entry(e rules.Entry) rules.Entry { return Entry(e, s, s.Finding, s.Label) }

// Entry is Speaker.Entry with the words of findings and the labels of movers from
// wherever the caller keeps them.
func Entry(e rules.Entry, s *Speaker, finding func(*rules.Finding) *rules.Finding, label func(desk.Who) desk.Who) rules.Entry {
	switch e := e.(type) {
	case *rules.Finding:
		return finding(e)
	case *rules.Moved:
		said := *e
		said.Who = label(e.Who)
		return &said
	case *rules.LineChecked:
		return s.LineChecked(e)
	}
	return e
}

// Label gives a mover with its label: what the operator calls it, with what it is.
func (s *Speaker) Label(w desk.Who) desk.Who {
	w.Label = s.templates.name(w)
	return w
}

// Basis qualifies figures that do not rest on meters alone, or that the desk's own
// main meter does not bear out; "" if nothing needs saying.
func (s *Speaker) Basis(b desk.Basis, explained bool) string {
	var texts []string
	if b == desk.OnFaders || b == desk.Partly {
		texts = append(texts, s.Say(rules.Say("basis."+string(b))))
	}
	if !explained {
		texts = append(texts, s.Say(rules.Say("basis.unexplained")))
	}
	return strings.Join(texts, " ")
}

// Finding gives f with its words. f itself is not changed.
func (s *Speaker) Finding(f *rules.Finding) *rules.Finding {
	if f == nil {
		return nil
	}
	said := *f
	said.About, said.Inputs, said.What, said.Facts = list(f.About), list(f.Inputs), list(f.What), list(f.Facts)
	w := &rules.Words{What: make([]string, 0, len(f.What)), Facts: make([]string, 0, len(f.Facts))}
	for _, p := range f.What {
		w.What = append(w.What, s.Say(p))
	}
	for _, fact := range f.Facts {
		w.Facts = append(w.Facts, s.Say(fact.Phrase))
	}
	w.Try, w.Then = s.Say(f.Try), s.Say(f.Then)
	if f.HeldBack != nil {
		w.HeldBack = s.Say(*f.HeldBack)
	}
	said.Words = w
	return &said
}

// list is a list that is written as JSON: an empty one rather than null.
func list[T any](of []T) []T {
	if of == nil {
		return []T{}
	}
	return of
}
