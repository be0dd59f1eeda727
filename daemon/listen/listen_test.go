package listen

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"io"
	"io/fs"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
)

var update = flag.Bool("update", false, "write the golden files of pawl listen anew")

// captured is the first minute of a service in a dialect, as a capture file.
func captured(t *testing.T, service, dialect string, over time.Duration) string {
	t.Helper()
	script, err := practicetest.Service(service)
	if err != nil {
		t.Fatal(err)
	}
	d, err := practicetest.DialectNamed(dialect)
	if err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	w, err := capture.NewWriter(&file, service)
	if err != nil {
		t.Fatal(err)
	}
	began := time.Date(2026, 11, 22, 10, 0, 0, 0, time.UTC)
	from, to := netip.MustParseAddrPort("192.0.2.10:10700"), netip.MustParseAddrPort("192.0.2.20:10701")
	for at, packet := range practice.Play(script, d, practice.Playing{}) {
		if at > over {
			break
		}
		if err := w.Write(capture.Packet{At: began.Add(at), From: from, To: to, Data: packet}); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	return written(t, "taken.pcapng", file.Bytes())
}

func written(t *testing.T, name string, b []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestListenToACapture(t *testing.T) {
	for _, dialect := range []string{"harbour", "numbered", "packed", "spoken", "polled"} {
		t.Run(dialect, func(t *testing.T) {
			d, err := practicetest.DialectNamed(dialect)
			if err != nil {
				t.Fatal(err)
			}
			var out, talk bytes.Buffer
			draft := filepath.Join(t.TempDir(), "draft.yaml")
			l, err := New(Options{
				Capture: captured(t, "ratchet", dialect, time.Minute), Map: written(t, "map.yaml", d.Map()),
				Draft: draft, Out: &out, Talk: &talk,
			})
			if err != nil {
				t.Fatal(err)
			}
			if err := l.Run(t.Context()); err != nil {
				t.Fatal(err)
			}
			if what, faults := house.Check(draft); what != "map" || faults.Wrong() {
				t.Errorf("the draft is taken for a %s with %v", what, faults)
			}
			text, err := os.ReadFile(draft)
			if err != nil {
				t.Fatal(err)
			}
			goldenListen(t, dialect+".txt", out.String()+"\n"+string(text))
		})
	}
}

func goldenListen(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != got {
		t.Errorf("%s is not as it was; if it is right, run with -update. It is now\n%s", name, got)
	}
}

// asked plays the person: it reads what is said, and types a line whenever words
// turn up in it.
type asked struct {
	heard bytes.Buffer
	type_ io.Writer
	lines []string          // the words to wait for, and the line to type then
	then  map[string]func() // what is done at words, once each
}

func (a *asked) Write(b []byte) (int, error) {
	a.heard.Write(b)
	for words, do := range a.then {
		// Lines are broken anywhere.
		if strings.Contains(strings.Join(strings.Fields(a.heard.String()), " "), words) {
			delete(a.then, words)
			go do()
		}
	}
	for len(a.lines) > 1 && strings.Contains(a.heard.String(), a.lines[0]) {
		a.heard.Reset()
		line := a.lines[1]
		a.lines = a.lines[2:]
		// The other end reads while this one is still writing, so neither may wait.
		go io.WriteString(a.type_, line+"\n")
	}
	return len(b), nil
}

// TestListenToADesk gives nothing but the asks of a desk: it talks, the questions
// come, they are stopped, and a draft is written with the link in it as it was.
func TestListenToADesk(t *testing.T) {
	for dialect, meter := range map[string]string{
		"harbour": "/needles/in ", "streamed": "/thread/power ", "polled": "/tell/thread/*/now ",
	} {
		t.Run(dialect, func(t *testing.T) {
			clock := link.Clock{Started: time.Now(), Speed: 30}
			d, err := practicetest.DialectNamed(dialect)
			if err != nil {
				t.Fatal(err)
			}
			asks := section(d.Map(), "link") + "\n\n" + section(d.Map(), "strips") + "\n"
			desk, err := practicetest.NewDesk(practice.Options{Clock: clock}, d, "")
			if err != nil {
				t.Fatal(err)
			}
			runListenDesk(t, desk)
			typed, in := io.Pipe()
			person := &asked{type_: in, lines: []string{"wait five seconds", "stop"}}
			var out bytes.Buffer
			draft := filepath.Join(t.TempDir(), "draft.yaml")
			l, err := New(Options{
				Desk: desk.Addr().String(), Map: written(t, "asks.yaml", []byte(asks)), Draft: draft,
				For: 30 * time.Second, In: typed, Out: &out, Talk: person, Clock: clock,
			})
			if err != nil {
				t.Fatal(err)
			}
			if err := l.Run(t.Context()); err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(out.String(), meter) {
				t.Errorf("want %s in the table\n%s", meter, out.String())
			}
			text, err := os.ReadFile(draft)
			if err != nil {
				t.Fatal(err)
			}
			if want := section(d.Map(), "link"); !strings.Contains(string(text), want) {
				t.Errorf("the draft lacks\n%s\nit is\n%s", want, text)
			}
			if _, faults := house.Check(draft); faults.Wrong() {
				t.Errorf("%v\n%s", faults, text)
			}
		})
	}
}

func runListenDesk(t *testing.T, desk *practice.Desk) {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- desk.Run(ctx) }()
	t.Cleanup(func() {
		stop()
		if err := <-done; err != nil {
			t.Errorf("practice desk: %v", err)
		}
	})
}

// TestDeskDiesInTheMiddle of the questions: it is said by the wall's clock, in the link's
// own words, and said when the desk is back.
func TestDeskDiesInTheMiddle(t *testing.T) {
	clock := link.Clock{Started: time.Now(), Speed: 30}
	d, err := practicetest.DialectNamed("harbour")
	if err != nil {
		t.Fatal(err)
	}
	asks := section(d.Map(), "link") + "\n\n" + section(d.Map(), "strips") + "\n"
	desk, err := practicetest.NewDesk(practice.Options{Clock: clock}, d, "")
	if err != nil {
		t.Fatal(err)
	}
	address := desk.Addr().String()
	ctx, die := context.WithCancel(t.Context())
	died := make(chan error, 1)
	go func() { died <- desk.Run(ctx) }()
	typed, in := io.Pipe()
	person := &asked{type_: in, lines: []string{"wait five seconds", "help"}}
	person.then = map[string]func(){
		"Words that help": func() {
			die()
			if err := <-died; err != nil {
				t.Error(err)
			}
		},
		"othing listens at": func() {
			again, err := practicetest.NewDesk(practice.Options{Clock: clock, Listen: address}, d, "")
			if err != nil {
				t.Error(err)
				return
			}
			runListenDesk(t, again)
		},
		"The desk is heard again": func() { io.WriteString(in, "stop\n") },
	}
	l, err := New(Options{
		Desk: address, Map: written(t, "asks.yaml", []byte(asks)), Draft: filepath.Join(t.TempDir(), "draft.yaml"),
		For: 30 * time.Second, In: typed, Out: io.Discard, Talk: person, Clock: clock,
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := l.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	if len(person.then) > 0 {
		t.Errorf("%d things were never said: %v", len(person.then), person.then)
	}
}

func TestListenSaysWhatIsInTheWay(t *testing.T) {
	taken, err := net.ListenPacket("udp", ":0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	port := taken.LocalAddr().(*net.UDPAddr).Port
	there := written(t, "mine.yaml", []byte("dear to me"))
	for _, c := range []struct {
		name string
		o    Options
		want string
	}{
		{"the port is taken", Options{Port: port}, strconv.Itoa(port)},
		{"nothing to listen to", Options{}, "say where from"},
		{"the draft is there", Options{Port: port, Draft: there}, "not written over"},
		{"no folder for the draft", Options{Port: port, Draft: filepath.Join(there, "x")}, "cannot write"},
		{"no such map", Options{Desk: "127.0.0.1:9", Map: filepath.Join(filepath.Dir(there), "no.yaml")}, "no such file"},
		{"a bad map", Options{Desk: "127.0.0.1:9", Map: written(t, "bad.yaml", []byte("link: {ask: [{sned: /x}]}\n"))}, `did you mean "send"?`},
		{"a desk without a port", Options{Desk: "192.0.2.9"}, "no port; write it behind the address"},
		{"a desk's name for a capture", Options{Capture: there, Desk: "desk:9"}, "192.0.2.10"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := New(c.o)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want it to say %q", err, c.want)
			}
		})
	}
	if b, err := os.ReadFile(there); err != nil || string(b) != "dear to me" {
		t.Errorf("got %q, %v", b, err)
	}
}

func TestListenToNoCapture(t *testing.T) {
	for _, c := range []struct{ name, file, want string }{
		{"missing", filepath.Join(t.TempDir(), "none"), "no such file"},
		{"something else", written(t, "x", []byte("not a capture at all")), "x: "},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, err := New(Options{Capture: c.file, Out: io.Discard, Talk: io.Discard})
			if err != nil {
				t.Fatal(err)
			}
			if err := l.Run(t.Context()); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want it to say %q", err, c.want)
			}
		})
	}
	if _, err := os.Stat(filepath.Join(t.TempDir(), "none")); !errors.Is(err, fs.ErrNotExist) {
		t.Error(err)
	}
}

func TestSection(t *testing.T) {
	src := []byte("# head\ndesk: x\n\nlink:\n  transport: udp   # plain\n  ask:\n    - /a\n\n# what follows\nstrips: {input: 1-4}\nsignals: []\n")
	for _, c := range []struct{ key, want string }{
		{"link", "link:\n  transport: udp   # plain\n  ask:\n    - /a"},
		{"strips", "strips: {input: 1-4}"},
		{"tapers", ""},
	} {
		if got := section(src, c.key); got != c.want {
			t.Errorf("section %s: got %q, want %q", c.key, got, c.want)
		}
	}
}

// TestReadmeAsks brings the map of asks alone that README.md shows.
func TestReadmeAsks(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(readme), "<!-- example: asks -->\n```yaml\n")
	text, _, ok := strings.Cut(rest, "```")
	g, err := readMap(written(t, "asks.yaml", []byte(text)))
	if !ok || err != nil || !g.bare || len(g.m.Asks()) != 1 {
		t.Errorf("README.md's asks: %v\n%s", err, text)
	}
}
