package survey

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// write makes the file of all that was found.
func (d *drafter) write(o DraftOptions) string {
	var b strings.Builder
	if d.told() {
		comment(&b, "", "A draft made by pawl listen. Every line says why it is there: read it once before you trust it. "+
			"`pawl check` tells what is still missing.")
	} else {
		comment(&b, "", "Nothing could be told for certain of what this desk sends, so this is no map yet, and `pawl check` refuses it. "+
			"What was heard stands below as comments, by pawl listen. Take the # away where a line is right, or write one by the desk's own manual.")
	}
	comment(&b, "", clean(o.From))
	fmt.Fprintf(&b, "desk: %q\n\n", cmp.Or(o.Desk, "desk heard by pawl listen"))
	d.link(&b, o)
	if o.Strips != "" {
		fmt.Fprintf(&b, "%s\n\n", strings.TrimSpace(o.Strips))
	}
	switch onTaper := func(e entry) bool { return strings.Contains(e.value, "taper: ") }; {
	case d.scale.taper != "" && slices.ContainsFunc(d.entries, func(e entry) bool { return !e.unsure && onTaper(e) }):
		b.WriteString("tapers:\n")
		comment(&b, "  ", inEnglish(d.scale.said...))
		fmt.Fprintf(&b, "  %s: %s\n\n", taperName, d.scale.taper)
	case d.scale.taper == "" && slices.ContainsFunc(d.entries, onTaper):
		comment(&b, "", "The faders below are positions. With the desk's own marks in place of these, which are only an example:")
		fmt.Fprintf(&b, "# tapers:\n#   %s: [[0, -inf], [0.3, -36], [0.6, -12], [0.8, 0], [1, 6]]\n\n", taperName)
	}
	b.WriteString("signals:\n")
	d.signals(&b)
	d.rest(&b)
	return b.String()
}

// link is the section that was given, or what is known of it.
func (d *drafter) link(b *strings.Builder, o DraftOptions) {
	if o.Link != "" {
		comment(b, "", "Taken over from the map that was given.")
		fmt.Fprintf(b, "%s\n\n", strings.TrimSpace(o.Link))
		return
	}
	fmt.Fprintf(b, "link:\n  transport: %s\n", cmp.Or(o.Transport, "udp"))
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
	for _, line := range Wrap(text, 92) {
		fmt.Fprintf(b, "%s# %s\n", indent, line)
	}
}

// Wrap breaks a text between its words into lines of so many bytes at most, but for
// a word that is longer. Of a text without words it makes no line.
func Wrap(text string, width int) (lines []string) {
	for _, word := range strings.Fields(text) {
		if n := len(lines) - 1; n >= 0 && len(lines[n])+1+len(word) <= width {
			lines[n] += " " + word
		} else {
			lines = append(lines, word)
		}
	}
	return lines
}

// signals writes the entries that are sure, then those that are not.
func (d *drafter) signals(b *strings.Builder) {
	for _, e := range d.entries {
		if !e.unsure {
			e.write(b, "  ")
		}
	}
	for _, e := range d.entries {
		if e.unsure {
			e.write(b, "  # ")
		}
	}
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
	left := d.unclaimed()
	if len(left) > 0 {
		b.WriteString("\n")
		comment(b, "", "What was heard as well, and is in no line above. Take the # away where the guess is right, or write what it is.")
	}
	for _, c := range left {
		guess, why := d.guess(c)
		if m, ok := d.survey.meter(c); why == "" && ok {
			why = "It moves by itself, as a meter does: " + m.said() + "."
		} else if why == "" {
			why = c.looks().said
		}
		text := c.described()
		if why != "" {
			text += ". " + why
		}
		comment(b, "", "- "+text)
		if guess.is != "" {
			guess.write(b, "  # ")
		}
	}
}

// unclaimed is every argument that is in no entry.
func (d *drafter) unclaimed() (all []column) {
	for _, sh := range d.shapes {
		for c := range sh.columns() {
			if slices.ContainsFunc(c.slots, func(t *slot) bool { return !d.claimed[t] }) {
				all = append(all, c)
			}
		}
		if sh.args() == 0 && !slices.ContainsFunc(sh.members, func(m member) bool {
			return slices.ContainsFunc(d.arrivals, func(a arrival) bool { return a.stream == m.stream })
		}) {
			all = append(all, column{shape: sh})
		}
	}
	return all
}

// described is a column in words: where it is, and what stands there.
func (c *column) described() string {
	text := c.shape.pattern()
	if c.shape.args() > 1 {
		text += fmt.Sprintf(", argument %d", c.arg)
	}
	if which := c.shape.which(); which != "" {
		text += " (" + which + ")"
	}
	if len(c.slots) == 0 {
		return text
	}
	if v := c.values(); v != "" {
		text += ": " + v
	}
	return text
}
