package capture

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"

	"github.com/klauspost/compress/zstd"
)

// File is a compressed capture that its caller writes and waits for, where nothing is
// watched meanwhile; else a Recorder is better. Make one with Create, and Close it. It is
// used from one goroutine.
type File struct {
	file   *os.File
	writer *Writer
	packer *zstd.Encoder
	blocks bytes.Buffer
	frame  []byte
}

// Create begins a capture in a new file, whose folder is made if it is not there. Note is
// for whoever opens it.
func Create(path, note string) (*File, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o750); err != nil {
		return nil, err
	}
	f := &File{}
	var err error
	if f.packer, err = newPacker(); err != nil {
		return nil, err
	}
	if f.writer, err = NewWriter(&f.blocks, note); err != nil {
		return nil, err
	}
	f.file, err = os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o640)
	return f, err
}

// Put adds a packet, as Writer.Write does.
func (f *File) Put(p Packet) error { return f.writer.Write(p) }

// Flush writes what was put since the last time into the file.
func (f *File) Flush() error {
	if err := f.writer.Flush(); err != nil {
		return err
	}
	f.frame = f.packer.EncodeAll(f.blocks.Bytes(), f.frame[:0])
	_, err := f.file.Write(f.frame)
	f.blocks.Reset()
	return err
}

// Close writes what is left and ends the file.
func (f *File) Close() error { return errors.Join(f.Flush(), f.file.Close()) }
