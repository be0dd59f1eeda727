package wire

import "bytes"

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
	// Time is the time tag of the innermost bundle that holds the message,
	// Immediately if there is none. It does not delay anything.
	Time TimeTag
}

// Args begins a walk over the arguments. Take a new one for each walk; it is
// good for as long as the message is.
func (m *Message) Args() Args { return Args{tags: m.Tags, data: m.Data} }

// Arg gives the argument at index, counted from 0 and without the brackets of
// arrays; false if there are not so many. It walks from the first, so use Args
// to see them all.
func (m *Message) Arg(index int) (Arg, bool) {
	if index < 0 {
		return Arg{}, false
	}
	args := m.Args()
	for args.Next() {
		if index == 0 {
			return args.arg, true
		}
		index--
	}
	return Arg{}, false
}

// read fills the message from an element that starts with "/" and whose size
// is a multiple of four. It leaves Time alone. The reason is 0 if all is well.
func (m *Message) read(element []byte) Reason {
	address, rest, reason := cutString(element)
	if reason != 0 {
		return reason
	}
	m.Address = address
	if len(rest) == 0 || rest[0] != ',' {
		m.Tags, m.Untagged, m.Data = nil, true, rest
		return 0
	}
	tags, rest, reason := cutString(rest)
	if reason != 0 {
		return reason
	}
	m.Tags, m.Untagged, m.Data = tags[1:], false, rest
	return m.check()
}

// check walks the arguments once, so that whoever walks them again may rely on
// every one of them, and cuts Data where the last one ends.
func (m *Message) check() Reason {
	args := m.Args()
	for args.Next() {
	}
	if args.reason != 0 {
		return args.reason
	}
	if args.depth != 0 {
		return UnbalancedArray
	}
	for _, b := range args.data {
		if b != 0 {
			return BytesLeftOver
		}
	}
	m.Data = m.Data[:len(m.Data)-len(args.data)]
	return 0
}

// cutString splits b, whose size is a multiple of four, after the OSC-string
// at its start: ASCII, a NUL, and NULs to the next multiple of four.
func cutString(b []byte) (s, rest []byte, reason Reason) {
	n := bytes.IndexByte(b, 0)
	if n < 0 {
		return nil, nil, UnterminatedString
	}
	end := padded(n + 1)
	if end > len(b) {
		return nil, nil, UnterminatedString
	}
	if !zero(b[n:end]) {
		return nil, nil, BadPadding
	}
	return b[:n:n], b[end:], 0
}

// padded rounds n up to a multiple of four.
func padded(n int) int { return (n + 3) &^ 3 }

func zero(b []byte) bool {
	for _, c := range b {
		if c != 0 {
			return false
		}
	}
	return true
}
