package capture

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"syscall"
	"time"

	"github.com/gopacket/gopacket"
	"github.com/gopacket/gopacket/layers"
	"github.com/gopacket/gopacket/pcapgo"
	"github.com/klauspost/compress/zstd"

	"pawl/oscmap/wire"
)

// Reader reads the packets of a capture one by one: UDP datagrams, and after
// ReadTCP the OSC packets in TCP streams too. Make one with NewReader. It may be
// used from one goroutine only.
//
//	for r.Next() {
//		use(r.Packet())
//	}
//	if err := r.Err(); err != nil { … }
type Reader struct {
	src    gopacket.ZeroCopyPacketDataSource
	link   layers.LinkType // of the whole file; pcapng says it for each record
	mixed  bool
	opener *opener
	tcp    *streams // nil unless TCP is read
	packet Packet
	handed time.Time // the time of the last packet handed on
	counts Counts
	shift  time.Duration // by which the clock was set back
	err    error
	done   bool

	in     *bufio.Reader
	length uint64 // that the record at hand says of itself

	most    int64          // bytes that it may unpack to
	packed  *packed        // nil if it is plain
	missing map[int]uint64 // of each interface, as its tool said last

	left <-chan struct{} // closed when what is read ahead is not wanted any more; else nil
}

// NewReader begins to read a capture: pcapng or pcap, plain or compressed with
// gzip or zstd. What is not a capture is an error here.
func NewReader(r io.Reader) (*Reader, error) {
	in := &Reader{opener: newOpener(false), most: mostUnpacked}
	return in, in.begin(r)
}

// ReadTCP has the reader put TCP streams together too and hand on the OSC packets
// in them, told apart by f. Call it before the first Next. Without it TCP is
// passed over: the bytes of a stream do not say which framing they follow.
func (r *Reader) ReadTCP(f wire.Framing) {
	r.opener, r.tcp = newOpener(true), newStreams(f)
}

var (
	magicPcapNG = []byte{0x0a, 0x0d, 0x0d, 0x0a}
	magicPcap   = [][]byte{{0xa1, 0xb2, 0xc3, 0xd4}, {0xd4, 0xc3, 0xb2, 0xa1}, {0xa1, 0xb2, 0x3c, 0x4d}, {0x4d, 0x3c, 0xb2, 0xa1}}
)

func (r *Reader) begin(file io.Reader) error {
	if err := r.open(bufio.NewReaderSize(file, 256<<10)); err != nil {
		return fmt.Errorf("open capture: %w", err)
	}
	return nil
}

func (r *Reader) open(in *bufio.Reader) error {
	in, err := r.unpack(in)
	if err != nil {
		return err
	}
	r.in = in
	head, err := in.Peek(4)
	switch {
	case errors.Is(err, syscall.EISDIR):
		return errors.New("it is a folder; name one capture in it")
	case err != nil && err != io.EOF:
		return headless(err)
	case len(head) == 0:
		return errors.New("the file is empty")
	}
	if bytes.Equal(head, magicPcapNG) {
		// One file may hold several interfaces, each of its own link type.
		r.mixed = true
		r.src, err = pcapgo.NewNgReader(in, pcapgo.NgReaderOptions{
			WantMixedLinkType: true, SkipUnknownVersion: true, StatisticsCallback: r.statistics,
		})
		return headless(err)
	}
	for _, magic := range magicPcap {
		if bytes.Equal(head, magic) {
			classic, err := pcapgo.NewReader(in)
			if err != nil {
				return headless(err)
			}
			r.src, r.link = classic, classic.LinkType()
			return nil
		}
	}
	return fmt.Errorf("it begins with % x, which is neither pcapng nor pcap; a packet tool can save as either", head)
}

// headless says why nothing can be read of a file that begins as a capture does.
func headless(err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return errors.New("it ends before its first packet; it may have been cut off when it was written or copied")
	}
	return fmt.Errorf("its head cannot be read, so it is damaged or no capture: %w", err)
}

// statistics hears from the file what its tool lost. The figure of an interface
// is a sum since it was opened, and the last one stands.
func (r *Reader) statistics(of int, s pcapgo.NgInterfaceStatistics) {
	if s.PacketsDropped == pcapgo.NgNoValue64 || s.PacketsDropped == 0 && r.missing == nil {
		return
	}
	if r.missing == nil {
		r.missing = map[int]uint64{}
	}
	r.counts.Missing += s.PacketsDropped - r.missing[of]
	r.missing[of] = s.PacketsDropped
}

// Next goes to the next packet, and says false at the end of the file or at a
// fault that cannot be read past. Records that complete no packet are counted
// and passed over.
func (r *Reader) Next() bool {
	for {
		if r.tcp != nil && r.tcp.next(&r.packet, r.handed, r.counts.last) {
			r.counts.Packets++
			r.handed = r.packet.At
			return true
		}
		if r.done {
			if r.tcp != nil && r.tcp.end() {
				continue
			}
			return false
		}
		if r.read() {
			r.handed = r.packet.At
			return true
		}
		select {
		case <-r.left: // there may be any number of records without a packet
			return false
		default:
		}
	}
}

// read reads one record and reports whether it gave a datagram.
func (r *Reader) read() bool {
	if r.length = r.declared(); r.length == 0 && r.mixed { // no block is so short
		r.end(gopacket.CaptureInfo{}, io.ErrUnexpectedEOF)
		return false
	}
	frame, info, err := r.src.ZeroCopyReadPacketData()
	if err != nil {
		r.end(info, err)
		return false
	}
	r.counts.Records++
	link := r.link
	if r.mixed {
		link, _ = info.AncillaryData[0].(layers.LinkType)
	}
	return r.take(link, frame, info)
}

// take opens one record and reports whether it gave a datagram.
func (r *Reader) take(link layers.LinkType, frame []byte, info gopacket.CaptureInfo) bool {
	at := r.inOrder(info.Timestamp)
	switch r.opener.open(link, frame, at) {
	case whole:
		r.counts.Packets++
		r.packet = Packet{At: at, From: r.opener.from, To: r.opener.to, Data: r.opener.data}
		return true
	case segment:
		r.tcp.segment(r.opener.from, r.opener.to, &r.opener.tcp, at)
		if info.CaptureLength < info.Length {
			r.counts.Truncated++
		} else {
			r.counts.Segments++
		}
	case piece:
		r.counts.Pieces++
	case short, nonsense:
		if info.CaptureLength < info.Length {
			r.counts.Truncated++
		} else {
			r.counts.Malformed++
		}
	default:
		r.counts.Other++
		if !known(link) {
			r.counts.UnknownLink++
		}
		if r.opener.hasTCP {
			r.counts.TCP++
		}
	}
	return false
}

// clockSet is how far time may run backwards by records that overtook each other.
// More means that the clock was set, by a person or the network.
const clockSet = 2 * time.Second

// inOrder keeps time from running backwards, as it does in files merged from
// several interfaces, and lends the time of the record before to one that has
// none. Where the clock was set back, time goes on from the record before:
// otherwise it would stand still until the clock had caught up.
func (r *Reader) inOrder(at time.Time) time.Time {
	last, read := r.counts.last, at
	if at.IsZero() {
		return last
	}
	if r.shift > 0 {
		at = at.Add(r.shift)
	}
	switch {
	case at.Before(last) && last.Sub(at) > clockSet:
		r.counts.SetBack++
		r.shift = last.Sub(read)
		return last
	case at.Before(last):
		r.counts.Backwards++
		return last
	case r.shift > 0 && at.Sub(last) > clockSet && !read.Before(last):
		r.shift, at = 0, read // it was put right again
	}
	r.counts.last = at
	return at
}

// end notes why there is nothing more. A file that stops inside a record is
// what a power cut leaves, and is not an error: everything before it is good.
func (r *Reader) end(info gopacket.CaptureInfo, err error) {
	r.done = true
	err = r.packed.ended(err)
	r.counts.Lost = r.opener.pieces.lost + r.opener.pieces.unfinished()
	switch {
	// A pcap record whose header was read before the end came has its time.
	case err == io.EOF && info.Timestamp.IsZero():
	case err != io.EOF && !errors.Is(err, io.ErrUnexpectedEOF):
		r.err = fmt.Errorf("read capture: after record %d: %w", r.counts.Records, damagedThere(err))
	case r.length > mostRecord || r.length == 0 && r.holdsMore():
		r.counts.Damaged = true
	default:
		r.counts.CutShort = true
	}
}

// holdsMore reports whether something else than zeros stands in the rest of the file.
func (r *Reader) holdsMore() bool {
	for {
		b, err := r.in.ReadByte()
		if err != nil || b != 0 {
			return err == nil
		}
	}
}

// mostRecord is longer than any record: tools keep at most 256 KiB of a packet, and say a little
// of it. One that says that it is longer is none, and its end is not to be found.
const mostRecord = 1 << 20

// declared is how long the next record says that it is, in whichever order its bytes are; 0 of
// zeros, as a power cut leaves them, and 1 where too little stands to say it.
func (r *Reader) declared() uint64 {
	at := 4
	if !r.mixed {
		at = 8
	}
	head, _ := r.in.Peek(at + 4)
	if len(head) < at+4 {
		return 1
	}
	return uint64(min(binary.LittleEndian.Uint32(head[at:]), binary.BigEndian.Uint32(head[at:])))
}

// damagedThere is why nothing more can be read: what the disk says, or that the file itself is wrong.
func damagedThere(err error) error {
	var disk syscall.Errno
	if errors.Is(err, errTooMuch) || errors.Is(err, zstd.ErrWindowSizeExceeded) || errors.As(err, &disk) {
		return err
	}
	return errDamaged
}

var errDamaged = errors.New("the file is damaged there, and what comes after cannot be read")

// Packet is the packet that Next found. It and its Data are valid until the
// next call of Next.
func (r *Reader) Packet() *Packet { return &r.packet }

// Err is nil once the whole file has been read, even if it ends in the middle
// of a record; see Counts.CutShort.
func (r *Reader) Err() error { return r.err }

// Counts says what the file has held so far.
func (r *Reader) Counts() Counts {
	c := r.counts
	if !r.done {
		c.Lost = r.opener.pieces.lost
	}
	if r.tcp != nil {
		r.tcp.count(&c)
	}
	return c
}
