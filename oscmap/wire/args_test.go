package wire

import (
	"testing"
)

func TestArgByIndex(t *testing.T) {
	var r Reader
	r.Reset(message(t, "/a", 5, []any{"six", true}, nil, float32(8)))
	if !r.Next() {
		t.Fatal(r.Err())
	}
	for i, want := range []string{"i:5", `s:"six"`, "T:1", "N", "f:8"} {
		if a, ok := r.Message().Arg(i); !ok || showArg(&a) != want {
			t.Errorf("argument %d: got %s, %v; want %s", i, showArg(&a), ok, want)
		}
	}
	for _, i := range []int{-1, 5, 1000} {
		if a, ok := r.Message().Arg(i); ok {
			t.Errorf("argument %d: got %s, want none", i, showArg(&a))
		}
	}
}

func TestArrayDepth(t *testing.T) {
	var r Reader
	r.Reset(message(t, "/a", 0, []any{1, []any{2}, 1}, 0))
	if !r.Next() {
		t.Fatal(r.Err())
	}
	for args := r.Message().Args(); args.Next(); {
		if got, want := float64(args.Depth()), args.Arg().Number; got != want {
			t.Errorf("depth %v, want %v", got, want)
		}
	}
}

func TestIs(t *testing.T) {
	for _, c := range []struct {
		tags               string
		number, text, blob bool
	}{
		{"ifhdcTF", true, false, false},
		{"sS", false, true, false},
		{"b", false, false, true},
		{"trmNI", false, false, false},
	} {
		for _, tag := range []byte(c.tags) {
			a := Arg{Tag: tag}
			if a.IsNumber() != c.number || a.IsText() != c.text || a.IsBlob() != c.blob {
				t.Errorf("%c: number %v, text %v, blob %v; want %v, %v, %v",
					tag, a.IsNumber(), a.IsText(), a.IsBlob(), c.number, c.text, c.blob)
			}
		}
	}
}

// TestUncheckedArgs walks messages made by hand, which no Reader has checked.
func TestUncheckedArgs(t *testing.T) {
	for _, tags := range []string{"i", "h", "s", "b", "]", "[", "x"} {
		m := Message{Tags: []byte(tags)}
		args := m.Args()
		if args.Next() || args.Next() {
			t.Errorf("%s: got an argument out of nothing", tags)
		}
	}
}
