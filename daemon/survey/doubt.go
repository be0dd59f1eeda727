package survey

import (
	"fmt"
	"strings"

	"pawl/oscmap"
)

// What makes a line of a draft a comment: that it contradicts another one, or that the map's own
// check finds a fault in it.

// doubt makes comments of the entries that the map's own check finds a fault in, and reports
// whether there was one: what two answers that do not fit together led to is not known.
func (d *drafter) doubt(text string) (any bool) {
	m, faults := oscmap.Load("draft", []byte(text), nil)
	if m != nil {
		return false
	}
	var sure []*entry
	for i := range d.entries {
		if !d.entries[i].unsure {
			sure = append(sure, &d.entries[i])
		}
	}
	for _, f := range faults {
		var n int
		if _, err := fmt.Sscanf(f.Path, "signals[%d]", &n); err != nil || f.Advice || n >= len(sure) || sure[n].unsure {
			continue
		}
		sure[n].unsure, any = true, true
		sure[n].because("But it does not pass: %s.", f.Text)
	}
	return any
}

func (d *drafter) add(e entry, slots []*slot) {
	for _, t := range slots {
		// One value has one meaning; the parts of a row or a blob are other values.
		if by := d.means[t]; by != "" && !e.unsure && !(e.part && d.parted[t]) {
			e.unsure = true
			e.because("But %s is written for it above, and it cannot be both.", by)
		}
	}
	for s, why := range d.foreign {
		if why != "" && strings.Contains(e.hear[0], "{"+strip(s).String()+"-name}") {
			e.unsure = true
			e.because("%s", why)
		}
	}
	all := d.perDeck(e)
	e.unsure = all[0].unsure
	d.entries = append(d.entries, all...)
	for _, t := range slots {
		d.claimed[t] = true
		if !e.unsure {
			d.means[t], d.parted[t] = e.is, e.part
		}
	}
}

func (d *drafter) isClaimed(t *slot) bool { return d.claimed[t] }
