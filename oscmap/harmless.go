package oscmap

import (
	"fmt"
	"net/netip"
	"slices"
	"strings"

	"pawl/rules/desk"
)

// control is a line that carries something that can be set.
type control struct {
	line      *line
	signal    desk.Signal
	addresses addressSet

	// bang is true if a message without arguments already sets it.
	bang bool
}

// controls lists all that an ask must not reach.
func (m *Map) controls() (all []control) {
	for _, l := range m.lines {
		if i := slices.IndexFunc(l.signals, desk.Signal.Control); i >= 0 {
			all = append(all, control{l, l.signals[i], l.path.addressSet(), l.source == fromArrival || l.source == fromPath})
		}
	}
	return all
}

// harmless sees to it that an ask reaches nothing that the map knows for a
// control, whatever the case and the number of the strip: a question is answered
// by a desk that has the address, and a value is obeyed.
func (c *checker) harmless(a *askPart, address, text string) bool {
	// The words of an index may hold anything, and a desk would read an address up
	// to its first NUL.
	if strings.ContainsFunc(address, func(r rune) bool { return r <= ' ' || r > '~' }) {
		c.wrong(a.Send.Place, "", "%q holds what is not printable ASCII", address)
		return false
	}
	r, ok := takenLoosely(address)
	if !ok {
		c.wrong(a.Send.Place, "", "a [ or ] without the other")
		return false
	}
	for i := range c.controls {
		o := &c.controls[i]
		switch {
		case len(a.Args) == 0 && !o.bang || !r.meets(o.addresses):
			continue
		case len(a.Args) > 0:
			c.wrong(a.Place, "Pawl never moves anything: ask at another address, or leave the arguments out",
				"the ask %s carries arguments to %s, which line %d hears as %s, so it could move something", text, address, o.line.place.Line, o.signal)
		default:
			c.wrong(a.Place, "Pawl never moves anything: ask at another address",
				"the ask %s may arrive at %s, which line %d hears as %s without arguments, so it could move something",
				text, o.line.path.text, o.line.place.Line, o.signal)
		}
		return false
	}
	return true
}

// onlyMeters reports whether the map shows what is at an address that no control
// is at: a meter, whatever the message holds. What takes any text into its
// address, or hears some messages and not others, shows nothing of the kind; nor
// does a sign of life, which may be anything.
func (c *checker) onlyMeters(address string) bool {
	return slices.ContainsFunc(c.m.linesAt(address), func(l *line) bool {
		return !l.path.isOpen() && len(l.when) == 0 && !slices.Contains(l.signals, desk.DeskAlive)
	})
}

// vouched wants somebody's word for an ask of which the map cannot show that it
// moves nothing, and repeats it whenever the map is checked. Unproved are its
// messages of which that is so.
func (c *checker) vouched(a *askPart, unproved []string) {
	word := strings.Join(strings.Fields(a.Because.V), " ")
	if len(unproved) == 0 {
		if a.Because.Written() {
			c.advise(a.Because.Place, "leave it out", "this ask needs nobody's word")
		}
		return
	}
	more := ""
	if n := len(unproved) - 1; n > 0 {
		more = fmt.Sprintf(" (and %d more like it)", n)
	}
	switch {
	case !a.Because.Written():
		c.wrong(a.Place, "if you have read that it moves nothing, say where: "+becauseSuch,
			"the ask %s%s carries arguments, and nothing in the map shows that it moves nothing", unproved[0], more)
	case !strings.Contains(word, " "):
		c.wrong(a.Because.Place, "as in "+becauseSuch, "found %q; want where that is written, in a few words", word)
	default:
		c.advise(a.Place, "read that again before the desk is first asked", "your word alone says that the ask %s%s moves nothing: %q", unproved[0], more, word)
	}
}

const becauseSuch = `moves-nothing-because: "the desk's list of addresses, page 3"`

// OneMachine reports whether an address can be a desk's: what is sent to others reaches
// everybody in the network, or nobody. The network's own such address only the system knows.
func OneMachine(a netip.Addr) bool {
	return !a.IsMulticast() && !a.IsUnspecified() && a != netip.AddrFrom4([4]byte{255, 255, 255, 255})
}
