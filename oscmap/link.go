package oscmap

import "time"

// Transport is how packets travel between the desk and Pawl.
type Transport uint8

// The transports. The zero value is UDP, as is a map's default.
const (
	UDP       Transport = iota
	TCPSLIP             // a stream framed by RFC 1055 with END at both ends of a packet, as OSC 1.1 has it
	TCPLength           // a stream with an int32 size before each packet, as OSC 1.0 has it
)

var transportWords = []string{"udp", "tcp-slip", "tcp-length"}

// String is the transport's word in a map.
func (t Transport) String() string { return transportWords[t] }

// Words are the words a map may use, in the order of the constants.
func (Transport) Words() []string { return transportWords }

// Link is how a map says the desk is reached. Which host it is stands in the
// house file, since the same map serves every desk of its kind.
type Link struct {
	Transport Transport

	// DeskPort is where the desk listens for asks.
	DeskPort int

	// ListenPort is where the desk sends, if it always sends to one port. Zero
	// means that it answers to the port that asked.
	ListenPort int

	// StaleAfter is how long this desk may be quiet before it counts as gone.
	// Zero means that the map does not say.
	StaleAfter time.Duration
}
