package survey

import (
	"math"
	"slices"
	"strings"

	"pawl/rules"
)

// Strips of one kind may have two addresses or more: an upper deck with 1 to 8, and a lower
// deck with 1 to 8 again. Or they have names that the desk gives them, as colours are, and
// nothing says in what order. Which it is, only a hand can show: the guide asks for the first
// strip beyond those that are known, and for the second and the last of those with names.

// mostParts is how many addresses the strips of one kind are looked for at.
const mostParts = 4

// deck is the strips of a kind whose addresses begin alike.
type deck struct {
	prefix string // what stands before the number
	from   int    // the first number there
	n      int
	first  int // which strip that is, counted from 1
}

// decks are the beginnings of addresses that are as those of a kind of strip but for one
// segment: what is said of the one is said of the other.
func decks(shapes []*shape, p *place) (all []string) {
	if p.index != 0 || p.named || p.row || p.byArgument() {
		return nil
	}
	own := map[string]bool{}
	for _, sh := range shapes {
		if len(sh.parts) == 2 && sh.parts[0] == p.shape.parts[0] && sh.parts[1] != "" {
			own[sh.parts[1]] = true
		}
	}
	for _, sh := range shapes {
		if len(sh.parts) == 2 && own[sh.parts[1]] && len(sh.members) > 1 && !sh.byArgument && !sh.vars[0].named && nearly(sh.parts[0], p.shape.parts[0]) &&
			number(sh.lowest().at[0]) == p.from && !slices.Contains(all, sh.parts[0]) {
			all = append(all, sh.parts[0])
		}
	}
	return all
}

// otherDecks are the decks of the inputs that are no other kind of strip's.
func (all steps) otherDecks(shapes []*shape, p *place, refused []refusal) []string {
	found := decks(shapes, p)
	for s := dcaStrip; s <= mainStrip; s++ {
		if c, ok := all.control(s, zero, refused); ok {
			if o, ok := locate(shapes, c.slot); ok {
				found = slices.DeleteFunc(found, func(prefix string) bool { return o.shape.parts[0] == prefix })
			}
		}
	}
	return found
}

// beyond is what has to be asked of a kind of strip once its faders are known.
func (g *Guide) beyond() []question {
	shapes := g.survey.shapes()
	for _, s := range []strip{inputStrip, groupStrip, dcaStrip} {
		p, ok := g.steps.family(shapes, s, g.refused)
		if !ok || p.index < 0 || p.row {
			continue
		}
		var ask []int
		switch {
		case p.named && !g.survey.callsByName(&p):
			ask = []int{2, p.n}
		case s == inputStrip:
			found := g.steps.otherDecks(shapes, &p, g.refused)
			ask = g.survey.goesOn(shapes, s, &p, g.rows, len(found))
		}
		for _, n := range ask {
			if _, asked := shown(g.rows, s, n); !asked && n > 1 && n <= maxFirsts {
				return []question{{strip: s, act: another, n: n}}
			}
		}
	}
	return nil
}

// family is the place of the faders of a kind of strip.
func (all steps) family(shapes []*shape, s strip, refused []refusal) (place, bool) {
	c, ok := all.control(s, zero, refused)
	if !ok {
		return place{}, false
	}
	p, ok := locate(shapes, c.slot)
	if !ok || !p.shape.writable() {
		return place{}, false
	}
	var others []place
	for o := inputStrip; o <= mainStrip; o++ {
		if c, ok := all.control(o, zero, refused); ok && o != s {
			if q, ok := locate(shapes, c.slot); ok {
				others = append(others, q)
			}
		}
	}
	p.bound(s, others)
	return p, true
}

// goesOn is which strips would be the first of each further deck, as far as a hand has shown,
// and the one to ask for.
func (s *Survey) goesOn(shapes []*shape, kind strip, p *place, rows []along, decks int) (ask []int) {
	next := p.n + 1
	for range min(decks, mostParts) {
		ask = append(ask, next)
		a, _ := shown(rows, kind, next)
		if a.slot == nil {
			break
		}
		o, ok := locate(shapes, a.slot)
		if !ok {
			break
		}
		o.count(never)
		next += o.n
	}
	return ask
}

// callsByName reports whether the names in a place's addresses are those that people gave:
// words for what plays, or what the desk says elsewhere too. Others are the desk's own.
func (s *Survey) callsByName(p *place) bool {
	said := set{}
	s.eachSlot(func(t *slot) {
		if t.isText() {
			for _, text := range t.texts {
				said[plainName(text)] = true
			}
		}
	})
	given := 0
	texts := p.shape.vars[p.index].texts
	for _, name := range texts {
		if said[plainName(name)] || partOf(strings.ReplaceAll(name, "_", " ")).by != "" {
			given++
		}
	}
	return 2*given >= len(texts)
}

// plainName is a name without what an address cannot hold.
func plainName(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return strings.ContainsRune(" _-.", r) }), " ")
}

// showBeyond sees where a strip is that was asked for.
func (g *Guide) showBeyond() []rules.Phrase {
	q := g.queue[0]
	c, _ := g.steps.control(q.strip, zero, g.refused)
	shapes := g.survey.shapes()
	p, ok := g.steps.family(shapes, q.strip, g.refused)
	st := g.look(q, math.NaN())
	var found []*slot
	for t, s := range st.seen {
		if !ok || s.changes == 0 || t == c.slot || t.arg != c.slot.arg || t.isCell() || !t.stream.seen() || !t.numeric() || !g.steps.stood(t) {
			continue
		}
		if o, ok := locate(shapes, t); ok && (p.named && o.shape == p.shape || !p.named && o.shape != p.shape && len(o.shape.parts) == len(p.shape.parts) &&
			slices.Equal(o.shape.parts[1:], p.shape.parts[1:]) && nearly(o.shape.parts[0], p.shape.parts[0])) {
			found = append(found, t)
		}
	}
	return g.tookAlong(q, found)
}
