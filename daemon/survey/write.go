package survey

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// write makes the file of all that was found.
func (d *drafter) write(o DraftOptions) string {
	var b strings.Builder
	comment(&b, "", "A draft made by pawl listen. Every line says why it is there: read it once before you trust it. "+
		"`pawl check` tells what is still missing.")
	if o.Heard != "" {
		comment(&b, "", clean(o.Heard))
	}
	desk := o.Desk
	if desk == "" {
		desk = "desk heard by pawl listen"
	}
	fmt.Fprintf(&b, "desk: %q\n\n", desk)
	d.link(&b, o)
	if o.Strips != "" {
		fmt.Fprintf(&b, "%s\n\n", strings.TrimSpace(o.Strips))
	}
	if d.scale.taper != "" && d.uses("taper: "+taperName) {
		b.WriteString("tapers:\n")
		comment(&b, "  ", d.scale.said)
		fmt.Fprintf(&b, "  %s: %s\n\n", taperName, d.scale.taper)
	}
	if d.scale.taper == "" && !d.uses("taper: ") && d.wants("taper: ") {
		comment(&b, "", "The faders below are positions. With the desk's own marks in place of these, which are only an example:")
		fmt.Fprintf(&b, "# tapers:\n#   %s: [[0, -inf], [0.3, -36], [0.6, -12], [0.8, 0], [1, 6]]\n\n", taperName)
	}
	b.WriteString("signals:\n")
	d.signals(&b)
	d.rest(&b)
	return b.String()
}

// link is the section that the person brought, or what is known of it.
func (d *drafter) link(b *strings.Builder, o DraftOptions) {
	if o.Link != "" {
		comment(b, "", "Taken over from the map that was given.")
		fmt.Fprintf(b, "%s\n\n", strings.TrimSpace(o.Link))
		return
	}
	transport := o.Transport
	if transport == "" {
		transport = "udp"
	}
	fmt.Fprintf(b, "link:\n  transport: %s\n", transport)
	if o.Port > 0 {
		comment(b, "  ", "The desk sends from this port; most listen on the same.")
		fmt.Fprintf(b, "  desk-port: %d\n", o.Port)
	}
	comment(b, "  ", "What this desk wants to be asked cannot be told by listening. Its manual says whether it must be asked to talk; "+
		"then take the # away and write its own words:")
	b.WriteString("  # ask:\n  #   - {send: /the/word/to/begin, every: 25s}\n\n")
}

// comment writes text as lines of comment that fit a page.
func comment(b *strings.Builder, indent, text string) {
	line := ""
	for _, word := range strings.Fields(text) {
		if len(line)+len(word) > 92 && line != "" {
			fmt.Fprintf(b, "%s#%s\n", indent, line)
			line = ""
		}
		line += " " + word
	}
	if line != "" {
		fmt.Fprintf(b, "%s#%s\n", indent, line)
	}
}

// uses reports whether an entry has a key in its value; wants, whether one that is
// written as a comment has.
func (d *drafter) uses(key string) bool {
	return slices.ContainsFunc(d.entries, func(e entry) bool { return !e.unsure && strings.Contains(e.value, key) })
}

func (d *drafter) wants(key string) bool {
	return slices.ContainsFunc(d.entries, func(e entry) bool { return e.unsure && strings.Contains(e.value, key) })
}

// signals writes the entries that are sure, then those that are not.
func (d *drafter) signals(b *strings.Builder) {
	sure := 0
	for _, e := range d.entries {
		if !e.unsure {
			sure++
			e.write(b, "  ")
		}
	}
	if sure == 0 {
		d.alive(b)
	}
	for _, e := range d.entries {
		if e.unsure {
			e.write(b, "  # ")
		}
	}
}

// alive is the one thing that can always be said, since a map must hear something:
// while this address speaks, the desk is there.
func (d *drafter) alive(b *strings.Builder) {
	var busiest *source
	for _, sh := range d.shapes {
		for _, m := range sh.members {
			if sh.writable() && plainAddress.MatchString(m.address) && len(m.address) > 1 && (busiest == nil || m.count > busiest.count) {
				busiest = m.source
			}
		}
	}
	address := "/nothing/was/heard"
	if busiest != nil {
		address = busiest.address
	}
	entry{why: []string{"Nothing could be told for certain. While this speaks, the desk is there."},
		hear: []string{"hear: " + quoted(address)}, is: "desk.alive"}.write(b, "  ")
}

// write writes one entry; with a # in the indent it is a comment that becomes an
// entry when the # is taken away.
func (e entry) write(b *strings.Builder, indent string) {
	plain := strings.TrimRight(indent, "# ") + "  "
	comment(b, plain[:2], strings.Join(e.why, " "))
	fmt.Fprintf(b, "%s- %s\n", indent, e.hear[0])
	fmt.Fprintf(b, "%s  is: %s\n", indent, e.is)
	for _, line := range append(slices.Clone(e.hear[1:]), e.more...) {
		fmt.Fprintf(b, "%s  %s\n", indent, line)
	}
	if e.value != "" {
		fmt.Fprintf(b, "%s  value: {%s}\n", indent, e.value)
	}
}

// rest says what was asked for and not found, and what was heard and not claimed.
func (d *drafter) rest(b *strings.Builder) {
	if len(d.missing) > 0 {
		b.WriteString("\n")
		comment(b, "", "What could not be told:")
		for _, m := range d.missing {
			comment(b, "", "- "+m)
		}
	}
	first := true
	for _, sh := range d.shapes {
		for arg := range max(sh.args(), 1) {
			slots := sh.slotsAt(arg)
			if len(slots) > 0 && !slices.ContainsFunc(slots, func(t *slot) bool { return !d.claimed[t] }) || sh.byArgument && arg == 0 {
				continue
			}
			if first {
				b.WriteString("\n")
				comment(b, "", "What was heard as well, and is in no line above. Take the # away where the guess is right, or write what it is.")
				first = false
			}
			d.leftOver(b, sh, arg)
			if sh.rowFrom(arg) {
				break
			}
		}
	}
}

// leftOver is a comment on an argument that no entry claims, with a guess if the
// strips it belongs to are known.
func (d *drafter) leftOver(b *strings.Builder, sh *Shape, arg int) {
	text := sh.Pattern()
	if sh.args() > 1 {
		text += fmt.Sprintf(", argument %d", arg)
	}
	if which := sh.which(); which != "" {
		text += " (" + which + ")"
	}
	if v := sh.values(arg); v != "" {
		text += ": " + v
	}
	guess, why := d.guess(sh, arg)
	if why == "" {
		why = d.looks(sh, arg)
	}
	if why != "" {
		text += ". " + why
	}
	comment(b, "", "- "+text)
	if guess.is != "" {
		guess.why = nil
		guess.write(b, "  # ")
	}
}

// guess says what a number that never moved may be, if it stands beside the fader
// of a group: a compressor's settings look like this.
func (d *drafter) guess(sh *Shape, arg int) (e entry, why string) {
	if !sh.writable() {
		return e, ""
	}
	if e, why = d.guessMember(sh, arg); why != "" {
		return e, why
	}
	f := d.known[groupStrip]
	if !f.ok {
		return e, ""
	}
	p, ok := f.place.beside(sh)
	if !ok {
		return e, ""
	}
	p.arg = arg
	slots := p.slots()
	if slices.ContainsFunc(slots, d.taken) || len(slots) == 0 {
		return e, ""
	}
	all := spanOf(slots)
	if all.numbers == 0 || all.changes > 0 {
		return e, ""
	}
	per, unit := 1.0, "dB"
	if all.whole && slots[0].tags == "i" {
		per, unit = d.wholeUnit()
	}
	e = entry{hear: p.hear(groupStrip), value: p.where(groupStrip)}
	switch lo, hi := all.lo/per, all.hi/per; {
	case slots[0].ratios > 0 || slots[0].decibels == 0 && lo >= 1.1 && hi <= 100:
		e.is, why = "group.ratio", "It never moved; perhaps a compressor's ratio."
		if per > 1 {
			e.value += fmt.Sprintf(", scale: 1/%.0f", per)
		}
	case hi <= -3 && lo >= -80:
		e.is, why = "group.threshold", "It never moved; perhaps a compressor's threshold."
		if unit == "dB" {
			unit = "dBFS"
		}
		e.value += ", unit: " + unit
	case lo >= 0 && hi <= 30 && hi > 0:
		e.is, why = "group.makeup", "It never moved; perhaps a compressor's make-up gain."
		e.value += ", unit: " + unit
	default:
		return entry{}, ""
	}
	return e, why
}

// looks says what an argument behaves like, for a person who must find out what it
// is, "" if it behaves like nothing in particular.
func (d *drafter) looks(sh *Shape, arg int) string {
	if m, ok := d.survey.meter(sh, arg); ok {
		return "It moves by itself, as a meter does: " + m.said() + "."
	}
	slots := sh.slotsAt(arg)
	if len(slots) == 0 {
		return ""
	}
	all := spanOf(slots)
	switch {
	case allSwitches(slots):
		return "A switch, perhaps a mute."
	case slots[0].isText() && all.numbers < all.count && differentTexts(slots):
		return "Names, perhaps."
	case all.numbers == 0 || all.numbers < all.count:
		return ""
	case slots[0].decibels > 0 || !all.whole && all.lo < 0 && all.lo > -150 && all.hi < 40:
		return "Such as decibels are: a fader or a threshold, perhaps."
	case !all.whole && all.lo >= 0 && all.hi <= 1:
		return "Such as positions are: a fader, perhaps."
	}
	return ""
}

// wholeUnit is what whole numbers on this desk are in: as its faders are, or its
// meters.
func (d *drafter) wholeUnit() (per float64, unit string) {
	switch {
	case d.scale.unit == 100 || d.scale.unit == 256:
		return d.scale.unit, levelUnit(d.scale.unit)
	case slices.Contains(slices.Collect(maps.Values(d.units)), "centi-dB"):
		return 100, "centi-dB"
	}
	return 1, "dB"
}
