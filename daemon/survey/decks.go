package survey

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// joinDecks makes one shape of those that say the same of the strips of several decks, where a
// hand has shown which follows which.
func (d *drafter) joinDecks() {
	p, ok := d.guide.family(d.shapes, inputStrip, d.refused)
	if !ok || p.index != 0 || p.named || p.row {
		return
	}
	others := d.guide.otherDecks(d.shapes, &p, d.refused)
	if len(others) == 0 {
		return
	}
	own := p.shape.parts[0]
	d.decks = []deck{{own, p.from, p.n, 1}}
	for _, n := range d.survey.goesOn(d.shapes, inputStrip, &p, d.rows, len(others)) {
		a, asked := shown(d.rows, inputStrip, n)
		o, ok := locate(d.shapes, a.slot0())
		if !asked || !ok || len(o.shape.parts) != 2 {
			if !a.none {
				d.apart = fmt.Sprintf("But %s* is of the same form, and nothing tells whether these are further inputs: if they are, there is a line for each.", others[len(d.decks)-1])
			}
			break
		}
		o.count(never)
		d.decks = append(d.decks, deck{o.shape.parts[0], o.from, o.n, n})
	}
	for i, dk := range d.decks[1:] {
		if number(p.at[0])-p.from+1 != 1 || slices.ContainsFunc(d.decks[:i+1], func(o deck) bool { return o.prefix == dk.prefix }) {
			d.decks = d.decks[:1]
			d.apart = "But what a hand showed of the further inputs does not fit together."
			return
		}
	}
	for _, dk := range d.decks[1:] {
		d.join(own, p.from, dk)
	}
}

// slot0 is the slot that was shown, or one that is nowhere.
func (a along) slot0() *slot {
	if a.slot == nil {
		return &slot{stream: &stream{}}
	}
	return a.slot
}

// join puts the strips of a deck behind those of the first.
func (d *drafter) join(own string, from int, dk deck) {
	for _, sh := range slices.Clone(d.shapes) {
		if len(sh.parts) != 2 || sh.parts[0] != own || len(sh.vars) != 1 || sh.byArgument {
			continue
		}
		i := slices.IndexFunc(d.shapes, func(o *shape) bool {
			return o.parts[0] == dk.prefix && len(o.parts) == 2 && o.parts[1] == sh.parts[1] && len(o.vars) == 1 && !o.byArgument && o.wordAt == sh.wordAt && o.word == sh.word
		})
		if i < 0 {
			continue
		}
		for _, m := range d.shapes[i].members {
			k := number(m.at[0]) - dk.from
			if k < 0 || k >= dk.n {
				continue
			}
			text := strconv.Itoa(from + dk.first - 1 + k)
			sh.vars[0].texts = append(sh.vars[0].texts, text)
			sh.members = append(sh.members, member{[]string{text}, m.stream})
		}
		d.shapes = slices.Delete(d.shapes, i, i+1)
	}
}

// perDeck is an entry for each deck of what one is written for, if the strips are at several.
func (d *drafter) perDeck(e entry) (all []entry) {
	all = []entry{e}
	if len(d.decks) == 0 {
		return all
	}
	first := d.decks[0]
	before, rest, ok := strings.Cut(e.hear[0], "{input:")
	span, after, _ := strings.Cut(rest, "}")
	if !ok || before != "hear: "+first.prefix {
		return all
	}
	if d.apart != "" {
		all[0].unsure = true
		all[0].because("%s", d.apart)
	}
	if len(d.decks) == 1 {
		return all
	}
	digits, _, _ := strings.Cut(span, "-")
	width := len(digits)
	all = nil
	for i, dk := range d.decks {
		one := e
		one.why, one.hear = slices.Clone(e.why), slices.Clone(e.hear)
		span := numeral(dk.from, width) + "-" + numeral(dk.from+dk.n-1, width)
		if dk.from != dk.first {
			span += fmt.Sprintf("=%d", dk.first)
		}
		one.hear[0] = "hear: " + dk.prefix + "{input:" + span + "}" + after
		if i > 0 {
			one.why = []string{fmt.Sprintf("The next of them, inputs %d to %d.", dk.first, dk.first+dk.n-1)}
		}
		all = append(all, one)
	}
	return all
}

// order tells in what order the names of a kind of strip stand in its addresses, where they are
// the desk's own: as they were heard, if the first, the second and the last are as a hand showed.
func (d *drafter) order(s strip, p *place) {
	if !p.named || p.index < 0 || d.survey.callsByName(p) {
		return
	}
	texts := p.shape.vars[p.index].texts
	seen := func(n int) bool {
		a, _ := shown(d.rows, s, n)
		o, ok := locate(d.shapes, a.slot0())
		return ok && o.shape == p.shape && o.at[p.index] == texts[n-1]
	}
	if n := len(texts); n < 2 || texts[0] != p.at[p.index] || !seen(2) || !seen(n) {
		d.foreign[s] = fmt.Sprintf("But these names are the desk's own, as colours are, and nothing tells which is of which %s: write them in their order, as {%s:%s}.", s, s, strings.Join(texts, ","))
		return
	}
	p.list = texts
}
