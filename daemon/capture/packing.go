package capture

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"

	"github.com/klauspost/compress/zstd"
)

// Ending is that of the names of files that a Recorder wrote with Zstd.
const Ending = ".pcapng.zst"

// newPacker compresses at the fastest level: levels of meters are noise to it, and what
// shrinks are headers and addresses, which the fastest finds as well as the slowest. A
// second of a desk is 10 to 100 KB, so a window of 256 KB loses nothing and a megabyte
// or two of memory are saved.
func newPacker() (*zstd.Encoder, error) {
	return zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedFastest), zstd.WithEncoderConcurrency(1),
		zstd.WithLowerEncoderMem(true), zstd.WithWindowSize(256<<10))
}

// pack makes one frame of the blocks, if they are to be compressed.
func (r *Recorder) pack() {
	if r.packer == nil || r.blocks.Len() == 0 {
		return
	}
	plain := bytes.Clone(r.blocks.Bytes())
	r.blocks.Reset()
	r.blocks.Write(r.packer.EncodeAll(plain, nil))
}

var (
	magicGzip = []byte{0x1f, 0x8b}
	magicZstd = []byte{0x28, 0xb5, 0x2f, 0xfd}
)

const (
	// mostUnpacked is how long a compressed capture may be when it is plain: half a day
	// of a desk of 64 inputs that says everything twenty times a second. Some kilobytes
	// can be made to say as much and more.
	mostUnpacked = 8 << 30

	// mostWindow is how much memory a frame of zstd may ask for; what RFC 8878 (3.1.1.1.2)
	// recommends that everybody can read.
	mostWindow = 8 << 20
)

// unpack opens what a compressed file holds, up to most bytes, or the file itself if it is plain.
func (r *Reader) unpack(in *bufio.Reader) (*bufio.Reader, error) {
	head, _ := in.Peek(4)
	switch {
	case bytes.HasPrefix(head, magicGzip):
		z, err := gzip.NewReader(in)
		if err != nil {
			return nil, headless(err)
		}
		r.packed = &packed{r: z, left: r.most}
	case bytes.Equal(head, magicZstd):
		// One at a time, and so without goroutines that somebody would have to end.
		z, err := zstd.NewReader(in, zstd.WithDecoderConcurrency(1), zstd.WithDecoderLowmem(true), zstd.WithDecoderMaxWindow(mostWindow))
		if err != nil {
			return nil, err
		}
		r.packed = &packed{r: z, left: r.most}
	default:
		return in, nil
	}
	return bufio.NewReaderSize(r.packed, 256<<10), nil
}

// errTooMuch is how reading ends at mostUnpacked.
var errTooMuch = fmt.Errorf("it unpacks to more than %d GiB; want one service a capture", mostUnpacked>>30)

// packed reads what is compressed to a length, and remembers how it ended: the capture
// in it may seem whole where it was torn between two records.
type packed struct {
	r    io.Reader
	left int64
	err  error
}

func (p *packed) Read(b []byte) (int, error) {
	if p.left <= 0 {
		p.err = errTooMuch
		return 0, p.err
	}
	n, err := p.r.Read(b[:min(int64(len(b)), p.left)])
	p.left -= int64(n)
	if errors.Is(err, zstd.ErrMagicMismatch) {
		// A file that a power cut left longer than what was written ends in zeros.
		err = io.ErrUnexpectedEOF
	}
	p.err = err
	return n, err
}

// ended is how reading ended, where that is not for the capture inside to tell.
func (p *packed) ended(err error) error {
	if p != nil && p.err != nil && p.err != io.EOF {
		return p.err
	}
	return err
}
