package wire

import (
	"fmt"
	"strings"
	"testing"
)

const (
	head = "#bundle\x00"
	soon = "\x00\x00\x00\x00\x00\x00\x00\x01"
)

// packets has one packet for each thing the reader decides, and is the seed of
// its fuzzing. Sources: OSC 1.0 (Wright, CNMAT, 26 March 2002) where a row does
// not say that the choice is ours.
var packets = []struct{ name, packet, want string }{
	{"no arguments", "/a\x00\x00,\x00\x00\x00", "/a ,"},
	{"address alone: no type tags", "/abc\x00\x00\x00\x00", "/abc untagged "},
	{"no type tags before data", "/a\x00\x00\x00\x00\x00\x07", "/a untagged 00000007"},
	{"least address", "/\x00\x00\x00,\x00\x00\x00", "/ ,"},
	{"pattern for an address", "/a*\x00,\x00\x00\x00", "/a* ,"},
	{"symbol", "/a\x00\x00,S\x00\x00go\x00\x00", `/a ,S S:"go"`},
	{"empty string", "/a\x00\x00,s\x00\x00\x00\x00\x00\x00", `/a ,s s:""`},
	{"string of bytes beyond ASCII", "/a\x00\x00,s\x00\x00\xc3\xa9\x00\x00", `/a ,s s:"é"`},
	{"empty blob", "/a\x00\x00,b\x00\x00\x00\x00\x00\x00", "/a ,b b:"},
	{"whole blob", "/a\x00\x00,b\x00\x00\x00\x00\x00\x04\x01\x02\x03\x04", "/a ,b b:01020304"},
	{"double", "/a\x00\x00,d\x00\x00\x40\x09\x21\xfb\x54\x44\x2d\x18", "/a ,d d:3.141592653589793"},
	{"int64 that a double would round", "/a\x00\x00,h\x00\x00\x7f\xff\xff\xff\xff\xff\xff\xff", "/a ,h h:9223372036854775807"},
	{"float that is no number", "/a\x00\x00,f\x00\x00\x7f\xc0\x00\x00", "/a ,f f:NaN"},
	{"arrays in arrays", "/a\x00\x00,[T[F]]\x00", "/a ,[T[F]] T:1 F:0"},
	{"empty array", "/a\x00\x00,[]\x00", "/a ,[]"},
	{"NUL words after the arguments (ours: fixed buffers)", "/a\x00\x00,T\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00", "/a ,T T:1"},
	{"NUL words after a number", "/a\x00\x00,i\x00\x00\x00\x00\x00\x01\x00\x00\x00\x00", "/a ,i i:1"},

	{"no type tags inside a bundle", head + soon + "\x00\x00\x00\x08/a\x00\x00\x00\x00\x00\x07" + "\x00\x00\x00\x08/b\x00\x00,F\x00\x00",
		"/a untagged 00000007\n/b ,F F:0"},
	{"two messages in a bundle", head + soon + "\x00\x00\x00\x08/a\x00\x00,T\x00\x00" + "\x00\x00\x00\x08/b\x00\x00,F\x00\x00",
		"/a ,T T:1\n/b ,F F:0"},
	{"time tag ahead is not waited for", head + "\xf0\x00\x00\x00\x00\x00\x00\x00" + "\x00\x00\x00\x08/a\x00\x00,T\x00\x00",
		"/a ,T T:1"},
	{"message after a nested bundle", head + "\x00\x00\x00\x02\x00\x00\x00\x00" +
		"\x00\x00\x00\x1c" + head + "\x00\x00\x00\x01\x00\x00\x00\x00" + "\x00\x00\x00\x08/a\x00\x00,T\x00\x00" +
		"\x00\x00\x00\x08/b\x00\x00,F\x00\x00",
		"/a ,T T:1\n/b ,F F:0"},
	{"unknown tag", "/a\x00\x00,x\x00\x00", "skipped 1"},
	{"unknown tag between messages", head + soon + "\x00\x00\x00\x08/a\x00\x00,T\x00\x00" +
		"\x00\x00\x00\x0c/x\x00\x00,?\x00\x00\x01\x02\x03\x04" + "\x00\x00\x00\x08/b\x00\x00,F\x00\x00",
		"/a ,T T:1\n/b ,F F:0\nskipped 1"},

	{"empty packet", "", "fault empty_packet"},
	{"odd size", "/a\x00", "fault odd_size"},
	{"odd size after good bytes", "/a\x00\x00,T\x00\x00\x00", "fault odd_size"},
	{"no slash", "abc\x00", "fault not_osc"},
	{"only NULs", "\x00\x00\x00\x00", "fault not_osc"},
	{"not quite a bundle", "#bundles" + soon, "fault not_osc"},
	{"short word of a bundle", "#bun", "fault not_osc"},
	{"bundle without a time tag", head, "fault short_bundle"},
	{"bundle with half a time tag", head + "\x00\x00\x00\x00", "fault short_bundle"},
	{"element of no bytes", head + soon + "\x00\x00\x00\x00", "fault element_size"},
	{"element of three bytes", head + soon + "\x00\x00\x00\x03/a\x00\x00", "fault element_size"},
	{"element past the end", head + soon + "\x00\x00\x00\x0c/a\x00\x00,T\x00\x00", "fault element_size"},
	{"element of negative size", head + soon + "\xff\xff\xff\xfc/a\x00\x00", "fault element_size"},
	{"size and nothing more", head + soon + "\x00\x00\x00\x04", "fault element_size"},
	{"element past the end of its own bundle", head + soon + "\x00\x00\x00\x14" + head + soon + "\x00\x00\x00\x08" + "\x00\x00\x00\x08/b\x00\x00,F\x00\x00",
		"fault element_size"},
	{"element that is neither", head + soon + "\x00\x00\x00\x04abc\x00", "fault not_osc"},
	{"good message before the fault", head + soon + "\x00\x00\x00\x08/a\x00\x00,T\x00\x00" + "\x00\x00\x00\x08/b\x00\x00,i\x00\x00",
		"/a ,T T:1\nfault truncated_argument"},
	{"address without an end", "/abc", "fault unterminated_string"},
	{"type tags without an end", "/a\x00\x00,fff", "fault unterminated_string"},
	{"string without an end", "/a\x00\x00,s\x00\x00abcd", "fault unterminated_string"},
	{"string that is missing", "/a\x00\x00,s\x00\x00", "fault unterminated_string"},
	{"rubbish behind an address", "/a\x00x,\x00\x00\x00", "fault bad_padding"},
	{"rubbish behind type tags", "/a\x00\x00,\x00\x00x", "fault bad_padding"},
	{"rubbish behind a string", "/a\x00\x00,s\x00\x00a\x00x\x00", "fault bad_padding"},
	{"rubbish behind a blob", "/a\x00\x00,b\x00\x00\x00\x00\x00\x01\x01\x00\x00\x01", "fault bad_padding"},
	{"int that is missing", "/a\x00\x00,i\x00\x00", "fault truncated_argument"},
	{"half a double", "/a\x00\x00,d\x00\x00\x00\x00\x00\x00", "fault truncated_argument"},
	{"blob without a size", "/a\x00\x00,b\x00\x00", "fault truncated_argument"},
	{"blob past the end", "/a\x00\x00,b\x00\x00\x00\x00\x00\x05\x01\x02\x03\x04", "fault blob_size"},
	{"blob of negative size", "/a\x00\x00,b\x00\x00\xff\xff\xff\xff", "fault blob_size"},
	{"array never closed", "/a\x00\x00,[T\x00", "fault unbalanced_array"},
	{"array never opened", "/a\x00\x00,T]\x00", "fault unbalanced_array"},
	{"array closed before it opens", "/a\x00\x00,][\x00", "fault unbalanced_array"},
	{"argument that has no tag", "/a\x00\x00,\x00\x00\x00\x00\x00\x00\x07", "fault bytes_left_over"},
}

func TestRead(t *testing.T) {
	var used Reader // one for all, so that nothing of a packet stays for the next
	for _, c := range packets {
		t.Run(c.name, func(t *testing.T) {
			if got := show(&used, []byte(c.packet)); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

// TestEveryReason sees each reason come from some packet of the table, so that
// no metric counts what cannot happen.
func TestEveryReason(t *testing.T) {
	said := strings.Builder{}
	for _, c := range packets {
		said.WriteString(c.want + "\n")
	}
	said.WriteString("fault " + TooDeep.String() + "\n") // in TestNesting
	labels := map[string]bool{}
	for _, r := range Reasons() {
		if r != UnknownTag && !strings.Contains(said.String(), "fault "+r.String()+"\n") {
			t.Errorf("no packet gives %v", r)
		}
		if labels[r.String()] {
			t.Errorf("two reasons are called %v", r)
		}
		labels[r.String()] = true
	}
	for _, r := range []Reason{reasonCount, 255} {
		if got := r.String(); got != "unknown_reason" {
			t.Errorf("a reason of no meaning is called %s", got)
		}
		if got := r.Error(); got != "read packet: unknown_reason" {
			t.Errorf("a fault of no meaning says %s", got)
		}
	}
}

func TestNesting(t *testing.T) {
	for _, c := range []struct {
		depth int
		want  string
	}{
		{1, "/a ,T T:1"},
		{MaxDepth, "/a ,T T:1"},
		{MaxDepth + 1, "fault too_deep"},
		{1000, "fault too_deep"},
	} {
		t.Run(fmt.Sprint(c.depth), func(t *testing.T) {
			packet := message(t, "/a", true)
			for range c.depth {
				packet = inBundle(t, Immediately, packet)
			}
			if got := show(new(Reader), packet); got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
		})
	}
}

func TestLargestPacket(t *testing.T) {
	blob := make([]byte, MaxPacket-4-4-4)
	blob[len(blob)-1] = 7
	var r Reader
	r.Reset(message(t, "/a", blob))
	if !r.Next() {
		t.Fatalf("got %v, want a message", r.Err())
	}
	if a, _ := r.Message().Arg(0); len(a.Bytes) != len(blob) || a.Bytes[len(blob)-1] != 7 {
		t.Errorf("got %d bytes, want %d", len(a.Bytes), len(blob))
	}
}

func TestPlaceOfElements(t *testing.T) {
	var r Reader
	r.Reset([]byte(head + soon + "\x00\x00\x00\x08/a\x00\x00,T\x00\x00" + "\x00\x00\x00\x08/b\x00\x00,i\x00\x00"))
	if !r.Next() || r.element != 20 {
		t.Errorf("message at %d, want 20", r.element)
	}
	if r.Next() || r.element != 32 {
		t.Errorf("fault at %d, want 32", r.element)
	}
}

// TestBeforeReset uses a Reader that was never given a packet.
func TestBeforeReset(t *testing.T) {
	var r Reader
	if r.Next() || r.Err() != nil {
		t.Errorf("got a message or %v, want neither", r.Err())
	}
}

// TestFaultStays reads on after a fault, and keeps the error past a Reset.
func TestFaultStays(t *testing.T) {
	var r Reader
	r.Reset([]byte("abc\x00"))
	r.Next()
	err := r.Err()
	if r.Next() || r.Err() != err {
		t.Errorf("a second Next gave a message or %v", r.Err())
	}
	r.Reset(message(t, "/a"))
	if got, want := err.Error(), `read packet: packet starts with neither "/" nor "#bundle"`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if r.Err() != nil {
		t.Errorf("got %v after Reset, want nil", r.Err())
	}
}
