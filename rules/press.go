package rules

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"pawl/rules/desk"
)

// Press is what somebody asks of Pawl: a button, or a line typed on the coach's
// page. It goes in at the same door as packets and is kept with them.
type Press struct {
	Do     Do               `json:"do"`
	Number int              `json:"number,omitempty"` // the finding that seen, not-now and bring-back are about; the input, from 1, of line-ask, line-done and line-later; the line of tell-seen and tell-back; the part of order-…
	On     bool             `json:"on,omitempty"`     // of hold: whether to hold; of line-check: begin it, or end it
	Kind   desk.SegmentKind `json:"kind,omitempty"`   // of segment, order-add and order-kind
	Text   string           `json:"text,omitempty"`   // the words of a note, a question or a line to tell; a segment's or a part's name
	Next   bool             `json:"next,omitempty"`   // of segment: the next part of the running order, whatever kind and text say
	At     Moment           `json:"at,omitempty"`     // of note and question: the moment that it is about; 0 for this one
	Place  int              `json:"place,omitempty"`  // of order-add and order-move: where in the running order, from 1; 0 for its end
}

// Do is what a press asks.
type Do string

// The presses.
const (
	Seen       Do = "seen"       // takes a finding off the screen
	NotNow     Do = "not-now"    // and keeps its rule quiet for the segment
	BringBack  Do = "bring-back" // takes the newest of these two back, while it is fresh
	SetMark    Do = "mark"       // measures from the mix as it stands
	MarkBack   Do = "mark-back"  // takes the newest of these back, while it is fresh
	NewSegment Do = "segment"    // begins another part of the service
	Back       Do = "back"       // takes the newest segment press back
	Note       Do = "note"       // keeps a line with this moment
	Question   Do = "question"   // keeps one for afterwards, with this moment
	Hold       Do = "hold"       // keeps whispers and nudges from the operator's screen, or no longer

	Tell     Do = "tell"      // puts a line on the operator's screen, in the place of the one before
	TellSeen Do = "tell-seen" // takes it off, because it was read
	TellBack Do = "tell-back" // takes it off, because it is not meant any more

	OrderAdd    Do = "order-add"    // puts another part into the running order of this service
	OrderRemove Do = "order-remove" // takes a part out
	OrderMove   Do = "order-move"   // puts it elsewhere
	OrderRename Do = "order-rename" // calls it otherwise
	OrderKind   Do = "order-kind"   // makes it of another kind
	OrderReset  Do = "order-reset"  // goes back to the order of the house file, before its first part

	LineCheck Do = "line-check" // begins a line check, or ends it
	LineAsk   Do = "line-ask"   // asks for an input now, and hears it anew
	LineDone  Do = "line-done"  // takes an input as it is
	LineLater Do = "line-later" // asks for the next, and for this one after the others
)

// Presses lists what can be pressed.
var Presses = []Do{
	Seen, NotNow, BringBack, SetMark, MarkBack, NewSegment, Back, Note, Question, Hold, Tell, TellSeen, TellBack,
	OrderAdd, OrderRemove, OrderMove, OrderRename, OrderKind, OrderReset, LineCheck, LineAsk, LineDone, LineLater,
}

// MostText is the longest text of a press, in bytes.
const MostText = 400

// MostTold is the longest line to the operator's screen, in characters: more than a glance
// takes in is no line. A part's name is no longer either.
const MostTold = 80

// Check reports what is wrong with a press whatever the service is at.
func (p Press) Check() error {
	switch {
	case !slices.Contains(Presses, p.Do):
		return fmt.Errorf("no such press %q; want one of %v", p.Do, Presses)
	case len(p.Text) > MostText:
		return ErrLong
	case !utf8.ValidString(p.Text) || strings.ContainsFunc(p.Text, func(r rune) bool { return r < ' ' }):
		return ErrNotPlain
	case wordy(p.Do) && strings.TrimSpace(p.Text) == "":
		return Refuse("refused.empty")
	case (p.Do == Tell || p.Do == OrderAdd || p.Do == OrderRename) && utf8.RuneCountInString(p.Text) > MostTold:
		return Refuse("refused.long", Number("most", MostTold))
	case p.At < 0:
		return Refuse("refused.moment")
	case p.Place < 0:
		return Refuse("refused.no-place")
	case (p.Do == OrderAdd || p.Do == OrderKind) && p.Kind == desk.AnyKind:
		return fmt.Errorf("a part needs a kind; want one of %v", desk.SegmentKinds)
	case (p.Do == NewSegment || p.Do == OrderAdd || p.Do == OrderKind) && p.Kind != desk.AnyKind && !slices.Contains(desk.SegmentKinds, p.Kind):
		return fmt.Errorf("no such kind of segment %q; want one of %v", p.Kind, desk.SegmentKinds)
	}
	return nil
}

// wordy reports whether a press is nothing without words.
func wordy(d Do) bool {
	return slices.Contains([]Do{Note, Question, Tell, OrderAdd, OrderRename}, d)
}

// plain is the press with only what its Do is about.
func (p Press) plain() Press {
	q := Press{Do: p.Do}
	switch p.Do {
	case Seen, NotNow, BringBack, LineAsk, LineDone, LineLater, TellSeen, TellBack, OrderRemove:
		q.Number = p.Number
	case Hold, LineCheck:
		q.On = p.On
	case NewSegment:
		if q.Next = p.Next; !p.Next {
			q.Kind, q.Text = p.Kind, p.Text
		}
	case Note, Question:
		q.Text, q.At = p.Text, p.At
	case Tell:
		q.Text = strings.TrimSpace(p.Text)
	case OrderAdd:
		q.Text, q.Kind, q.Place = strings.TrimSpace(p.Text), p.Kind, p.Place
	case OrderMove:
		q.Number, q.Place = p.Number, p.Place
	case OrderRename:
		q.Number, q.Text = p.Number, strings.TrimSpace(p.Text)
	case OrderKind:
		q.Number, q.Kind = p.Number, p.Kind
	}
	return q
}

// The reasons for which a text is not taken.
var (
	ErrLong     = Refuse("refused.long", Number("most", MostText))
	ErrNotPlain = Refuse("refused.not-plain")
)

// The reasons for which a press that is well formed is not taken.
var (
	ErrNotBegun = Refuse("refused.not-begun")
	ErrGone     = Refuse("refused.gone")
	ErrLate     = Refuse("refused.late")
	ErrNoMark   = Refuse("refused.no-mark")
	ErrNoOrder  = Refuse("refused.no-order")
	ErrNoNext   = Refuse("refused.no-next")
	ErrNoTap    = Refuse("refused.no-tap")
	ErrNoPart   = Refuse("refused.no-part")
	ErrTaken    = Refuse("refused.taken")
	ErrFull     = Refuse("refused.full")
	ErrNoLine   = Refuse("refused.no-line")

	ErrChecking  = Refuse("refused.checking")
	ErrNoCheck   = Refuse("refused.no-check")
	ErrNoInput   = Refuse("refused.no-input")
	ErrInputDone = Refuse("refused.input-done")
	ErrNotAsked  = Refuse("refused.not-asked")
)
