package survey

import (
	"slices"
	"strings"
	"unicode"
)

// The last bank of a desk may have more places than there are strips left. What stands there is
// told like all else, and only the names say that it is of nothing: they are a dash, or empty.

// withoutSpares are the banks of a place, the last cut down to what has a name.
func (d *drafter) withoutSpares(all []bank) []bank {
	if len(all) > 1 {
		last := &all[len(all)-1]
		last.row = last.row[:len(last.row)-d.spares(&last.place, last.row)]
	}
	return all
}

// spares is how many of a row's last values are of places without a name: by the texts, as many
// as the row has values, of a message of the same bank.
func (d *drafter) spares(p *place, row []*slot) (n int) {
	for _, sh := range d.shapes {
		if len(sh.vars) != len(p.shape.vars) || sh.parts[0] != p.shape.parts[0] {
			continue
		}
		for _, m := range sh.members {
			k := len(m.slots) - len(row)
			if k < 0 || !slices.Equal(m.at, p.at) || slices.ContainsFunc(m.slots[k:], func(t *slot) bool { return !t.isText() || t.isKey() }) {
				continue
			}
			blank := 0
			for blank < len(row) && !isName(m.slots[len(m.slots)-1-blank].last.text) {
				blank++
			}
			if len(row)-blank >= fewestNames && !slices.ContainsFunc(m.slots[k:len(m.slots)-blank], func(t *slot) bool { return !isName(t.last.text) }) {
				n = max(n, blank)
			}
		}
	}
	return n
}

// isName reports whether a text may be a name: it has a letter or a digit.
func isName(text string) bool {
	return strings.ContainsFunc(text, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) })
}
