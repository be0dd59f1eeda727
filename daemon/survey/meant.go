package survey

import (
	"math"
	"slices"
	"strings"

	"pawl/oscmap"
	"pawl/rules"
)

// What a number means that a person typed.

// markAt reads a mark that was typed: scales print no minus, so what lies below the 0 mark
// is below 0. wrong says why the number cannot be that of where the fader stands.
func (g *Guide) markAt(q question, typed float64, word string) (db float64, said []rules.Phrase, wrong rules.Phrase) {
	db = typed
	c, ok := g.steps.control(q.strip, zero, g.refused)
	if !ok {
		return -math.Abs(db), nil, rules.Phrase{}
	}
	x, at0 := c.slot.last, c.at(zero)
	st := g.look(q, math.NaN())
	if st.seen[c.slot].changes == 0 || !x.isNum || !at0.isNum {
		return -math.Abs(db), nil, rules.Phrase{} // nothing moved, which is said elsewhere
	}
	if math.IsInf(db, 0) {
		return db, nil, rules.Say("guide.bottom-known")
	}
	up := 1.0
	if lo, hi := c.at(bottom), at0; lo.isNum && lo.num > hi.num {
		up = -1
	}
	side := up * (x.num - at0.num)
	switch negative := strings.HasPrefix(word, "-") || strings.HasPrefix(word, "−"); {
	case side < 0 && db > 0:
		db = -db
		said = append(said, put(rules.Say("guide.below-zero", bare("db", db)), asTyped(word)))
	case side > 0 && negative && db < 0:
		return db, nil, put(rules.Say("guide.above-zero"), asTyped(word), byBack)
	}
	for _, o := range c.moves {
		was := o.seen[c.slot].is
		if o.db != o.db || math.IsInf(o.db, 0) || !was.isNum {
			continue
		}
		d := up * (x.num - was.num)
		switch {
		case d == 0 && o.db != db:
			return db, nil, rules.Say("guide.same-place", bare("mark", o.db))
		case o.db == db && d != 0:
			return db, nil, put(rules.Say("guide.given", bare("mark", db)), was.as("was"), x.as("is"), byBack)
		case db < o.db && d > 0:
			return db, nil, put(rules.Say("guide.above-mark", bare("mark", o.db), bare("db", db)), byBack)
		case db > o.db && d < 0:
			return db, nil, put(rules.Say("guide.below-mark", bare("mark", o.db), bare("db", db)), byBack)
		}
	}
	return db, said, rules.Phrase{}
}

// closedWords are how scales print their bottom.
var closedWords = []string{"∞", "-∞", "−∞", "oo", "-oo", "−oo", "inf", "-inf", "infinity", "-infinity", "off", "closed"}

// expects reads the number that belongs to a question.
func (q question) expects(word string) (db float64, ok bool) {
	switch {
	case q.act == bottom:
		return math.Inf(-1), true
	case q.act == zero || !q.act.isFader():
		return 0, true
	case q.act == top && word == "":
		return math.NaN(), true
	case q.act == mark && word == "" && q.strip != inputStrip:
		return -10, true
	case slices.Contains(closedWords, strings.TrimSuffix(word, " db")):
		return math.Inf(-1), q.act == mark
	}
	db, rest, ok := oscmap.TextNumber([]byte(word))
	return db, ok && (len(rest) == 0 || string(rest) == "db") && math.Abs(db) <= 200
}
