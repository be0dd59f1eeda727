package wire

import (
	"encoding/csv"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// readCheck gives the rows of a table of published values, the heading row left out.
func readCheck(t testing.TB, name string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "checks", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func unhex(t testing.TB, s string) []byte {
	t.Helper()
	b, err := hex.DecodeString(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// show reads a packet and writes what came of it: a line for each message, then
// one for what was skipped and one for the fault.
func show(r *Reader, packet []byte) string {
	var lines []string
	for r.Reset(packet); r.Next(); {
		lines = append(lines, showMessage(r.Message()))
	}
	if n := r.Skipped(); n > 0 {
		lines = append(lines, fmt.Sprintf("skipped %d", n))
	}
	if err := r.Err(); err != nil {
		lines = append(lines, "fault "+err.(Reason).String())
	}
	return strings.Join(lines, "\n")
}

func showMessage(m *Message) string {
	words := []string{string(m.Address), "," + string(m.Tags)}
	if m.Untagged {
		words[1] = fmt.Sprintf("untagged %x", m.Data)
	}
	for args := m.Args(); args.Next(); {
		words = append(words, showArg(args.Arg()))
	}
	return strings.Join(words, " ")
}

func showArg(a *Arg) string {
	switch {
	case a.IsText():
		return fmt.Sprintf("%c:%q", a.Tag, a.Bytes)
	case a.IsBlob():
		return fmt.Sprintf("b:%x", a.Bytes)
	case a.Tag == 'f':
		return fmt.Sprintf("f:%v", float32(a.Number))
	case a.Tag == 'i' || a.Tag == 'c' || a.Tag == 'h':
		if float64(int64(a.Bits)) != a.Number {
			return fmt.Sprintf("%c:%v is not %d", a.Tag, a.Number, int64(a.Bits))
		}
		return fmt.Sprintf("%c:%d", a.Tag, int64(a.Bits))
	case a.IsNumber():
		return fmt.Sprintf("%c:%v", a.Tag, a.Number)
	case a.Tag == 'N' || a.Tag == 'I':
		return string(a.Tag)
	}
	return fmt.Sprintf("%c:%x", a.Tag, a.Bits)
}
