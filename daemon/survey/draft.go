package survey

import (
	"cmp"
	"fmt"
	"slices"
)

// DraftOptions say what goes into a draft besides what was heard.
type DraftOptions struct {
	// Desk is what the map calls the desk.
	Desk string

	// From is a sentence on where the traffic came from, for the head of the file.
	From string

	// Link and Strips are sections of a map that was given, as YAML, each beginning
	// with its key. They are taken over as they are.
	Link, Strips string

	// Transport is the map's word for how packets came, "" for udp. Port is where
	// the desk sends from, 0 if that is not known.
	Transport string
	Port      int
}

// Draft writes a map from what was heard and, if there was one, from the guided
// part; g may be nil. What could not be told is in it as comments.
func (s *Survey) Draft(g *Guide, o DraftOptions) string {
	text, _ := s.DraftTold(g, o)
	return text
}

// DraftTold is Draft, and whether anything could be told for certain. If nothing could, the draft
// holds comments only: it is no map, and does not load.
func (s *Survey) DraftTold(g *Guide, o DraftOptions) (text string, told bool) {
	d := newDrafter(s, g)
	if d.guide == nil {
		d.likelyStrips()
	} else {
		d.strips()
	}
	d.meters()
	text = d.write(o)
	for d.doubt(text) || d.prove(o) {
		text = d.write(o)
	}
	return text, d.told()
}

// told reports whether anything could be told for certain.
func (d *drafter) told() bool {
	return slices.ContainsFunc(d.entries, func(e entry) bool { return !e.unsure })
}

// drafter gathers the entries of a draft.
type drafter struct {
	survey   *Survey
	guide    steps // nil if they found no fader
	refused  []refusal
	banked   verdictOf
	rows     []along
	arrivals []arrival
	shapes   []*shape
	claimed  map[*slot]bool   // by an entry, also by one that is written as a comment
	means    map[*slot]string // the signal of one that is not
	bits     map[*slot]uint64 // of a number, that are strips' switches
	parted   map[*slot]bool   // it is of a part of the slot's values
	decks    []deck           // of the inputs, if there is more than one, or may be
	apart    string           // why it is not certain that the first is all of them
	foreign  [4]string        // why the names in a kind of strip's addresses tell no strips

	seats    [4]*place         // by strip, where its names stand by number though its faders go by name
	known    [4]family         // by strip
	scale    scale             // of the faders; zero if there is none
	units    map[string]string // of levels, by meter.sort
	learntBy map[string]string // whose meter told the unit
	inRecord bool              // a level in a record fell by as much as one of a unit does
	linear   string            // the unit of levels that are factors, and the bits of their numbers
	precise  int
	entries  []entry
	missing  []string // what was asked for and not found, in plain words

	played map[string]*playedLine // by the map of each, what lines read
}

func newDrafter(s *Survey, g *Guide) *drafter {
	d := &drafter{survey: s, shapes: s.shapes(), claimed: map[*slot]bool{}, means: map[*slot]string{}, parted: map[*slot]bool{}, bits: map[*slot]uint64{}, units: map[string]string{}, learntBy: map[string]string{}}
	for s := inputStrip; s <= mainStrip && g != nil; s++ {
		if _, ok := g.steps.control(s, zero, g.refused); ok {
			d.guide, d.refused, d.banked, d.rows = g.steps, g.refused, g.banked, g.rows
			d.arrivals = g.arrivals
		}
	}
	if d.guide != nil {
		d.joinDecks()
	}
	return d
}

// family is a kind of strip of which the fader is known.
type family struct {
	ok    bool
	fader control
	place place
}

// entry is one signal of the draft.
type entry struct {
	why    []string
	hear   []string
	is     string
	value  string
	more   []string // further lines, as "tap: pre-fader"
	unsure bool     // written as a comment
	part   bool     // it is of some of the values of a row or a blob
}

// because adds a reason, unless it is empty.
func (e *entry) because(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); text != "" {
		e.why = append(e.why, text)
	}
}

func (d *drafter) miss(format string, args ...any) {
	d.missing = append(d.missing, fmt.Sprintf(format, args...))
}

// strips writes down the faders, mutes and names.
func (d *drafter) strips() {
	faders, mutes := d.controls(zero), d.controls(mute)
	marked(faders)
	for s, c := range faders {
		c.place.bound(s, places(faders))
		d.layRow(s, &c, zero)
		d.order(s, &c.place)
		d.known[s] = c
	}
	for s := inputStrip; s <= mainStrip; s++ {
		f, alone := &d.known[s], ""
		if f.ok {
			alone = d.alone(s, &f.place)
			f.place.doubt = cmp.Or(f.place.doubt, alone)
			d.fader(s, f)
		} else {
			d.miss("Where %s's fader is: nothing was seen to follow it, or it was left out. If the desk tells of it, its line has to be written by hand.", s.first())
		}
		if c, ok := mutes[s]; ok {
			c.place.bound(s, places(mutes))
			d.layRow(s, &c, mute)
			c.place.list = f.place.list
			if c.place.n == 1 {
				c.place.doubt = cmp.Or(c.place.doubt, alone)
			}
			d.mute(s, c)
		} else if !d.muteArrives(s, f) {
			d.miss("Where %s's mute is: nothing was seen to follow it, or it was left out. If the desk tells of it, its line has to be written by hand.", s.first())
		}
		if f.ok && s != mainStrip {
			d.nameEntry(s, f.place)
		}
	}
	d.nameRows()
	for s := inputStrip; s < mainStrip; s++ {
		if !slices.ContainsFunc(d.entries, func(e entry) bool { return e.is == s.String()+".name" }) {
			d.namesElsewhere(s)
		}
	}
}

// controls is what the guide has found for the faders or the mutes, where a map can
// hear it.
func (d *drafter) controls(a act) map[strip]family {
	all := map[strip]family{}
	for s := inputStrip; s <= mainStrip; s++ {
		if c, ok := d.guide.control(s, a, d.refused); ok {
			if p, ok := locate(d.shapes, c.slot); ok && p.shape.writable() {
				all[s] = family{ok: true, fader: c, place: p}
			}
		}
	}
	return all
}

// places is where they are, for telling where one kind of strip ends.
func places(families map[strip]family) (all []place) {
	for _, f := range families {
		all = append(all, f.place)
	}
	return all
}
