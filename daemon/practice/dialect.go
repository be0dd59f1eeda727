package practice

import (
	"fmt"
	"strings"
	"time"

	"pawl/oscmap/wire"
)

// Dialect is one way in which a desk might speak OSC. Every dialect here is
// invented. A Dialect keeps no state and is safe from any goroutine.
type Dialect interface {
	// Name is the word to pick it by.
	Name() string

	// Map is the map file, in YAML, by which Pawl understands it.
	Map() []byte

	// Transport is how packets travel, in the map's words: "udp" or "tcp-slip".
	Transport() string

	// tell says the topics.
	tell(v view, about []topic, say func(packet []byte))

	// meters says what the meters show, if this desk says so unasked.
	meters(v view, say func(packet []byte))

	// hear is what somebody asks of the desk in one message.
	hear(m *wire.Message) request
}

// request is what a message asks for. The zero value asks for nothing: no
// message can move a fader of this desk.
type request struct {
	listen time.Duration // to be told everything that changes, for so long
	all    bool          // every value, once
	one    bool          // the value of topic
	topic  topic
}

// asker is a dialect whose desk answers and never tells. Its rota is what a
// diligent asker wants to know at each tick, for a service played without one.
type asker interface {
	Dialect
	rota(tick int64) []topic
}

// dialects is every dialect there is, the demo's first.
var dialects = []Dialect{harbour{}, numbered{}, packed{}, spoken{}, streamed{}, polled{}}

// Dialects lists every dialect, the demo's first.
func Dialects() []Dialect { return append([]Dialect(nil), dialects...) }

// DialectNamed is the dialect of that name. The error names those there are.
func DialectNamed(name string) (Dialect, error) {
	var names []string
	for _, d := range dialects {
		if d.Name() == name {
			return d, nil
		}
		names = append(names, d.Name())
	}
	return nil, fmt.Errorf("no dialect %q; want one of %s", name, strings.Join(names, ", "))
}

// message is the bytes of one OSC message. It panics on what the desk itself
// must never try to send, such as a name with a NUL in it.
func message(address string, args ...any) []byte {
	b, err := wire.AppendMessage(nil, address, args...)
	if err != nil {
		panic(fmt.Sprintf("practice desk: %v", err))
	}
	return b
}
