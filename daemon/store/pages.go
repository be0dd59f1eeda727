package store

import (
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"
)

// pageRows gives the rows of every page of tables in a record's file, whether anything still leads
// to it or not, by the SQLite file format (sqlite.org/fileformat2.html, 1.6 and 2.1). What is no
// row is passed over.
func pageRows(path string, each func(row []any) error) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	head, err := readHead(path)
	if err != nil {
		return err
	}
	p := pages{f: f, size: pageSize(head)}
	p.usable = p.size - int64(head[20])
	for n := int64(2); ; n++ { // the first has the list of tables
		page, err := p.page(n)
		if err != nil {
			return atEnd(err)
		}
		for _, at := range cells(page) {
			row, err := p.row(page, at)
			if err != nil {
				continue
			}
			if err := each(row); err != nil {
				return err
			}
		}
	}
}

func pageSize(head []byte) int64 {
	if size := int64(binary.BigEndian.Uint16(head[16:])); size != 1 {
		return size
	}
	return 1 << 16
}

func atEnd(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return nil
	}
	return err
}

type pages struct {
	f            io.ReaderAt
	size, usable int64
}

// page is one by its number, from 1.
func (p pages) page(n int64) ([]byte, error) {
	b := make([]byte, p.size)
	_, err := p.f.ReadAt(b, (n-1)*p.size)
	return b, err
}

// cells are where the rows of a leaf of a table begin; none of any other page.
func cells(page []byte) (all []int) {
	const leafOfTable, header = 0x0d, 8
	if page[0] != leafOfTable {
		return nil
	}
	for i := range int(binary.BigEndian.Uint16(page[3:])) {
		if header+2*i+2 > len(page) {
			return all
		}
		all = append(all, int(binary.BigEndian.Uint16(page[header+2*i:])))
	}
	return all
}

var errNoRow = errors.New("no row stands there")

// mostRow is longer than a row is: the text of a house file.
const mostRow = 4 << 20

func (p pages) row(page []byte, at int) ([]any, error) {
	if at >= len(page) {
		return nil, errNoRow
	}
	long, n := varint(page[at:])
	_, m := varint(page[min(at+n, len(page)):])
	if n == 0 || m == 0 || long <= 0 || long > mostRow {
		return nil, errNoRow
	}
	body, err := p.payload(page[min(at+n+m, len(page)):], long)
	if err != nil {
		return nil, err
	}
	return values(body)
}

// payload is the bytes of a row, of which a long one has most in pages of its own.
func (p pages) payload(rest []byte, long int64) ([]byte, error) {
	here := long
	if long > p.usable-35 {
		least := (p.usable-12)*32/255 - 23
		if here = least + (long-least)%(p.usable-4); here > p.usable-35 {
			here = least
		}
	}
	if int64(len(rest)) < here {
		return nil, errNoRow
	}
	body := append([]byte{}, rest[:here]...)
	if here == long {
		return body, nil
	}
	if rest = rest[here:]; len(rest) < 4 {
		return nil, errNoRow
	}
	for next := rest; int64(len(body)) < long; {
		page, err := p.page(int64(binary.BigEndian.Uint32(next)))
		if err != nil {
			return nil, errNoRow
		}
		body = append(body, page[4:min(p.usable, 4+long-int64(len(body)))]...)
		next = page
	}
	return body, nil
}

// values are what a row holds.
func values(body []byte) (row []any, err error) {
	head, n := varint(body)
	if n == 0 || head < int64(n) || head > int64(len(body)) {
		return nil, errNoRow
	}
	kinds, rest := body[n:head], body[head:]
	for len(kinds) > 0 {
		kind, n := varint(kinds)
		if n == 0 {
			return nil, errNoRow
		}
		kinds = kinds[n:]
		long := length(kind)
		if long < 0 || long > int64(len(rest)) {
			return nil, errNoRow
		}
		row, rest = append(row, valueOf(kind, rest[:long])), rest[long:]
	}
	return row, nil
}

// length is how many bytes a value of a kind takes; -1 of one that there is not.
func length(kind int64) int64 {
	switch {
	case kind < 0 || kind == 10 || kind == 11:
		return -1
	case kind >= 12:
		return (kind - 12) / 2
	}
	return []int64{0, 1, 2, 3, 4, 6, 8, 8, 0, 0}[kind]
}

func valueOf(kind int64, b []byte) any {
	switch {
	case kind == 0:
		return nil
	case kind == 7:
		return math.Float64frombits(binary.BigEndian.Uint64(b))
	case kind == 8 || kind == 9:
		return kind - 8
	case kind >= 12 && kind%2 == 0:
		return b
	case kind >= 12:
		return string(b)
	}
	n := int64(int8(b[0]))
	for _, c := range b[1:] {
		n = n<<8 | int64(c)
	}
	return n
}

// varint is a number in one to nine bytes, and how many; 0 bytes if it has no end.
func varint(b []byte) (v int64, n int) {
	for i := 0; i < min(9, len(b)); i++ {
		if i == 8 {
			return v<<8 | int64(b[i]), 9
		}
		v = v<<7 | int64(b[i]&0x7f)
		if b[i] < 0x80 {
			return v, i + 1
		}
	}
	return 0, 0
}
