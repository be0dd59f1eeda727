package store

import (
	"encoding/json"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// Run is what a judge works on. Entries count within it.
type Run struct {
	// Zero is the time of day at which the run's clock stood at 0, by the clock as it was
	// when the Recorder was made: if that is set later, the record is put right.
	Zero time.Time `json:"zero"`

	// At is the run's clock when the run began: 0, or for a house file that was read
	// again the moment at which it was.
	At rules.Moment `json:"at"`

	House      string `json:"house"`       // what the place is called
	HousePrint string `json:"house_print"` // fingerprint of the house file
	MapPrint   string `json:"map_print"`   // and of the map
	Pawl       string `json:"pawl"`        // the version that judged
	Strips     Strips `json:"strips"`

	// Capture is the file with every packet of the run; "" for none. What it is called by
	// is for whoever writes it to know.
	Capture string `json:"capture,omitempty"`

	// HouseText and MapText are kept once for all runs of the same prints. A run that is
	// read has the first, "" if it was recorded before they were kept; for maps see Origins.
	HouseText string `json:"-"`
	MapText   string `json:"-"`
}

// Strips are those of the roster whose levels are kept, in the same order.
type Strips struct {
	Inputs []desk.Input `json:"inputs"`
	Groups []string     `json:"groups"`
}

// What an item of the queue is.
type what uint8

const (
	aRun what = iota
	anEntry
	aSecond // of levels
	begin   // a service by hand
	end
)

// item is one thing to be written.
type item struct {
	what what
	at   time.Duration
	run  Run

	entry rules.Entry // not to be changed by anybody once it was said
	body  []byte      // of the entry or the levels; none for levels of a desk that is away

	sound, hand bool // for presence
}

// cost is what an item takes while it waits, in bytes, roughly: a finding in memory is
// about as large as its JSON.
func (i *item) cost() int { return 2*len(i.body) + 200 }

func ofRun(r Run) item { return item{what: aRun, at: time.Duration(r.At), run: r} }

func ofEntry(e rules.Entry) (item, error) {
	body, err := json.Marshal(e)
	return item{what: anEntry, at: time.Duration(e.Head().T), entry: e, body: body, hand: byHand(e)}, err
}

func ofLevels(l *rules.Levels) item {
	i := item{what: aSecond, at: time.Duration(l.T), sound: l.Playing > 0}
	if l.Heard {
		i.body = encodeLevels(l)
	}
	return i
}

// byHand reports whether somebody is at the desk, or at Pawl, to do this.
func byHand(e rules.Entry) bool {
	switch e := e.(type) {
	case *rules.Moved, *rules.Pressed:
		return true
	case *rules.Marked:
		return e.How == desk.SceneChanged || e.How == desk.Rerouted
	case *rules.Parted:
		return e.How == desk.Recalled
	}
	return false
}

// merged puts entries and levels in the order in which they happened. Each has its own
// order already; what happens at one moment is told before where it stands.
func merged(entries []rules.Entry, levels []rules.Levels) (items []item, refused int) {
	for len(entries) > 0 || len(levels) > 0 {
		if len(entries) > 0 && (len(levels) == 0 || entries[0].Head().T <= levels[0].T) {
			i, err := ofEntry(entries[0])
			if err != nil {
				refused++
			} else {
				items = append(items, i)
			}
			entries = entries[1:]
			continue
		}
		items = append(items, ofLevels(&levels[0]))
		levels = levels[1:]
	}
	return items, refused
}

// ms is a time of a run in the record's form, rounded as entries are in JSON.
func ms(d time.Duration) int64 { return d.Round(time.Millisecond).Milliseconds() }
