package wire

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"
)

// Framing is how packets are told apart in a stream of bytes, where UDP would
// have kept them apart. The zero value is LengthPrefix.
type Framing uint8

const (
	// LengthPrefix is the framing of OSC 1.0: each packet after its size as an int32.
	LengthPrefix Framing = iota
	// SLIP is the framing of OSC 1.1: each packet between two END bytes, as
	// RFC 1055 escapes them.
	SLIP
)

// The bytes of SLIP, from RFC 1055.
const (
	slipEnd       = 0xc0
	slipEscape    = 0xdb
	slipEscEnd    = 0xdc
	slipEscEscape = 0xdd
)

// ErrFrameSize is wrapped by the error of a stream with length prefixes whose
// next size cannot be one. Nothing after it can be told apart: close the stream.
var ErrFrameSize = errors.New("not the size of an OSC packet")

// AppendFrame appends packet, framed for a stream, to dst and returns the
// longer slice. The packet is not looked at; an empty one makes a frame that a
// Splitter ignores.
func AppendFrame(dst, packet []byte, f Framing) []byte {
	if f != SLIP {
		dst = binary.BigEndian.AppendUint32(dst, uint32(len(packet)))
		return append(dst, packet...)
	}
	// An END before as well as after, as RFC 1055 advises: whatever noise came on
	// the line before this packet then ends as a frame of its own.
	dst = append(dst, slipEnd)
	for _, c := range packet {
		switch c {
		case slipEnd:
			dst = append(dst, slipEscape, slipEscEnd)
		case slipEscape:
			dst = append(dst, slipEscape, slipEscEscape)
		default:
			dst = append(dst, c)
		}
	}
	return append(dst, slipEnd)
}

// Splitter cuts a stream into packets. It is used from one goroutine, and stops
// allocating once its buffer has grown to the largest packet that came.
type Splitter struct {
	in       *bufio.Reader
	framing  Framing
	max      int
	frame    []byte // what has come of the frame; with LengthPrefix its size too
	given    bool   // the frame has been given to the caller and is done with
	escaped  bool   // SLIP: the last byte was an escape
	skipping bool   // SLIP: drop what comes up to the next END
	dropped  int
}

// NewSplitter makes a Splitter that reads packets of at most max bytes from r;
// 0 or less means MaxPacket. It reads ahead, so nobody else may read from r.
func NewSplitter(r io.Reader, f Framing, max int) *Splitter {
	if max <= 0 {
		max = MaxPacket
	}
	return &Splitter{in: bufio.NewReader(r), framing: f, max: max}
}

// Next gives the next packet, which holds until Next is called again. Frames
// with nothing in them are passed over.
//
// The error is io.EOF if the stream ended after a whole frame,
// io.ErrUnexpectedEOF if it ended within one, or wraps ErrFrameSize. Any other
// is the reader's own, and after one that passes, such as a deadline, Next may
// be called again: no bytes are lost.
func (s *Splitter) Next() ([]byte, error) {
	if s.given {
		s.frame, s.given = s.frame[:0], false
	}
	read, head := s.nextLength, sizeBytes
	if s.framing == SLIP {
		read, head = s.nextSLIP, 0
	}
	err := read()
	if err == io.EOF && (len(s.frame) > 0 || s.escaped || s.skipping) {
		err = io.ErrUnexpectedEOF
	}
	if err != nil {
		return nil, err
	}
	s.given = true
	return s.frame[head:len(s.frame):len(s.frame)], nil
}

// Dropped counts the SLIP frames that were left out so far, because of an
// escape that RFC 1055 does not know or because they were too large.
func (s *Splitter) Dropped() int { return s.dropped }

const sizeBytes = 4

// nextLength reads a size and then as many bytes into the frame. What came before
// an error stays there.
func (s *Splitter) nextLength() error {
	for {
		want := sizeBytes
		if len(s.frame) >= sizeBytes {
			size := binary.BigEndian.Uint32(s.frame)
			switch {
			// There is no mark to look for in such a stream, so one wrong size makes
			// everything behind it unreadable, and it stays in the frame.
			case size%4 != 0 || uint64(size) > uint64(s.max):
				return fmt.Errorf("read stream: %d: %w", int32(size), ErrFrameSize)
			case size == 0:
				s.frame = s.frame[:0]
			default:
				want += int(size)
			}
		}
		if len(s.frame) == want {
			return nil
		}
		// The size that a sender claims cannot make us set aside more than one packet.
		s.frame = slices.Grow(s.frame, want-len(s.frame))
		n, err := s.in.Read(s.frame[len(s.frame):want])
		if s.frame = s.frame[:len(s.frame)+n]; err != nil {
			return err
		}
	}
}

func (s *Splitter) nextSLIP() error {
	for {
		c, err := s.in.ReadByte()
		switch {
		case err != nil:
			return err
		case c == slipEnd:
			if s.end() {
				return nil
			}
		case s.skipping:
		case s.escaped:
			s.escaped = false
			switch c {
			case slipEscEnd:
				s.put(slipEnd)
			case slipEscEscape:
				s.put(slipEscape)
			default:
				s.drop()
			}
		case c == slipEscape:
			s.escaped = true
		default:
			s.put(c)
		}
	}
}

// end closes a SLIP frame and reports whether it is one to give.
func (s *Splitter) end() bool {
	if s.escaped {
		s.drop() // RFC 1055 has no escaped END: the rest of the frame went missing
	}
	whole := !s.skipping && len(s.frame) > 0
	s.escaped, s.skipping = false, false
	return whole
}

func (s *Splitter) put(c byte) {
	if len(s.frame) == s.max {
		s.drop()
		return
	}
	s.frame = append(s.frame, c)
}

// drop gives up the frame that is coming.
func (s *Splitter) drop() {
	s.frame = s.frame[:0]
	s.skipping = true
	s.dropped++
}
