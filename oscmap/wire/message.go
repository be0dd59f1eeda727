package wire

// Message is one OSC message. Its slices lie in the packet it was read from.
type Message struct {
	// Address begins with "/". It may be a pattern: see IsPattern.
	Address []byte
	// Tags are the type tags without their comma, brackets of arrays included.
	// Nil if the sender left the type tag string out, empty if there are no arguments.
	Tags []byte
	// Untagged says that the sender left the type tag string out, as OSC 1.0
	// allows of old senders. Args then gives nothing; the bytes are in Data.
	Untagged bool
	// Data is the bytes of the arguments as they came, with their padding.
	Data []byte

	walk Args
}

// Args begins a walk over the arguments. It lies in the message and is good for
// as long; a second call begins again, so there is one walk at a time.
//
//	for args := m.Args(); args.Next(); {
//		a := args.Arg()
//		…
//	}
func (m *Message) Args() *Args {
	// A value would read better, but a loop copies its variable each time round,
	// and that took longer than reading the argument.
	m.walk.tags, m.walk.data, m.walk.tag, m.walk.at = m.Tags, m.Data, 0, 0
	return &m.walk
}

// Arg gives the argument at index, counted from 0 and without the brackets of
// arrays; false if there are not so many. It walks from the first, so use Args
// to see them all.
func (m *Message) Arg(index int) (Arg, bool) {
	if index < 0 {
		return Arg{}, false
	}
	args := Args{tags: m.Tags, data: m.Data}
	for args.Next() {
		if index == 0 {
			return args.arg, true
		}
		index--
	}
	return Arg{}, false
}

// read fills the message from an element that starts with "/" and whose size
// is a multiple of four. The reason is 0 if all is well.
func (m *Message) read(element []byte) Reason {
	address, rest, reason := cutString(element)
	if reason != 0 {
		return reason
	}
	m.Address = address
	// Nearly all that a desk sends is one number, and is done here.
	if len(rest) >= 8 && rest[0] == ',' && rest[2]|rest[3] == 0 && sizes[rest[1]] == len(rest)-4 {
		m.Tags, m.Untagged, m.Data = rest[1:2:2], false, rest[4:len(rest):len(rest)]
		return 0
	}
	// Whatever is left when the tags were left out is of a size and type that only
	// the sender knows, so it is kept as it is.
	if len(rest) == 0 || rest[0] != ',' {
		m.Tags, m.Untagged, m.Data = nil, true, rest
		return 0
	}
	tags, data, reason := cutString(rest)
	if reason != 0 {
		return reason
	}
	m.Tags, m.Untagged = tags[1:], false
	left, reason := cutAll(m.Tags, data)
	if reason != 0 {
		return reason
	}
	// Some senders always send a buffer of one size, and what they did not fill is
	// NUL. Anything else was meant as something, and we do not know as what.
	if !zero(left) {
		return BytesLeftOver
	}
	end := len(data) - len(left)
	m.Data = data[:end:end] // with no room behind, so that an append cannot reach into the packet
	return 0
}
