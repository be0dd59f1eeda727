package desk

import "time"

// How is how a mark came to be.
type How string

// The ways in which a mark comes to be. Unmarked is none yet.
const (
	Unmarked     How = ""
	ByHand       How = "hand"     // somebody set it
	MusicBegan   How = "music"    // the first of a service
	SceneChanged How = "scene"    // the desk recalled a scene
	Rerouted     How = "routing"  // inputs go elsewhere than they did
	LevelKept    How = "accepted" // a level was kept for so long that it is meant
)

// Mark is the mix that everything is measured from. Until Set it is none.
type Mark struct {
	Set   bool
	At    time.Duration
	How   How
	Total DBFS
	Base  *Balance // not to be written through; nil until Set
}

// Regained is the mark to measure from once an input's source gain went up by this and
// its fader down for it.
func (m Mark) Regained(input int, by DB) Mark {
	if !m.Set {
		return m
	}
	base := &Balance{} // what was said of the mark may still look at the other
	base.CopyFrom(m.Base)
	base.Regain(input, by)
	m.Base = base
	return m
}

// SegmentKind is what sort of part of a service it is.
type SegmentKind string

// The kinds of segment. AnyKind is a service of which nobody said.
const (
	AnyKind SegmentKind = ""
	Music   SegmentKind = "music"
	Speech  SegmentKind = "speech"
	Quiet   SegmentKind = "quiet"

	// SoundCheck is before anybody arrives: one after another plays, people talk beside
	// closed microphones, half a song is tried twice. What would be a fault in a service
	// is the work itself. It is never heard, only said.
	SoundCheck SegmentKind = "sound-check"
)

// SegmentKinds lists the kinds that can be said.
var SegmentKinds = []SegmentKind{Music, Speech, Quiet, SoundCheck}

// Segment is a part of a service. The zero value is the whole of one that nobody
// divided.
type Segment struct {
	Number int           // counts from 1
	Since  time.Duration // when it began
	Kind   SegmentKind
	Name   string // the house's own, or ""

	// Sounding is since when it has been of its kind. Of one that was heard to be, that is when
	// what was heard began: it takes some seconds to be believed.
	Sounding time.Duration

	// Primary is the input, from 0, that carries its element here; nil for the first of
	// that element. Elements are those that inputs play here and not elsewhere.
	Primary  *int
	Elements map[int]Element

	How  Began
	Part int // of the running order, counted from 1; 0 for one that is not in it
}

// Who is a mover with the name that it had at the time, for whoever reads of it later.
type Who struct {
	Strip Strip  `json:"strip"`
	Index int    `json:"index"` // from 0
	Name  string `json:"name"`  // without what it is: "band", not "band DCA"

	// Label is Name with what it is in a reader's language, put there when it leaves
	// for somebody who reads; "" before.
	Label string `json:"label,omitempty"`
}

// Who names a mover.
func (r Roster) Who(m Mover) Who { return Who{Strip: m.Strip, Index: m.Index, Name: r.bare(m)} }

// Mover is the mover without its name.
func (w Who) Mover() Mover { return Mover{w.Strip, w.Index} }

// MarshalText writes the strip's word in a map.
func (s Strip) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the strip's word.
func (s *Strip) UnmarshalText(b []byte) error {
	i, err := Word(stripWords, b)
	*s = Strip(i)
	return err
}

// Words lists the words of the strips that can be moved, for the schema of the frames.
func (Strip) Words() []string { return stripWords[StripInput : StripMain+1] }
