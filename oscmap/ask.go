package oscmap

import "time"

// Ask is one message that Pawl may send to the desk. Only this package can
// make one that holds a packet, from a map that was checked: whatever writes
// to the desk's socket takes an Ask and so cannot send anything else. The zero
// value holds no packet and there is nothing to send.
//
// An Ask does not change and may be used from any goroutine.
type Ask struct {
	packet string // a string, so that nobody who is handed it can change it
	text   string

	// Every is the time between two sends, and zero if it is not repeated. The
	// first is due as soon as the link is up, not one interval later.
	Every time.Duration

	// AfterSilence asks when nothing was heard from the desk for this long, and
	// again after each further such silence. Zero is never.
	AfterSilence time.Duration

	// OnConnect asks when the link first comes up; OnReturn when a desk that
	// had gone quiet is heard again, or a broken connection is made anew.
	OnConnect bool
	OnReturn  bool
}

// Packet is the OSC message to send, freshly copied: the caller may keep or
// change it. It is empty for the zero Ask, and an empty packet is not sent.
func (a Ask) Packet() []byte { return []byte(a.packet) }

// String is the message in words, as in "/listen 60", for pages and logs.
func (a Ask) String() string { return a.text }
