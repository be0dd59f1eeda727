package capture

import (
	"bufio"
	"fmt"
	"io"
	"time"

	"github.com/gopacket/gopacket"
	"github.com/gopacket/gopacket/layers"
	"github.com/gopacket/gopacket/pcapgo"
)

// MostData is the longest payload that can be written between any two ends, in
// bytes: a datagram of IPv4.
const MostData = 0xffff - 20 - 8

// Writer writes datagrams to a pcapng file. Make one with NewWriter. It may be
// used from one goroutine only.
type Writer struct {
	ng   *pcapgo.NgWriter
	buf  []byte // one record with its headers, kept between calls
	last time.Time
	id   uint16
}

// NewWriter begins a capture on w. The file's own header is written at once but
// stays in the buffer until Flush. Note is a remark for whoever opens the file,
// such as the name of the desk; it may be empty.
func NewWriter(w io.Writer, note string) (*Writer, error) {
	ng, err := pcapgo.NewNgWriterInterface(bufio.NewWriterSize(w, 64<<10), pcapgo.NgInterface{
		Name:        "pawl",
		Description: "datagrams from the desk; the IP and UDP headers are Pawl's own",
		LinkType:    layers.LinkTypeRaw,
		// Longer than any record, so that no reader believes a record was cut.
		SnapLength: 256 << 10,
	}, pcapgo.NgWriterOptions{SectionInfo: pcapgo.NgSectionInfo{Application: "pawl", Comment: note}})
	if err != nil {
		return nil, fmt.Errorf("begin capture: %w", err)
	}
	return &Writer{ng: ng}, nil
}

// Write adds one datagram. Data is copied, so the caller may reuse it at once. A
// time before the last one is written as the last one, so that the file's times
// never run backwards. An invalid or unspecified To is written as the
// unspecified address. It is an error, and nothing is written, if From is not a
// valid address, if the two ends are not of one family, or if Data is longer
// than a datagram can be (65,507 bytes in IPv4, 65,527 in IPv6).
func (w *Writer) Write(p Packet) error {
	if p.At.Before(w.last) {
		p.At = w.last
	}
	w.id++
	var err error
	if w.buf, err = appendDatagram(w.buf[:0], p, w.id); err != nil {
		return fmt.Errorf("write capture: %w", err)
	}
	info := gopacket.CaptureInfo{Timestamp: p.At, CaptureLength: len(w.buf), Length: len(w.buf)}
	if err := w.ng.WritePacket(info, w.buf); err != nil {
		return fmt.Errorf("write capture: %w", err)
	}
	w.last = p.At
	return nil
}

// Flush hands everything written so far to the underlying writer. Call it at
// least once a second while a service runs, and before closing the file.
func (w *Writer) Flush() error {
	if err := w.ng.Flush(); err != nil {
		return fmt.Errorf("write capture: %w", err)
	}
	return nil
}
