package practice

import "time"

// Script is one service: what the players do, what the hand on the desk does,
// when, and what ought to be said about it. It is never changed once parsed, so
// any number of goroutines may play it.
type Script struct {
	// Name is the file's name without its ending.
	Name string

	// Length is how long the service takes, and Loops whether it ends exactly
	// as it began, so that it can follow itself.
	Length time.Duration
	Loops  bool

	// Expect is what ought to be said. It is empty when nothing whatever should be
	// said, or when the script says that this stands elsewhere.
	Expect []Expectation

	hall  *Hall
	style style
	cues  []cue
}

// Hall is where the service is.
func (s *Script) Hall() *Hall { return s.hall }

// Expectation is one thing that ought to be said in a service.
type Expectation struct {
	Rule   string // "ratchet"
	State  string // "open" or "eased"
	Weight string // "whisper", "nudge" or "now"; "" leaves it open

	// After and By bound the moment on the service's own time, which is that of
	// its first packet. Saying it before After is as wrong as saying it after By.
	After, By time.Duration
}

// cue is one thing that happens at its time.
type cue struct {
	at   time.Duration
	line int
	act  action
}

// action does something to a performance, or says why it cannot be done.
type action interface{ do(*performance) error }

// style is how a desk tells of a moving fader.
type style uint8

const (
	inSteps  style = iota + 1 // every step it passes, about thirty a second
	endOnly                   // where it came to rest
	repeated                  // every step, moved or not, and idle faders in turn
)
