package oscmap

import (
	"fmt"
	"slices"
	"strings"

	"pawl/rules/desk"
)

// Doubt is one line of the map some of whose values were not what the line says:
// a sign that the map does not fit the desk.
type Doubt struct {
	Line    int           // in the file
	Address string        // as the map writes it
	Signals []desk.Signal // that the line carries; each value is counted once for all of them

	Clamped uint64 // values taken for the end of the signal's range, or of the taper
	Refused uint64 // values that could not be one of the signal

	// Outside is how many of the two lay outside the points of the line's taper.
	// Least and Greatest are the extremes of those, as positions, and 0 if there
	// are none.
	Outside         uint64
	Least, Greatest float64

	// Taper is the taper's name, and Bottom and Top are its first and last position.
	// They are "" and 0 for a line without one.
	Taper       string
	Bottom, Top float64
}

// String is a sentence for whoever writes the map.
func (d Doubt) String() string {
	var said []string
	if d.Outside > 0 {
		said = append(said, fmt.Sprintf("%d values outside the taper \"%s\", which goes from %v to %v: they were %s",
			d.Outside, d.Taper, d.Bottom, d.Top, between(d.Least, d.Greatest)))
	}
	if d.Clamped > 0 {
		said = append(said, fmt.Sprintf("%d clamped", d.Clamped))
	}
	if d.Refused > 0 {
		said = append(said, fmt.Sprintf("%d refused", d.Refused))
	}
	return fmt.Sprintf("line %d, %s: %s", d.Line, d.Address, strings.Join(said, "; "))
}

func between(lo, hi float64) string {
	if lo == hi {
		return fmt.Sprintf("%.4g", lo)
	}
	return fmt.Sprintf("%.4g to %.4g", lo, hi)
}

// Doubts lists the lines of which a value was clamped or refused since the Hearer
// was made, in the order of the map.
func (h *Hearer) Doubts() (doubts []Doubt) {
	for i, l := range h.m.lines {
		n := h.doubts[i]
		if n.clamped+n.refused == 0 {
			continue
		}
		d := Doubt{Line: l.place.Line, Address: l.path.text, Signals: slices.Clone(l.signals), Clamped: n.clamped, Refused: n.refused, Outside: n.outside}
		if t := l.meaning.taper; t != nil {
			d.Taper, d.Bottom, d.Top = t.name, t.bottom, t.top
			d.Least, d.Greatest = n.least, n.greatest
		}
		doubts = append(doubts, d)
	}
	return doubts
}

// doubtCounts is what a Hearer counts of one line.
type doubtCounts struct {
	clamped, refused, outside uint64
	least, greatest           float64 // of the positions outside
}

func (d *doubtCounts) position(x float64) {
	if d.outside++; d.outside == 1 {
		d.least, d.greatest = x, x
	}
	d.least, d.greatest = min(d.least, x), max(d.greatest, x)
}

// doubt counts a value that was not plainly taken, and settles one beyond the
// taper.
func (h *Hearer) doubt(l *line, v float64, verdict verdict) (float64, verdict) {
	d := &h.doubts[l.number]
	if verdict == beyond {
		d.position(v)
		v, verdict = l.meaning.pulledIn(v)
	}
	if verdict == clamped {
		d.clamped++
		return v, verdict
	}
	d.refused++
	if h.notes != nil && l.source != fromPath {
		a := h.notes.arg(h.inHand)
		a.Heard, a.Refused = true, a.Refused+1
	}
	return v, verdict
}
