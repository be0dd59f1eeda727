package oscmap

import (
	"fmt"
	"math"
	"strings"

	"pawl/oscmap/sheet"
	"pawl/rules/desk"
)

// maxAddresses bounds the memory of a map and the work of a sender's pattern.
const maxAddresses = 1 << 16

// maxLines is more than any desk needs: forty signals are heard, few of them on more than
// ten lines. A line is held against each other that shares an address.
const maxLines = 4096

// Load checks a map and compiles it. The file name serves for the faults
// alone, which come sorted and all at once. If any of them is wrong rather than
// advice, there is no map.
//
// With a roster the map is also held against it: an index that the roster does
// not have is a fault, and so is a name that no address carries. Without one
// the map is checked alone, and addresses that hold names hear nothing. Needs
// say which signals the rules live on; what is missing is advice.
func Load(file string, src []byte, roster *desk.Roster, needs ...Need) (*Map, sheet.Faults) {
	c := &checker{roster: roster, plainly: map[desk.Strip]plainSpan{}}
	c.faults = sheet.Decode(file, src, &c.file)
	c.m = &Map{
		desk:  c.file.Desk.V,
		link:  c.file.Link.link(),
		tree:  &node{},
		names: newNames(roster),
	}
	c.shape = c.faults
	c.tapers()
	c.lines()
	c.taps()
	c.addresses()
	c.asks()
	c.strips()
	if !c.faults.Wrong() {
		c.needs(needs)
		c.unmetered(needs)
	}
	c.faults.Sort()
	if c.faults.Wrong() {
		return nil, c.faults
	}
	return c.m, c.faults
}

func (p linkPart) link() Link {
	return Link{Transport: p.Transport.V, DeskPort: p.DeskPort, ListenPort: p.ListenPort, StaleAfter: p.StaleAfter.V}
}

// checker turns a file into a map and gathers what is wrong with it.
type checker struct {
	file     file
	roster   *desk.Roster
	faults   sheet.Faults
	shape    sheet.Faults // those that were found while reading
	written  []rangeWritten
	plainly  map[desk.Strip]plainSpan // as far as anybody needed it
	taper    map[string]*taper
	used     map[string]bool // tapers
	sent     volume
	controls []control
	effort   int // left for holding lines against each other
	m        *Map
}

func (c *checker) wrong(p sheet.Place, hint, format string, args ...any) {
	c.faults = append(c.faults, p.Wrong(hint, format, args...))
}

func (c *checker) advise(p sheet.Place, hint, format string, args ...any) {
	c.faults = append(c.faults, p.Advise(hint, format, args...))
}

// doubtful reports whether reading already found fault within a part of the
// file. What is missing there may only be mistyped, and is not asked for.
func (c *checker) doubtful(p sheet.Place) bool {
	for _, f := range c.shape {
		if f.Path == p.Path || strings.HasPrefix(f.Path, p.Path+".") || strings.HasPrefix(f.Path, p.Path+"[") {
			return true
		}
	}
	return false
}

// tapers compiles the table of tapers.
func (c *checker) tapers() {
	c.taper, c.used = map[string]*taper{}, map[string]bool{}
	for _, e := range c.file.Tapers {
		points, place := e.Value.V, e.Value.Place
		c.taper[e.Key] = nil // there is one of that name, whatever is wrong with it
		switch {
		case c.doubtful(e.Place):
		case len(points) < 2:
			c.wrong(place, "as in [[0, -inf], [0.8, 0], [1, 6]]", "a taper of %d points; want two or more", len(points))
		case c.rising(points):
			c.taper[e.Key] = newTaper(e.Key, points)
		}
	}
}

// rising checks the points of a taper one after the other.
func (c *checker) rising(points []taperPointPart) bool {
	before, closed := len(c.faults), decibels(math.Inf(-1))
	for i, p := range points {
		db := float64(p.DB)
		switch {
		case i == 0:
		case p.At <= points[i-1].At:
			c.wrong(p.place, "points stand in the order of their positions", "the taper is not rising: position %v after %v", p.At, points[i-1].At)
			continue
		case p.DB == closed && points[i-1].DB == closed && i < len(points)-1: // closed up to here
		case db <= float64(points[i-1].DB):
			c.wrong(p.place, "further up the fader is louder", "the taper is not rising: %v dB after %v dB", p.DB, points[i-1].DB)
			continue
		}
		switch {
		case db < -200 || db > 60:
			if p.DB != closed {
				c.wrong(p.place, "for closed write -inf", "%v dB; want -200 to 60, or -inf", p.DB)
			}
		case p.Power.Written() && i == 0:
			c.wrong(p.Power.Place, "write it at the point where the stretch ends", "a power at the first point")
		}
	}
	return len(c.faults) == before
}

// strips checks indices and names against the roster.
func (c *checker) strips() {
	heard := map[desk.Strip]map[int]bool{}
	for _, strip := range indexed {
		heard[strip] = map[int]bool{}
	}
	for _, l := range c.m.lines {
		for _, t := range l.told {
			names, end := len(rosterNames(c.roster, t.strip)), t.end(c.roster)
			for i := t.span.first; i < end; i++ {
				heard[t.strip][i] = true
			}
			if names > 0 && end > names {
				// A map serves every desk of its kind; the house need not name all of it.
				c.advise(l.place, "name the others in the roster if they are used",
					"%s goes up to %s %d; the roster names %d, and what the others say is left aside", l.path.text, t.strip, end, names)
			}
		}
	}
	for _, strip := range indexed {
		c.unheard(strip, heard[strip])
	}
}

// end is the index behind the last strip that is told.
func (t *telling) end(r *desk.Roster) int {
	if t.span.byName {
		return len(rosterNames(r, t.strip))
	}
	return t.span.first + t.span.n
}

// isGap reports whether a strip is in the roster only because a later one is.
func isGap(r *desk.Roster, strip desk.Strip, i int) bool {
	if !r.Unnamed[desk.Mover{Strip: strip, Index: i}] || i == len(rosterNames(r, strip))-1 {
		return false
	}
	if strip != desk.StripInput {
		return true
	}
	in := r.Inputs[i]
	return in.Element == desk.NoElement && !in.Voice && !in.Cue && in.Gate == 0 && len(in.DCAs)+len(in.Groups) == 0
}

// namesWithout is those of the roster that are not among these.
func (c *checker) namesWithout(strip desk.Strip, heard map[int]bool) (names []string) {
	for i, name := range rosterNames(c.roster, strip) {
		if !heard[i] && !isGap(c.roster, strip, i) {
			names = append(names, fmt.Sprintf("%s %d \"%s\"", strip, i+1, name))
		}
	}
	return names
}

// unheard reports the names of the roster that no line can hear. What lies between those
// that the roster has is nobody's; the house file says so where it is much.
func (c *checker) unheard(strip desk.Strip, heard map[int]bool) {
	silent := c.namesWithout(strip, heard)
	place := c.file.Signals.Place
	switch {
	case len(silent) == 0 || !place.Written():
	case len(heard) == 0 && strip != desk.StripInput:
		c.advise(place, "", "no address says anything of a %s; the roster names %d", strip, len(silent))
	case c.doubtful(place):
	default:
		c.wrong(place, "widen a range, or take the name off the roster", "no address hears %s", strings.Join(silent, ", "))
	}
}
