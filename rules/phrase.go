package rules

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"pawl/rules/desk"
)

// Phrase is something to be said, as facts: the words are found in a catalogue by
// ID when it is known who reads them. The zero value says nothing.
type Phrase struct {
	ID      string  `json:"id"` // of the catalogue: "ratchet.turns"
	Figures Figures `json:"figures,omitzero"`
	Who     Cast    `json:"who,omitzero"`
	Texts   Texts   `json:"texts,omitzero"` // what is quoted as it is, by name
}

// Texts are words that are nobody's to translate: an address, a file's own faults.
type Texts map[string]string

// Say makes a phrase.
func Say(id string, figures ...Figure) Phrase { return Phrase{ID: id, Figures: figures} }

// Quoting adds a text that the phrase quotes.
func (p Phrase) Quoting(as, text string) Phrase {
	all := Texts{}
	maps.Copy(all, p.Texts)
	all[as] = text
	p.Texts = all
	return p
}

// Cast is the movers that a phrase names, by what they are in it.
type Cast map[string][]desk.Who

// Unit is what a figure counts.
type Unit string

// The units of figures.
const (
	Decibels  Unit = "db"      // a change or a setting
	FullScale Unit = "dbfs"    // a level
	Seconds   Unit = "seconds" // a length of time
	Count     Unit = "count"
)

// Figure is one number with its name and unit.
type Figure struct {
	Name  string
	Value float64 // minus infinity for a closed fader or no level at all
	Unit  Unit
}

// Figures are numbers in the order in which they are told. As JSON they are one
// object, with the unit in each name: {"rise_db":2.6}. Infinities are null.
type Figures []Figure

// DB is a figure of a change or a setting.
func DB(name string, v desk.DB) Figure { return Figure{name, float64(v), Decibels} }

// Level is a figure of a level.
func Level(name string, v desk.DBFS) Figure { return Figure{name, float64(v), FullScale} }

// Time is a figure of a length of time.
func Time(name string, d time.Duration) Figure { return Figure{name, d.Seconds(), Seconds} }

// Number is a figure of a count.
func Number(name string, n int) Figure { return Figure{name, float64(n), Count} }

// Of is the value of a figure, or false if there is none of that name.
func (f Figures) Of(name string) (float64, bool) {
	i := slices.IndexFunc(f, func(g Figure) bool { return g.Name == name })
	if i < 0 {
		return 0, false
	}
	return f[i].Value, true
}

// MarshalJSON writes three decimals, which is finer than anything is measured.
func (f Figures) MarshalJSON() ([]byte, error) {
	b := make([]byte, 0, 24*len(f)+2)
	b = append(b, '{')
	for i, g := range f { // names are ours and need no escape
		if i > 0 {
			b = append(b, ',')
		}
		b = append(b, '"')
		b = append(append(append(b, g.Name...), '_'), g.Unit...)
		b = append(append(b, '"', ':'), desk.JSON(g.Value)...)
	}
	return append(b, '}'), nil
}

// UnmarshalJSON reads what MarshalJSON wrote, in the same order. A null is taken for
// minus infinity.
func (f *Figures) UnmarshalJSON(b []byte) error {
	*f = nil
	if string(b) == "null" {
		return nil
	}
	in := json.NewDecoder(bytes.NewReader(b))
	if open, err := in.Token(); err != nil || open != json.Delim('{') {
		return fmt.Errorf("figures are no object: %s", b)
	}
	for in.More() {
		key, err := in.Token()
		if err != nil {
			return err
		}
		var v *float64
		if err := in.Decode(&v); err != nil {
			return err
		}
		name, _ := key.(string)
		cut := strings.LastIndexByte(name, '_')
		if cut < 0 {
			return fmt.Errorf("figure %q has no unit in its name", name)
		}
		g := Figure{Name: name[:cut], Value: math.Inf(-1), Unit: Unit(name[cut+1:])}
		if v != nil {
			g.Value = *v
		}
		*f = append(*f, g)
	}
	return nil
}

// Naming adds the movers that the phrase names as this.
func (p Phrase) Naming(as string, who ...desk.Who) Phrase {
	cast := Cast{}
	maps.Copy(cast, p.Who)
	cast[as] = who
	p.Who = cast
	return p
}
