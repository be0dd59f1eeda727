package wire

import (
	"slices"
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

// TestArrays walks into arrays within arrays and out again.
func TestArrays(t *testing.T) {
	var r Reader
	r.Reset(message(t, "/a", 1, []any{2, []any{3}, 4}, 5))
	if !r.Next() {
		t.Fatal(r.Err())
	}
	var got []float64
	for args := r.Message().Args(); args.Next(); {
		got = append(got, args.Arg().Number)
	}
	if want := []float64{1, 2, 3, 4, 5}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// TestArgsAgain leaves a walk inside an array and begins another.
func TestArgsAgain(t *testing.T) {
	var r Reader
	r.Reset(message(t, "/a", []any{7, 8}, 9))
	if !r.Next() {
		t.Fatal(r.Err())
	}
	for range 2 {
		args := r.Message().Args()
		if !args.Next() || args.Arg().Number != 7 {
			t.Errorf("got %s, want i:7", showArg(args.Arg()))
		}
	}
}

// TestData has the bytes of the arguments without the NULs that some senders add.
func TestData(t *testing.T) {
	for _, c := range []struct{ name, packet, want string }{
		{"int", "/a\x00\x00,i\x00\x00\x01\x02\x03\x04", "\x01\x02\x03\x04"},
		{"string with its padding", "/a\x00\x00,s\x00\x00ab\x00\x00", "ab\x00\x00"},
		{"NULs behind", "/a\x00\x00,i\x00\x00\x01\x02\x03\x04\x00\x00\x00\x00", "\x01\x02\x03\x04"},
		{"no tags", "/a\x00\x00\x01\x02\x03\x04", "\x01\x02\x03\x04"},
		{"nothing", "/a\x00\x00,\x00\x00\x00", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			var r Reader
			r.Reset([]byte(c.packet))
			if !r.Next() || string(r.Message().Data) != c.want {
				t.Errorf("got %q, %v; want %q", r.Message().Data, r.Err(), c.want)
			}
		})
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
	for _, tags := range []string{"iT", "hT", "sT", "bT", "xT", "]", "["} {
		m := Message{Tags: []byte(tags)}
		args := m.Args()
		for range 2 {
			if args.Next() {
				t.Errorf("%s: got an argument out of nothing", tags)
			}
		}
	}
}
