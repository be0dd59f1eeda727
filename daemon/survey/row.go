package survey

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Row is what differs in nothing but its strips, in figures, for a table or a machine.
type Row struct {
	Address string   `json:"address"`         // with a star for each number or name that varies
	Types   string   `json:"types"`           // OSC type tags; T stands for F as well
	Seen    int      `json:"seen"`            // how many addresses, or values of a first argument
	Which   string   `json:"which,omitempty"` // what stands for the stars: "1–16"
	Example string   `json:"example"`         // one whole address, the first that came
	Count   uint64   `json:"count"`           // messages
	Rate    float64  `json:"rate"`            // messages a second, all addresses together
	Values  []string `json:"values"`          // of each argument, as they came: a range, or examples
	Age     float64  `json:"age_s"`           // seconds since the last
	Heard   []Heard  `json:"heard"`           // what the map reads from it
	Left    []string `json:"left"`            // what it does not read of messages that it hears
}

// Rows are all the shapes, those of the same beginning together.
func (s *Survey) Rows() []Row {
	var rows []Row
	for _, sh := range s.shapes() {
		rows = append(rows, s.row(sh))
	}
	slices.SortStableFunc(rows, func(a, b Row) int { return cmp.Compare(a.Address, b.Address) })
	return rows
}

func (s *Survey) row(sh *shape) Row {
	r := Row{Address: sh.pattern(), Seen: len(sh.members), Which: sh.which(), Example: sh.members[0].shown, Values: []string{}}
	var last time.Duration
	var all hearing
	for _, m := range sh.members {
		r.Count += m.count
		last = max(last, m.last)
		all.merge(&m.hearing)
	}
	if over := s.last - s.first; over > 0 && r.Count > 1 {
		r.Rate = float64(r.Count) / over.Seconds()
	}
	r.Age = (s.last - last).Seconds()
	r.Heard, r.Left = all.rows()
	arg := 0
	keys := func() {
		for ; sh.isKey(arg); arg++ {
			r.Types += map[bool]string{true: "s", false: "i"}[arg == sh.wordAt]
		}
	}
	for c := range sh.columns() {
		keys()
		r.Types += c.types()
		r.Values = append(r.Values, c.values())
		arg = c.arg + 1
	}
	keys()
	return r
}

// types is the type of the argument; one that had several has a bracket.
func (c *column) types() string {
	text := c.tags
	if len(text) > 1 {
		text = "[" + text + "]"
	}
	if c.row {
		return fmt.Sprintf("%d×%s", len(c.slots), text)
	}
	return text
}

// which is what stands for the stars.
func (s *shape) which() string {
	var all []string
	for _, v := range s.vars {
		texts := v.texts[:min(len(v.texts), 3)]
		if !v.named {
			texts = runs(v.texts)
		}
		all = append(all, strings.Join(texts, ", "))
	}
	return strings.Join(all, "; ")
}

// runs writes rising numbers as "1–16, 41–44".
func runs(texts []string) (out []string) {
	for i := 0; i < len(texts); {
		end := i
		for end+1 < len(texts) && number(texts[end+1]) <= number(texts[end])+1 {
			end++
		}
		text := texts[i]
		if end > i {
			text += "–" + texts[end]
		}
		out = append(out, text)
		i = end + 1
	}
	return out
}

// values describes the argument: a range of numbers, example texts, the sizes of
// blobs.
func (c *column) values() string {
	switch {
	case c.tags == "b" && c.least == c.most:
		return fmt.Sprintf("blob of %d bytes", c.least)
	case c.tags == "b":
		return fmt.Sprintf("blobs of %d to %d bytes", c.least, c.most)
	case c.numbers+c.off == 0 || c.isText() && !c.numeric():
		return c.examples()
	}
	text := figures(c.lo, c.hi, c.whole)
	switch {
	case c.numbers == 0:
		text = "-inf"
	case c.off > 0:
		text = "-inf, " + text
	}
	if c.decibels > 0 {
		text += " dB"
	}
	if other := c.examples(); other != "" && !c.numeric() {
		text += ", " + other
	}
	return text
}

func figures(lo, hi float64, whole bool) string {
	format := "%.2f"
	if whole {
		format = "%.0f"
	} else if max(hi, -lo) < 0.01 {
		format = "%.1e"
	}
	return ranged(format, lo, hi)
}

// ranged is two numbers, or one if both are written alike.
func ranged(format string, lo, hi float64) string {
	a, b := fmt.Sprintf(format, lo+0), fmt.Sprintf(format, hi+0) // not -0
	switch {
	case a == b:
		return a
	case lo < 0:
		return a + " to " + b // a dash would look like one more minus
	}
	return a + "–" + b
}

func (t *tally) examples() string {
	var all []string
	for _, text := range t.texts[:min(len(t.texts), 3)] {
		all = append(all, fmt.Sprintf("%q", text))
	}
	if len(t.texts) > 3 {
		all = append(all, "…")
	}
	return strings.Join(all, ", ")
}
