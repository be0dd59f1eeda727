package timeline

import (
	"fmt"
	"slices"
	"time"

	"pawl/daemon/store"
	"pawl/rules"
)

// Edit is what somebody asks of a service afterwards.
type Edit struct {
	Do   EditKind     `json:"do"`
	Text string       `json:"text,omitempty"` // of rename, label and note
	T    rules.Moment `json:"t,omitempty"`    // of split and note: seconds since the service began
	With int64        `json:"with,omitempty"` // of join: the other service; of unnote: the note's id
}

// EditKind is what an edit does.
type EditKind string

// The edits. Begin and End are of no service that is there: the one begins a service
// now, by hand, and the other ends the one that goes on.
const (
	Rename  EditKind = "rename" // gives it another name; "" for none
	Label   EditKind = "label"  // says who was mixing, as the house calls them; "" for nobody in particular
	AddNote EditKind = "note"   // keeps a line at a moment of it; "" for a bookmark
	Unnote  EditKind = "unnote" // takes a note of afterwards away
	Join    EditKind = "join"   // makes one service of it and its neighbour
	Split   EditKind = "split"  // ends it at a moment, and begins another there
	Delete  EditKind = "delete" // removes it and all that belongs to it
	Begin   EditKind = "begin"
	End     EditKind = "end"
)

// Edits lists what can be asked of a service.
var Edits = []EditKind{Rename, Label, AddNote, Unnote, Join, Split, Delete}

// ErrNoService is the answer about a service that is not in the record.
var ErrNoService = store.ErrNoService

// Edit does what is asked of a service, and gives the number of what came of it: of the
// second service of a split, of the one that a join left, of a new note; else the
// service's own.
func (r *Reader) Edit(id int64, e Edit, now time.Time) (number int64, err error) {
	number = id
	err = r.with(func(s *store.Store) (err error) {
		service, err := s.Service(id)
		if err != nil {
			return err
		}
		at := service.Began.Add(time.Duration(e.T))
		switch e.Do {
		case Rename:
			err = s.Rename(id, e.Text)
		case Label:
			err = s.Label(id, e.Text)
		case AddNote:
			number, err = s.AddNote(id, at, e.Text, now)
		case Unnote:
			err = ofService(s, id, e.With)
			if err == nil {
				err = s.DeleteNote(e.With)
			}
		case Join:
			number, err = join(s, id, e.With)
		case Split:
			number, err = s.Split(id, at)
		case Delete:
			err = s.Delete(id)
		default:
			err = fmt.Errorf("no such edit %q; want one of %v", e.Do, Edits)
		}
		r.kept, r.sums = nil, nil // a join of two leaves numbers that look like what was before
		return err
	})
	if store.MayNotWrite(err) {
		err = store.ErrReadOnly
	}
	return number, err
}

// join gives the number of the one that is left: the earlier.
func join(s *store.Store, a, b int64) (int64, error) {
	one, err := s.Service(a)
	if err != nil {
		return 0, err
	}
	other, err := s.Service(b)
	if err != nil {
		return 0, err
	}
	if err := s.Join(a, b); err != nil {
		return 0, err
	}
	if other.Began.Before(one.Began) {
		return b, nil
	}
	return a, nil
}

// ofService wants a note to be of the service that is being looked at.
func ofService(s *store.Store, id, note int64) error {
	notes, err := s.Notes(id)
	if err == nil && (note == 0 || !slices.ContainsFunc(notes, func(n store.Note) bool { return n.ID == note })) {
		err = store.ErrNoNote
	}
	return err
}
