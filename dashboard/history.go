package dashboard

import (
	"slices"

	"pawl/rules"
)

const (
	kept     = rules.Moment(600e9) // ten minutes of entries are what a page that comes needs
	mostKept = 4000                // and no more of them, should a hand never rest
)

// history is the entries of the last ten minutes. It is not safe for use from
// several goroutines.
type history []rules.Entry

// add appends, then forgets what is older than ten minutes before now. It moves the
// rest to the front of the same memory, so that a long service does not grow it.
func (h *history) add(now rules.Moment, entries []rules.Entry) {
	*h = append(*h, entries...)
	first := slices.IndexFunc(*h, func(e rules.Entry) bool { return e.Head().T >= now-kept })
	if first < 0 {
		first = len(*h)
	}
	*h = slices.Delete(*h, 0, max(first, len(*h)-mostKept))
}
