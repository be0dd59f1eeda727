package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pawl/oscmap"
)

// What a number means that a person typed.

// markAt reads a mark that was typed: scales print no minus, so what lies below the 0 mark
// is below 0. wrong says why the number cannot be that of where the fader stands.
func (g *Guide) markAt(q question, typed float64, word string) (db float64, said []string, wrong string) {
	db = typed
	c, ok := g.steps.control(q.strip, zero, g.refused)
	if !ok {
		return -math.Abs(db), nil, ""
	}
	x, at0 := c.slot.last, c.at(zero)
	st := g.look(q, math.NaN())
	if st.seen[c.slot].changes == 0 || !x.isNum || !at0.isNum {
		return -math.Abs(db), nil, "" // nothing moved, which is said elsewhere
	}
	if math.IsInf(db, 0) {
		return db, nil, "The bottom is known already. Move it to a mark that has a number, and type that."
	}
	up := 1.0
	if lo, hi := c.at(bottom), at0; lo.isNum && lo.num > hi.num {
		up = -1
	}
	side := up * (x.num - at0.num)
	switch negative := strings.HasPrefix(word, "-") || strings.HasPrefix(word, "−"); {
	case side < 0 && db > 0:
		db = -db
		said = append(said, fmt.Sprintf("It stands below the 0 mark, so %s is taken as %s.", word, plainNumber(db)))
	case side > 0 && negative && db < 0:
		return db, nil, fmt.Sprintf("It stands above the 0 mark, where no %s can be. Type the number printed there, or back to do the 0 mark again.", word)
	}
	for _, o := range c.moves {
		was := o.seen[c.slot].is
		if o.db != o.db || math.IsInf(o.db, 0) || !was.isNum {
			continue
		}
		d := up * (x.num - was.num)
		switch {
		case d == 0 && o.db != db:
			return db, nil, fmt.Sprintf("It still stands where it stood for %s. Move it to another mark, and type the number printed there.", plainNumber(o.db))
		case o.db == db && d != 0:
			return db, nil, fmt.Sprintf("%s was given already, at %s, and now it stands at %s. Type the number printed where it stands now, "+
				"or back, as often as it takes, to give the earlier one again.", plainNumber(db), was.plain(), x.plain())
		case (db-o.db)*d < 0:
			return db, nil, fmt.Sprintf("It stands %s the mark %s, so it cannot be at %s. Type the number printed where it stands now, "+
				"or back to give the earlier one again.", map[bool]string{true: "above", false: "below"}[d > 0], plainNumber(o.db), plainNumber(db))
		}
	}
	return db, said, ""
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
	case q.act == mark && word == "" && q.strip == mainStrip:
		return -10, true
	case slices.Contains(closedWords, strings.TrimSuffix(word, " db")):
		return math.Inf(-1), q.act == mark
	}
	db, rest, ok := oscmap.TextNumber([]byte(word))
	return db, ok && (len(rest) == 0 || string(rest) == "db") && math.Abs(db) <= 200
}
