package practice

import (
	"fmt"
	"time"

	"pawl/oscmap/wire"
)

// Dialect is one way in which a desk might speak OSC. It keeps no state and is
// safe from any goroutine. What it says may be kept by whoever hears it.
type Dialect interface {
	// Tell says the topics.
	Tell(v View, about []Topic, say func(packet []byte))

	// Meters says what the meters show, if this desk says so unasked.
	Meters(v View, say func(packet []byte))

	// Hear is what somebody asks of the desk in one message.
	Hear(m *wire.Message) Request
}

// Request is what a message asks for. The zero value asks for nothing: no
// message can move a fader of this desk.
type Request struct {
	Listen time.Duration // to be told everything that changes, for so long
	All    bool          // every value, once
	One    bool          // the value of Topic
	Topic  Topic
}

// Asker is a dialect whose desk answers and never tells. Its rota is what a
// diligent asker wants to know at each tick, a sixtieth of a second, so that
// Play has the answers of a service nobody was there to ask.
type Asker interface {
	Dialect
	Rota(tick int64) []Topic
}

// Message is the bytes of one OSC message. It panics on what the desk itself
// must never try to send, such as a name with a NUL in it.
func Message(address string, args ...any) []byte {
	b, err := wire.AppendMessage(nil, address, args...)
	if err != nil {
		panic(fmt.Sprintf("practice desk: %v", err))
	}
	return b
}
