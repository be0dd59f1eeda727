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
	Number int              `json:"number,omitempty"` // the finding that seen, not-now and bring-back are about; the input, from 1, of line-ask, line-done and line-later
	On     bool             `json:"on,omitempty"`     // of hold: whether to hold; of line-check: begin it, or end it
	Kind   desk.SegmentKind `json:"kind,omitempty"`   // of segment
	Text   string           `json:"text,omitempty"`   // a note's words, or a segment's name
	Next   bool             `json:"next,omitempty"`   // of segment: the next part of the running order, whatever kind and text say
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
	Hold       Do = "hold"       // keeps whispers and nudges from the operator's screen, or no longer

	LineCheck Do = "line-check" // begins a line check, or ends it
	LineAsk   Do = "line-ask"   // asks for an input now, and hears it anew
	LineDone  Do = "line-done"  // takes an input as it is
	LineLater Do = "line-later" // asks for the next, and for this one after the others
)

// Presses lists what can be pressed.
var Presses = []Do{Seen, NotNow, BringBack, SetMark, MarkBack, NewSegment, Back, Note, Hold, LineCheck, LineAsk, LineDone, LineLater}

// MostText is the longest text of a press, in bytes.
const MostText = 400

// Check reports what is wrong with a press whatever the service is at.
func (p Press) Check() error {
	switch {
	case !slices.Contains(Presses, p.Do):
		return fmt.Errorf("no such press %q; want one of %v", p.Do, Presses)
	case len(p.Text) > MostText:
		return ErrLong
	case !utf8.ValidString(p.Text) || strings.ContainsFunc(p.Text, func(r rune) bool { return r < ' ' }):
		return ErrNotPlain
	case p.Do == Note && strings.TrimSpace(p.Text) == "":
		return Refuse("refused.empty")
	case p.Do == NewSegment && p.Kind != desk.AnyKind && !slices.Contains(desk.SegmentKinds, p.Kind):
		return fmt.Errorf("no such kind of segment %q; want one of %v", p.Kind, desk.SegmentKinds)
	}
	return nil
}

// plain is the press with only what its Do is about.
func (p Press) plain() Press {
	q := Press{Do: p.Do}
	switch p.Do {
	case Seen, NotNow, BringBack, LineAsk, LineDone, LineLater:
		q.Number = p.Number
	case Hold, LineCheck:
		q.On = p.On
	case NewSegment:
		if q.Next = p.Next; !p.Next {
			q.Kind, q.Text = p.Kind, p.Text
		}
	case Note:
		q.Text = p.Text
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

	ErrChecking  = Refuse("refused.checking")
	ErrNoCheck   = Refuse("refused.no-check")
	ErrNoInput   = Refuse("refused.no-input")
	ErrInputDone = Refuse("refused.input-done")
	ErrNotAsked  = Refuse("refused.not-asked")
)
