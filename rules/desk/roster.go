package desk

import "strings"

// Element is the part an input plays in the whole.
type Element uint8

// The five elements of a mix, and none for speech microphones, cues and the
// lead's room microphones, which are no part of the music's balance.
const (
	NoElement Element = iota
	Foundation
	Pad
	Rhythm
	Lead
	Fill
)

var elementWords = []string{"none", "foundation", "pad", "rhythm", "lead", "fill"}

// String is the element's word in a house file.
func (e Element) String() string { return elementWords[e] }

// MarshalText writes the word.
func (e Element) MarshalText() ([]byte, error) { return []byte(e.String()), nil }

// UnmarshalText reads the word.
func (e *Element) UnmarshalText(b []byte) error {
	i, err := Word(elementWords, b)
	*e = Element(i)
	return err
}

// Words lists the words of all elements.
func (Element) Words() []string { return elementWords }

// Roster is who is on the desk: every strip by name, in the desk's own order.
// Index 0 is the desk's first input, DCA or group.
type Roster struct {
	Inputs []Input
	DCAs   []string
	Groups []string

	// Unnamed are the strips whose names stand in for ones that nobody gave, such
	// as "input 7": if the desk has a name for one, that is used instead.
	Unnamed map[Mover]bool
}

// Input is one line of the roster.
type Input struct {
	Name    string // as the operator calls it; never empty once loaded
	Element Element

	// Voice marks a singing or speaking microphone; Cue a click, guide or
	// talkback that nobody in the room should hear.
	Voice bool
	Cue   bool

	// Mic marks an instrument that is played into a microphone. See HasMic.
	Mic bool

	// DCAs and Groups are what the input belongs to, as indices from 0. The
	// desk may report otherwise while it runs, and then the desk is right.
	DCAs   []int
	Groups []int

	// Main is true for an input that feeds the main mix directly. One in a
	// group normally does not.
	Main bool

	// Gate is the pre-fader level above which the input counts as playing
	// rather than hearing the room.
	Gate DBFS
}

// HasMic reports whether an input is known to be a microphone, which hears the loudspeakers
// too: a voice always is, and an instrument may be a line.
func (in *Input) HasMic() bool { return in.Voice || in.Mic }

// Mover is anything whose fader a hand can push: an input, a DCA, a group or
// the main. It is comparable.
type Mover struct {
	Strip Strip
	Index int
}

// Main is the mover of the main fader.
var Main = Mover{Strip: StripMain}

// Name is what the operator calls the mover: "piano", "band DCA", "brass group",
// "main". Of a mover that the roster lacks it is "".
func (r Roster) Name(m Mover) string {
	switch {
	case m.Strip == StripMain:
		return "main"
	case m.Strip == StripInput && m.Index < len(r.Inputs):
		return r.Inputs[m.Index].Name
	case m.Strip == StripDCA && m.Index < len(r.DCAs):
		return called(r.DCAs[m.Index], "DCA")
	case m.Strip == StripGroup && m.Index < len(r.Groups):
		return called(r.Groups[m.Index], "group")
	}
	return ""
}

// bare is the mover's name alone: "band", not "band DCA".
func (r Roster) bare(m Mover) string {
	switch m.Strip {
	case StripDCA:
		return r.DCAs[m.Index]
	case StripGroup:
		return r.Groups[m.Index]
	}
	return r.Name(m)
}

// called puts what a strip is after its name, unless the name says so itself.
func called(name, what string) string {
	if strings.HasSuffix(strings.ToLower(name), strings.ToLower(what)) {
		return name
	}
	return name + " " + what
}
