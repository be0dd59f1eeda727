package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"maps"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/gorilla/websocket"
	"github.com/hypebeast/go-osc/osc"

	"pawl/rules"
)

// ear listens in the desk's place and answers nothing. It keeps every byte that comes, by
// whom it comes from, over UDP or over a stream of frames with their length.
type ear struct {
	t      *testing.T
	at     netip.AddrPort
	socket *net.UDPConn // nil for a stream
	own    sync.WaitGroup

	mu   sync.Mutex
	more *sync.Cond
	got  []heard // guarded by mu

	first chan struct{} // closed once something has come
}

type heard struct {
	from netip.AddrPort
	data string
}

func newEar(t *testing.T) *ear {
	t.Helper()
	e := &ear{t: t, first: make(chan struct{})}
	e.more = sync.NewCond(&e.mu)
	return e
}

// udpEar listens to datagrams until the test ends.
func udpEar(t *testing.T) *ear {
	t.Helper()
	e := newEar(t)
	socket, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	_ = socket.SetReadBuffer(4 << 20)
	e.socket, e.at = socket, socket.LocalAddr().(*net.UDPAddr).AddrPort()
	ears.Store(e.at.Port(), true)
	e.own.Go(func() {
		buf := make([]byte, 1<<16)
		for {
			n, from, err := socket.ReadFromUDPAddrPort(buf)
			if err != nil {
				return
			}
			e.keep(from, buf[:n])
		}
	})
	t.Cleanup(func() {
		socket.Close()
		e.own.Wait()
	})
	return e
}

// ears are the ports at which datagrams were listened to.
var ears sync.Map

func isEar(port uint16) bool {
	_, is := ears.Load(port)
	return is
}

// tcpEar listens to streams until the test ends. A frame that is none is kept as it is.
func tcpEar(t *testing.T) *ear {
	t.Helper()
	e := newEar(t)
	l, err := net.Listen("tcp4", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	e.at = l.Addr().(*net.TCPAddr).AddrPort()
	e.own.Go(func() {
		for {
			conn, err := l.Accept()
			if err != nil {
				return
			}
			e.own.Go(func() {
				defer conn.Close()
				from := conn.RemoteAddr().(*net.TCPAddr).AddrPort()
				for {
					var size [4]byte
					if n, err := io.ReadFull(conn, size[:]); err != nil {
						e.cut(from, size[:n])
						return
					}
					frame := make([]byte, min(binary.BigEndian.Uint32(size[:]), 1<<16))
					if n, err := io.ReadFull(conn, frame); err != nil {
						e.cut(from, frame[:n])
						return
					}
					e.keep(from, frame)
				}
			})
		}
	})
	t.Cleanup(func() {
		l.Close()
		e.own.Wait()
	})
	return e
}

func (e *ear) keep(from netip.AddrPort, data []byte) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if len(e.got) == 0 {
		close(e.first)
	}
	e.got = append(e.got, heard{from, string(data)})
	e.more.Broadcast()
}

// cut keeps what is left of a stream that ended amid a frame.
func (e *ear) cut(from netip.AddrPort, rest []byte) {
	if len(rest) > 0 {
		e.keep(from, append([]byte("cut: "), rest...))
	}
}

// until waits for all of these packets, and gives who sent the first of them.
func (e *ear) until(want ...string) (from netip.AddrPort) {
	e.t.Helper()
	e.mu.Lock()
	defer e.mu.Unlock()
	missing := map[string]bool{}
	for _, w := range want {
		missing[w] = true
	}
	for seen := 0; len(missing) > 0; {
		for ; seen < len(e.got); seen++ {
			if g := e.got[seen]; missing[g.data] {
				if g.data == want[0] {
					from = g.from
				}
				delete(missing, g.data)
			}
		}
		if len(missing) > 0 {
			e.more.Wait()
		}
	}
	return from
}

// all is what has come by now. Datagrams of a program that has ended lie before the one
// that is sent here.
func (e *ear) all() []heard {
	e.t.Helper()
	if e.socket != nil {
		last, err := net.Dial("udp4", e.at.String())
		if err != nil {
			e.t.Fatal(err)
		}
		defer last.Close()
		mark := "last " + last.LocalAddr().String()
		if _, err := io.WriteString(last, mark); err != nil {
			e.t.Fatal(err)
		}
		e.until(mark)
	}
	e.mu.Lock()
	defer e.mu.Unlock()
	return slices.DeleteFunc(slices.Clone(e.got), func(h heard) bool { return strings.HasPrefix(h.data, "last ") })
}

// packet is a message as go-osc writes it.
func packet(address string, args ...any) string {
	b, err := osc.NewMessage(address, args...).MarshalBinary()
	if err != nil {
		panic(err)
	}
	return string(b)
}

// controls are all that the hostile maps hear and somebody could set, and more strips of
// it than they have, in any case.
var controls = regexp.MustCompile(`(?i)^/(in/[^/]+/(throw|who|quiet)|hand/[^/]+/throw|hall/(page|throw)|bang/[^/]+)$`)

// harmless says why a packet could set something, or nothing. It knows nothing of the
// checker, and reads by another library.
func harmless(data string, vouched map[string]bool) error {
	p, err := osc.ParsePacket(data)
	if err != nil {
		return err
	}
	m, ok := p.(*osc.Message)
	if !ok {
		return fmt.Errorf("a %T, want a message", p)
	}
	if again, err := m.MarshalBinary(); err != nil || string(again) != data {
		return fmt.Errorf("it is written %q, %v", again, err)
	}
	switch {
	case strings.HasPrefix(strings.ToLower(m.Address), "/bang"):
		return errors.New("it would set something by arriving")
	case len(m.Arguments) == 0:
		return nil
	case controls.MatchString(m.Address):
		return errors.New("it carries a value to a control")
	case strings.ContainsAny(m.Address, "?*[]{}") || strings.Contains(m.Address, "//"):
		return errors.New("it carries a value to a pattern")
	case !strings.HasPrefix(m.Address, "/needle/") && !vouched[data]:
		return errors.New("it carries a value that nobody gave their word for")
	}
	return nil
}

// signals are what all hostile maps hear.
const signals = `
signals:
  - {hear: "/in/{input:1-64}/throw", is: input.fader, value: {arg: 0, unit: dB}}
  - {hear: "/in/{input:1-64}/who", is: input.name}
  - {hear: "/in/{input:1-64}/quiet", is: input.mute}
  - {hear: "/needle/{input:1-64}", is: input.level, value: {arg: 0, unit: dBFS}}
  - {hear: "/hand/{dca:1-8}/throw", is: dca.fader, value: {arg: 0, unit: dB}}
  - {hear: /hall/throw, is: main.fader, value: {arg: 0, unit: dB}}
  - {hear: /hall/page, is: scene.name}
`

// hostile is a map that asks whatever may be asked, and all that it may send.
type hostile struct {
	text    string
	first   string // asked first of all
	may     map[string]bool
	vouched map[string]bool
	second  float64 // how many in a second its asks come to
}

// hostileMap asks thousands of questions at the addresses of faders and by patterns, and
// of addresses that it does not hear some with all sorts of values, on somebody's word.
func hostileMap(transport string, nth int) hostile {
	h := hostile{may: map[string]bool{}, vouched: map[string]bool{}}
	h.first = packet(fmt.Sprintf("/first/%d", nth))
	h.text = fmt.Sprintf(`desk: hostile %d
link:
  transport: %s
  stale-after: 60s
  ask:
    - /first/%d
    - {send: "/in/{input:1-64}/throw", every: 160ms}
    - {send: "/hand/{dca:1-8}/throw", every: 160ms}
    - {send: /hall/throw, after-silence: 50ms}
    - {send: "/*", every: 1s}
    - {send: "/[i]?/*/thro[!x]"}
    - {send: "/IN/2/THROW", every: 1s}
    - {send: "/in/1000/throw", every: 1s}
    - {send: "/in/1/throw/../../../hand/1/throw"}
    - {send: "/more/{input:1-64}/{dca:1-16}", on: connect}
    - {send: "/needle/{input:1-64}", args: [{float: 1}], every: 10s}
    - send: /vouched/{input:1-4}
      args: ["/in/1/throw", {float: 1}, {int: "{input}"}, true, {nil: true}, {blob: [47, 105, 110]}, {double: 6}, {long: 7}]
      every: 1s
      moves-nothing-because: "somebody said so, %d"
`, nth, transport, nth, nth) + signals
	add := func(address string, args ...any) string {
		p := packet(address, args...)
		h.may[p] = true
		return p
	}
	h.may[h.first] = true
	for n := 1; n <= 64; n++ {
		add(fmt.Sprintf("/in/%d/throw", n))
		add(fmt.Sprintf("/needle/%d", n), float32(1))
		for k := 1; k <= 16; k++ {
			add(fmt.Sprintf("/more/%d/%d", n, k))
		}
	}
	for n := 1; n <= 8; n++ {
		add(fmt.Sprintf("/hand/%d/throw", n))
	}
	for _, address := range []string{"/hall/throw", "/*", "/[i]?/*/thro[!x]", "/IN/2/THROW", "/in/1000/throw", "/in/1/throw/../../../hand/1/throw"} {
		add(address)
	}
	for n := 1; n <= 4; n++ {
		h.vouched[add(fmt.Sprintf("/vouched/%d", n), "/in/1/throw", float32(1), int32(n), true, nil, []byte("/in"), float64(6), int64(7))] = true
	}
	h.second = 72/0.16 + 20 + 3 + 6.4 + 4
	return h
}

// forbidden are asks each of which could set something.
var forbidden = []string{
	`{send: /in/1/throw, args: [{float: 1}]}`,
	`{send: "/in/{input}/throw", args: [{float: 1}], every: 1s, moves-nothing-because: "somebody said so"}`,
	`{send: /IN/64/Throw, args: [{float: 1}], moves-nothing-because: "somebody said so"}`,
	`{send: /in/900/throw, args: [{float: 1}], moves-nothing-because: "somebody said so"}`,
	`{send: /in/1/who, args: [horn]}`,
	`{send: /hall/page, args: [{int: 3}]}`,
	`{send: "/in/*/throw", args: [{float: 1}], moves-nothing-because: "somebody said so"}`,
	`{send: "//throw", args: [{float: 1}], moves-nothing-because: "somebody said so"}`,
	`{send: "/{in,out}/1/throw", args: [{float: 1}], moves-nothing-because: "somebody said so"}`,
	`{send: "/in/1/throw\0", args: [{float: 1}], moves-nothing-because: "somebody said so"}`,
	`{send: "/in/1/throw ", args: [{float: 1}], moves-nothing-because: "somebody said so"}`,
	`{send: "/say", args: ["a\0\0\0,f\0\0"], moves-nothing-because: "somebody said so"}`,
	`{send: "#bundle"}`,
	`{send: "in/1/throw", args: [{float: 1}], moves-nothing-because: "somebody said so"}`,
	`{send: /say, args: [{float: 1}]}`,
	`{send: /bang/1}`,
	`{send: "/b*"}`,
	`{send: /say, every: 1ms}`,
	`{send: "/say/{input:1-64}/{dca:1-65}"}`,
}

// hall writes a house file with its map, and gives the house file's name.
func hall(t *testing.T, desk, m string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "hall.yaml")
	writeHall(t, file, desk, m)
	return file
}

func writeHall(t *testing.T, file, desk, m string) {
	t.Helper()
	house := "house: Hall\ndesk: {address: \"" + desk + "\", map: desk.map.yaml}\nroster: {inputs: {1: {name: \"/in/1/throw\"}}}\npage: {listen: 127.0.0.1:0}\n"
	for name, text := range map[string]string{file: house, filepath.Join(filepath.Dir(file), "desk.map.yaml"): m} {
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// TestForbiddenAsksSendNothing gives every verb a map with one ask that could set something,
// among others that may be asked, and house files that would have everybody asked: they end
// at once, and not a byte has left.
func TestForbiddenAsksSendNothing(t *testing.T) {
	e := udpEar(t)
	desk := e.at.String()
	ends := func(args ...string) {
		t.Helper()
		var said bytes.Buffer
		ended := make(chan int, 1)
		go func() { ended <- run(args, &said, &said) }()
		select {
		case code := <-ended:
			if code == exitGood {
				t.Errorf("pawl %v ended well: %s", args, &said)
			}
		case <-e.first:
			t.Fatalf("pawl %v sent %q", args, e.got[0].data)
		}
	}
	capture := filepath.Join(t.TempDir(), "ratchet.pcapng")
	b, err := capturedService("ratchet")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(capture, b, 0o644); err != nil {
		t.Fatal(err)
	}
	every := func(house string) {
		dir := filepath.Dir(house)
		ends("check", house)
		ends("watch", house)
		ends("capture", house, "-o", filepath.Join(dir, "out.pcapng"))
		ends("listen", house, "--for", "1s")
		ends("replay", house, capture)
	}
	for _, ask := range forbidden {
		m := "desk: hostile\nlink:\n  ask:\n    - /first/0\n    - " + ask + signals + "  - {hear: \"/bang/{dca:1-8}\", is: dca.mute, value: {bang: on}}\n"
		house := hall(t, desk, m)
		asks := filepath.Join(filepath.Dir(house), "desk.map.yaml")
		every(house)
		ends("check", asks)
		ends("listen", "--desk", desk, "--map", asks, "--for", "1s")
		ends("start", filepath.Join(t.TempDir(), "new.yaml"), "--desk", desk, "--map", asks, "--page", "127.0.0.1:0")
	}
	port := strconv.Itoa(int(e.at.Port()))
	for _, everybody := range []string{"255.255.255.255:" + port, "224.0.0.1:" + port, "0.0.0.0:" + port, "[ff02::1]:" + port, desk + ", 192.0.2.1:1", "/in/1/throw", "127.0.0.1:0"} {
		every(hall(t, everybody, hostileMap("udp", 0).text))
		house := hall(t, desk, hostileMap("udp", 0).text)
		ends("start", filepath.Join(t.TempDir(), "new.yaml"), "--desk", everybody, "--map", filepath.Join(filepath.Dir(house), "desk.map.yaml"), "--page", "127.0.0.1:0")
		ends("listen", "--desk", everybody, "--map", filepath.Join(filepath.Dir(house), "desk.map.yaml"), "--for", "1s")
	}
	if got := e.all(); len(got) > 0 {
		t.Errorf("%d packets came, the first %q", len(got), got[0].data)
	}
}

// TestNothingButAsksLeaves watches by the worst map that passes, while a page presses what it
// can and the house file is read again with other maps, forbidden ones among them. Every
// byte that comes to the desk's place is an ask of the map that was in force, by itself in
// its packet, and as many come as may.
func TestNothingButAsksLeaves(t *testing.T) {
	for transport, listen := range map[string]func(*testing.T) *ear{"udp": udpEar, "tcp-length": tcpEar} {
		t.Run(transport, func(t *testing.T) {
			t.Parallel()
			e := listen(t)
			hostiles := []hostile{hostileMap(transport, 0), hostileMap(transport, 1)}
			// By who sends: another link has another port.
			links := map[netip.AddrPort]hostile{}
			began := time.Now()
			file := hall(t, e.at.String(), hostiles[0].text)
			p := startPawl(t, "watch", file, "--log-level", "error")
			page := p.page()
			links[e.until(hostiles[0].first)] = hostiles[0]
			pressAll(t, page)
			e.until(slices.Collect(maps.Keys(hostiles[0].may))...) // every one of a thousand
			reload := func(desk, m, notice string) {
				t.Helper()
				writeHall(t, file, desk, m)
				if err := p.cmd.Process.Signal(syscall.SIGHUP); err != nil {
					t.Fatal(err)
				}
				for notice != "" && !strings.Contains(body(t, page+"api/state"), notice) {
				}
			}
			for _, ask := range []string{forbidden[0], forbidden[1], forbidden[14]} {
				m := strings.Replace(hostiles[1].text, "- /first/1\n", "- /first/1\n    - "+ask+"\n", 1)
				reload(e.at.String(), m, "desk.map.yaml:7:")
			}
			reload("255.255.255.255:1", hostiles[1].text, "no one machine")
			reload(e.at.String(), hostiles[1].text, "")
			links[e.until(hostiles[1].first)] = hostiles[1]
			pressAll(t, page)
			p.stop()
			took := time.Since(began)
			bounded(t, e.all(), links, took, 2)
		})
	}
}

// bounded holds what came to what its sender's map may send, and its number to the time.
func bounded(t *testing.T, got []heard, links map[netip.AddrPort]hostile, took time.Duration, made int) {
	t.Helper()
	once := map[heard]int{}
	fastest := 0.0
	for _, g := range got {
		m, known := links[g.from]
		switch {
		case !known && len(links) > 0:
			t.Fatalf("%v sent %q, which is no link of ours", g.from, g.data)
		case !m.may[g.data]:
			t.Fatalf("%q left, which the map in force does not ask", g.data)
		}
		if err := harmless(g.data, m.vouched); err != nil {
			t.Fatalf("%q left: %v", g.data, err)
		}
		once[g]++
		fastest = max(fastest, m.second)
	}
	// One at a time, and not faster than all that repeats needs with a tenth to spare, but for
	// what a late timer makes up for when a link begins; the asker knows of no more time than this.
	gap := min(5*time.Millisecond, time.Duration(0.9*float64(time.Second)/fastest))
	if most := int((took+time.Duration(made)*2*time.Millisecond)/gap) + made; len(got) > most {
		t.Errorf("%d packets in %v, want %d at most", len(got), took, most)
	}
	t.Logf("%d packets of %d sorts in %v", len(got), len(once), took)
}

// pressAll has a page send all that a page can, and things that it cannot.
func pressAll(t *testing.T, page string) {
	t.Helper()
	taken := func() float64 { return counted(t, page, "pawl_presses_total") }
	before := taken()
	conn, _, err := websocket.DefaultDialer.Dial(strings.Replace(page, "http", "ws", 1)+"live?as=coach", nil)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	set := packet("/in/1/throw", float32(1))
	for _, raw := range []string{set, `{"do":"/in/1/throw","number":1}`, `{"do":"send","text":"/in/1/throw"}`} {
		if err := conn.WriteMessage(websocket.TextMessage, []byte(raw)); err != nil {
			break // it may hang up on such a page
		}
	}
	for _, do := range rules.Presses {
		conn, _, err := websocket.DefaultDialer.Dial(strings.Replace(page, "http", "ws", 1)+"live?as=coach", nil)
		if err != nil {
			t.Fatal(err)
		}
		if err := conn.WriteJSON(rules.Press{Do: do, Number: 1, Text: "/in/1/throw", Kind: "music", On: true, Place: 1}); err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
	}
	for path, text := range map[string]string{
		"api/segment":   `{"kind":"music","name":"/in/1/throw"}`,
		"api/linecheck": `{"do":"begin"}`,
		"api/nothing":   set,
	} {
		answer, err := http.Post(page+path, "application/json", strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
	}
	for taken() < before+float64(len(rules.Presses)) {
	}
}

// counted is a figure of /metrics.
func counted(t *testing.T, page, name string) float64 {
	t.Helper()
	line := regexp.MustCompile(`(?m)^` + name + ` (\S+)$`).FindStringSubmatch(body(t, page+"metrics"))
	if line == nil {
		t.Fatalf("no metric %s", name)
	}
	v, err := strconv.ParseFloat(line[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// TestVerbsSendOnlyAsks: whoever else asks, sends the same and no more; and who only reads,
// nothing.
func TestVerbsSendOnlyAsks(t *testing.T) {
	m := hostileMap("udp", 0)
	for name, args := range map[string]func(dir, house, desk string) []string{
		"capture": func(dir, house, _ string) []string { return []string{"capture", house, "-o", dir + "/out.pcapng"} },
		"listen":  func(_, house, _ string) []string { return []string{"listen", house} },
		"listen --map": func(dir, _, desk string) []string {
			return []string{"listen", "--desk", desk, "--map", dir + "/desk.map.yaml"}
		},
		"start": func(dir, _, desk string) []string {
			return []string{"start", t.TempDir() + "/new.yaml", "--desk", desk, "--map", dir + "/desk.map.yaml", "--page", "127.0.0.1:0"}
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			e := udpEar(t)
			house := hall(t, e.at.String(), m.text)
			began := time.Now()
			p := startPawl(t, args(filepath.Dir(house), house, e.at.String())...)
			links := map[netip.AddrPort]hostile{e.until(slices.Collect(maps.Keys(m.vouched))...): m}
			if name == "start" {
				page := p.page()
				for _, text := range []string{`{"do":"begin"}`, `{"do":"answer","text":"/in/1/throw 1"}`, `{"do":"write","text":"/in/1/throw","inputs":[{"number":1,"name":"/in/1/throw","right":true}]}`} {
					answer, err := http.Post(page+"api/first", "application/json", strings.NewReader(text))
					if err != nil {
						t.Fatal(err)
					}
					answer.Body.Close()
				}
			}
			p.stop()
			bounded(t, e.all(), links, time.Since(began), 1)
		})
	}
	t.Run("check and replay", func(t *testing.T) {
		e := udpEar(t)
		house := hall(t, e.at.String(), m.text)
		capture := filepath.Join(filepath.Dir(house), "ratchet.pcapng")
		b, err := capturedService("ratchet")
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(capture, b, 0o644); err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{{"check", house}, {"check", filepath.Join(filepath.Dir(house), "desk.map.yaml")}, {"replay", house, capture}, {"listen", "--capture", capture}} {
			var said bytes.Buffer
			if code := run(args, &said, &said); code != exitGood {
				t.Errorf("pawl %v: exit %d: %s", args, code, &said)
			}
		}
		if got := e.all(); len(got) > 0 {
			t.Errorf("%q left", got[0].data)
		}
	})
}

// TestHarmlessNotices holds the test's own judge to account.
func TestHarmlessNotices(t *testing.T) {
	bundle, err := osc.NewBundle(time.Now()).MarshalBinary()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []string{
		packet("/in/1/throw", float32(1)), packet("/IN/99/throw", float32(1)), packet("/i*/1/throw", float32(1)), packet("/say", int32(1)),
		packet("/bang/1"), packet("/in/1/throw") + "abcd", string(bundle), "/in/1/throw", "",
	} {
		if harmless(p, nil) == nil {
			t.Errorf("%q passes", p)
		}
	}
	if err := harmless(packet("/in/1/throw"), nil); err != nil {
		t.Error(err)
	}
}
