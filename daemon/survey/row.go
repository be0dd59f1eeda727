package survey

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Row is a shape in figures, for a table or a machine.
type Row struct {
	Address string   `json:"address"`         // with a star for each number or name that varies
	Types   string   `json:"types"`           // OSC type tags; T stands for F as well
	Seen    int      `json:"seen"`            // how many addresses, or values of a first argument
	Which   string   `json:"which,omitempty"` // what stands for the stars: "1–16"
	Example string   `json:"example"`         // one whole address, the first that came
	Count   uint64   `json:"count"`           // messages
	Rate    float64  `json:"rate"`            // messages a second, all addresses together
	Values  []string `json:"values"`          // of each argument: a range, or examples
	Age     float64  `json:"age_s"`           // seconds since the last
	Heard   string   `json:"heard"`           // what the map makes of it; empty for nothing
}

// Rows are all the shapes, those of the same beginning together.
func (s *Survey) Rows() []Row {
	var rows []Row
	for _, sh := range s.Shapes() {
		rows = append(rows, s.row(sh))
	}
	slices.SortStableFunc(rows, func(a, b Row) int { return cmp.Compare(a.Address, b.Address) })
	return rows
}

func (s *Survey) row(sh *Shape) Row {
	r := Row{Address: sh.Pattern(), Seen: len(sh.members), Types: sh.tags(), Which: sh.which(), Example: sh.members[0].address}
	var last time.Duration
	heard := []string{}
	for _, m := range sh.members {
		r.Count += m.count
		last = max(last, m.last)
		if m.heard != "" && !slices.Contains(heard, m.heard) {
			heard = append(heard, m.heard)
		}
	}
	r.Rate = rate(r.Count, s.last-s.first)
	r.Age = (s.last - last).Seconds()
	r.Heard = strings.Join(heard, ", ")
	r.Values = []string{}
	for arg := range sh.args() {
		if sh.byArgument && arg == 0 {
			continue
		}
		if sh.rowFrom(arg) {
			r.Values = append(r.Values, sh.rowValues(arg))
			break
		}
		r.Values = append(r.Values, sh.values(arg))
	}
	return r
}

// tags is the types of the arguments; one that had several has a bracket.
func (s *Shape) tags() string {
	var b strings.Builder
	if s.byArgument {
		b.WriteString("i")
	}
	for arg := range s.args() {
		if s.byArgument && arg == 0 {
			continue
		}
		tags := ""
		for _, t := range s.slotsAt(arg) {
			for _, c := range t.tags {
				if !strings.ContainsRune(tags, c) {
					tags += string(c)
				}
			}
		}
		if len(tags) > 1 {
			tags = "[" + tags + "]"
		}
		if sh := s.args() - arg; s.rowFrom(arg) {
			fmt.Fprintf(&b, "%d×%s", sh, tags)
			break
		}
		b.WriteString(tags)
	}
	return b.String()
}

// slotsAt is argument arg of every member that has it.
func (s *Shape) slotsAt(arg int) []*slot {
	var out []*slot
	for _, m := range s.members {
		if t := m.slotAt(arg); t != nil && t.count > 0 {
			out = append(out, t)
		}
	}
	return out
}

// which is what stands for the stars.
func (s *Shape) which() string {
	var all []string
	for _, v := range s.vars {
		if v.named {
			all = append(all, strings.Join(v.texts[:min(len(v.texts), 3)], ", "))
			continue
		}
		all = append(all, strings.Join(runs(v.texts), ", "))
	}
	return strings.Join(all, "; ")
}

// runs writes rising numbers as "1–16, 41–44".
func runs(texts []string) []string {
	var out []string
	for i := 0; i < len(texts); {
		end := i
		for end+1 < len(texts) && number(texts[end+1]) <= number(texts[end])+1 {
			end++
		}
		if end == i {
			out = append(out, texts[i])
		} else {
			out = append(out, texts[i]+"–"+texts[end])
		}
		i = end + 1
	}
	return out
}

// span is what the numbers of several slots cover.
type span struct {
	lo, hi             float64
	numbers, off, zero uint64
	count, changes     uint64
	whole              bool
}

func spanOf(slots []*slot) span {
	s := span{whole: true}
	for _, t := range slots {
		s.count += t.count
		s.changes += t.changes
		s.numbers += t.numbers
		s.off += t.off
		s.zero += t.zeros
		if t.numbers == t.off {
			continue
		}
		if s.numbers-s.off == t.numbers-t.off {
			s.lo, s.hi = t.lo, t.hi
		}
		s.lo, s.hi = min(s.lo, t.lo), max(s.hi, t.hi)
		s.whole = s.whole && t.whole
	}
	return s
}

// values describes argument arg over all members: a range of numbers, example
// texts, the sizes of blobs.
func (s *Shape) values(arg int) string {
	slots := s.slotsAt(arg)
	if len(slots) == 0 {
		return ""
	}
	if slots[0].blob != nil {
		return blobSizes(slots)
	}
	all := spanOf(slots)
	if all.numbers == 0 || slots[0].isText() && all.numbers < all.count {
		return examples(slots)
	}
	text := figures(all.lo, all.hi, all.whole)
	if all.off == all.numbers {
		text = "-inf"
	} else if all.off > 0 {
		text = "-inf, " + text
	}
	if slots[0].decibels > 0 {
		text += " dB"
	}
	if other := examples(slots); other != "" && all.numbers < all.count {
		text += ", " + other
	}
	return text
}

// rowValues describes a row of values of one type, from argument arg to the end.
func (s *Shape) rowValues(arg int) string {
	all := spanOf(s.rowSlots(arg))
	text := figures(all.lo, all.hi, all.whole)
	if all.off > 0 {
		text = "-inf, " + text
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
	a, b := fmt.Sprintf(format, lo+0), fmt.Sprintf(format, hi+0) // not -0
	switch {
	case a == b:
		return a
	case lo < 0:
		return a + " to " + b // a dash would look like one more minus
	}
	return a + "–" + b
}

func blobSizes(slots []*slot) string {
	lo, hi := slots[0].blob.least, slots[0].blob.most
	for _, t := range slots {
		if t.blob != nil {
			lo, hi = min(lo, t.blob.least), max(hi, t.blob.most)
		}
	}
	if lo == hi {
		return fmt.Sprintf("blob of %d bytes", lo)
	}
	return fmt.Sprintf("blobs of %d to %d bytes", lo, hi)
}

func examples(slots []*slot) string {
	var all []string
	for _, t := range slots {
		for _, text := range t.texts {
			if quoted := fmt.Sprintf("%q", text); !slices.Contains(all, quoted) {
				all = append(all, quoted)
			}
		}
		if len(all) > 3 {
			break
		}
	}
	if len(all) > 3 {
		all = append(all[:3], "…")
	}
	return strings.Join(all, ", ")
}
