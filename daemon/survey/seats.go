package survey

import (
	"slices"
	"strings"
	"unicode"
)

// A desk may have the faders of a kind of strip by name and the rest by number, or the other way
// round: then the names that it says for the numbers tell which is which.

// seat notes where a kind of strip's names stand by number, if its faders go by the same names.
func (d *drafter) seat(s strip, names place) {
	f := &d.known[s].place
	if !d.known[s].ok || !f.named || f.list != nil || names.named || names.index < 0 || len(names.slots) != f.n {
		return
	}
	called := set{}
	for _, name := range f.shape.vars[f.index].texts {
		called[bareName(name)] = true
	}
	said := set{}
	for _, t := range names.slots {
		name := bareName(t.last.text)
		if !called[name] || said[name] { // two of a name tell neither
			return
		}
		said[name] = true
	}
	d.seats[s] = &names
}

// seated is a meter of numbers that are a kind of strip's by their names, and which of its slots
// is that of the strip that was asked about.
func (d *drafter) seated(m *meter, s strip) (p place, asked *slot, ok bool) {
	seats, f := d.seats[s], &d.known[s].place
	if seats == nil {
		return place{}, nil, false
	}
	if p, ok = seats.beside(m.shape.column(m.arg)); !ok || len(p.slots) != len(seats.slots) {
		return place{}, nil, false
	}
	first := bareName(f.at[f.index])
	i := slices.IndexFunc(seats.shape.members, func(o member) bool {
		t := o.slotAt(seats.arg)
		return t != nil && bareName(t.last.text) == first
	})
	if i < 0 {
		return place{}, nil, false
	}
	number := seats.shape.members[i].at[seats.index]
	i = slices.IndexFunc(p.shape.members, func(o member) bool { return o.at[p.index] == number })
	if i < 0 {
		return place{}, nil, false
	}
	asked = p.shape.members[i].slotAt(p.arg)
	return p, asked, asked != nil
}

// bareName is what is the same of a name in a text and in an address, which cannot hold all of it.
func bareName(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, text)
}
