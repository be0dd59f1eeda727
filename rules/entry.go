package rules

import (
	"encoding/json"
	"math"
	"strconv"
	"time"

	"pawl/rules/desk"
)

// Moment is a time since the first packet of the service. As JSON it is seconds,
// with milliseconds, which is as fine as anything that a person does.
type Moment time.Duration

// MarshalJSON writes seconds.
func (m Moment) MarshalJSON() ([]byte, error) { return desk.JSON(time.Duration(m).Seconds()), nil }

// UnmarshalJSON reads what MarshalJSON wrote.
func (m *Moment) UnmarshalJSON(b []byte) error {
	v, err := strconv.ParseFloat(string(b), 64)
	*m = Moment(math.Round(v*1000)) * Moment(time.Millisecond)
	return err
}

// Entry is one thing that happened: in the record a row, in a frame an element of
// its list, with --json a line. Everything that is said leaves as one.
type Entry interface {
	// Head is the part that all entries have. The judge fills it in; nobody else
	// changes it.
	Head() *Stamp
}

// Stamp is the head of an entry.
type Stamp struct {
	N     uint64    `json:"n"` // counts from 1 within a service
	T     Moment    `json:"t"`
	Entry EntryKind `json:"entry"`
}

// Head implements Entry.
func (s *Stamp) Head() *Stamp { return s }

// EntryKind tells the entries apart.
type EntryKind string

// The kinds of entry, each the word in a frame for the type of its name.
const (
	FindingEntry EntryKind = "finding"
	MoveEntry    EntryKind = "move"
	MarkEntry    EntryKind = "mark"
	SegmentEntry EntryKind = "segment"
	PressEntry   EntryKind = "press"
	SecondEntry  EntryKind = "second"
	LinkEntry    EntryKind = "link"
	HouseEntry   EntryKind = "house"
	LineEntry    EntryKind = "line-check"
)

// New is an empty entry of a kind, to read JSON into; nil of a kind that is of another
// Pawl.
func (k EntryKind) New() Entry {
	switch k {
	case FindingEntry:
		return new(Finding)
	case MoveEntry:
		return new(Moved)
	case MarkEntry:
		return new(Marked)
	case SegmentEntry:
		return new(Parted)
	case PressEntry:
		return new(Pressed)
	case SecondEntry:
		return new(Second)
	case LinkEntry:
		return new(Linked)
	case HouseEntry:
		return new(Housed)
	case LineEntry:
		return new(LineChecked)
	}
	return nil
}

// Moved is a move that came to rest and that counts.
type Moved struct {
	Stamp
	Who   desk.Who      `json:"who"`
	Kind  desk.MoveKind `json:"kind"`
	Began Moment        `json:"began"`
	Ended Moment        `json:"ended"`   // when it came to rest; it is judged a little later
	From  desk.DB       `json:"from_db"` // null for closed or muted
	To    desk.DB       `json:"to_db"`
	By    desk.DB       `json:"by_db"`           // upwards positive; null between closed and not
	First bool          `json:"first,omitempty"` // no hand's: where it stood, or its mute, when it was first heard
}

// UnmarshalJSON reads what is written of a move. JSON has one null for both infinities;
// where the move began tells which of them it was.
func (m *Moved) UnmarshalJSON(b []byte) error {
	type plain Moved
	if err := json.Unmarshal(b, (*plain)(m)); err != nil {
		return err
	}
	if m.From == desk.Off && m.To != desk.Off {
		m.By = desk.DB(math.Inf(1))
	}
	return nil
}

// Marked is a new mix to measure from, or an earlier one again.
type Marked struct {
	Stamp
	How   desk.How  `json:"how"`
	Total desk.DBFS `json:"total_dbfs"`
	Back  bool      `json:"back,omitempty"` // the newest was taken back: this is of the one before it; how is "" if that was none
}

// Parted is a new segment of the service, or the same one, by its number, of another
// kind than it was.
type Parted struct {
	Stamp
	Number int              `json:"number"` // counts from 1; one taken back is not given again
	Kind   desk.SegmentKind `json:"kind"`   // "" for one of which nobody said and nothing is heard yet
	Name   string           `json:"name"`   // the house's own, or ""
	Part   int              `json:"part"`   // of the running order, counted from 1; 0 for one that is not in it
	How    desk.Began       `json:"how"`
}

// Pressed is a press that was taken.
type Pressed struct {
	Stamp
	Press
}

// Second is where the mix stood at a whole second while the desk was heard and there
// was a mark to measure from.
type Second struct {
	Stamp
	Playing int        `json:"playing"` // inputs in the mix
	Total   desk.DBFS  `json:"total_dbfs"`
	Rise    desk.DB    `json:"rise_db"` // total above the mark, the sum of Split
	Split   desk.Split `json:"split"`
}

// Linked says that the desk went quiet, or is heard again.
type Linked struct {
	Stamp
	Heard bool   `json:"heard"`
	Away  Moment `json:"away"` // how long it was quiet, once it is heard again
}

// Housed says that the house file was read again and is in force: the mark and the
// cards begin anew, with all that is known of the desk.
type Housed struct {
	Stamp
	House string `json:"house"` // what the place is called
}
