package daemon

import (
	"bytes"
	"context"
	"encoding/json"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/dashboard"
	"pawl/rules"
	"pawl/rules/desk"
)

// fast is how much faster than life the live tests run: enough to be quick, slow
// enough for a loaded machine with the race detector to keep up.
const fast = 30

// fastClock is one that is so fast, and begins now. What all servers share is made before that: the
// script of a practice desk goes by this clock, and does not wait for a daemon that is still starting.
func fastClock() link.Clock {
	makePages()
	return link.Clock{Started: time.Now(), Speed: fast}
}

var makePages = sync.OnceFunc(func() { dashboard.New(dashboard.Options{}) })

// tablet is a page's websocket without the page.
type tablet struct {
	t    *testing.T
	conn *websocket.Conn
}

func openTablet(t *testing.T, page string) *tablet {
	t.Helper()
	conn, _, err := websocket.DefaultDialer.Dial(strings.Replace(page, "http", "ws", 1)+"live", nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	return &tablet{t, conn}
}

// until reads frames to the first that is as wanted. The test's own deadline is
// the only one.
func (p *tablet) until(what string, wanted func(dashboard.Now) bool) dashboard.Now {
	p.t.Helper()
	var f struct {
		Now dashboard.Now `json:"now"`
	}
	if deadline, ok := p.t.Deadline(); ok {
		p.conn.SetReadDeadline(deadline.Add(-time.Second))
	}
	for {
		_, text, err := p.conn.ReadMessage()
		if err != nil {
			p.t.Fatalf("waiting for %s: %v; last state %+v", what, err, f.Now)
		}
		f.Now = dashboard.Now{}
		if err := json.Unmarshal(text, &f); err != nil {
			p.t.Fatal(err)
		}
		if wanted(f.Now) {
			return f.Now
		}
	}
}

func (p *tablet) press(c rules.Press) {
	p.t.Helper()
	if err := p.conn.WriteJSON(c); err != nil {
		p.t.Fatal(err)
	}
}

// start runs a daemon until the test ends, and fails the test if it ends badly.
func start(t *testing.T, h *house.House, o Options) *Daemon {
	t.Helper()
	h.Page = "127.0.0.1:0"
	if o.Clock.Started.IsZero() {
		o.Clock = fastClock()
	}
	d := New(h, o)
	startDaemon(t, d)
	return d
}

// startDaemon does so with one that was made already.
func startDaemon(t *testing.T, d *Daemon) {
	t.Helper()
	if err := d.Listen(); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	var run sync.WaitGroup
	run.Go(func() {
		if err := d.Run(ctx); err != nil {
			t.Errorf("run: %v", err)
		}
	})
	t.Cleanup(func() {
		stop()
		run.Wait()
	})
}

// playDesk runs a practice desk until the test ends.
func playDesk(t *testing.T, c link.Clock, service string) *practice.Desk {
	t.Helper()
	script, err := practicetest.Service(service)
	if err != nil {
		t.Fatal(err)
	}
	return playScript(t, practice.Options{Clock: c, Service: script})
}

// patient is a house that says nothing of a desk that is quiet: at so many times the pace of life a
// machine with much else to do is that, for a while.
func patient(h *house.House) *house.House {
	h.Limits.QuietDesk.After = time.Hour
	return h
}

// TestLiveIsReplay runs a service live, capturing it, and judges the capture: the
// findings are the same to the last digit of their facts.
func TestLiveIsReplay(t *testing.T) {
	clock := fastClock()
	h := patient(harbourHall(t))
	h.Desk = playDesk(t, clock, "ratchet").Addr().String()
	live, captured := &signalled{}, &signalled{}
	live.want = `"state":"eased"`
	h.Page = "127.0.0.1:0"
	d := New(h, Options{Clock: clock, Lines: Lines{W: live, JSON: true}, Capture: captured})
	if err := d.Listen(); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	var run sync.WaitGroup
	run.Go(func() {
		if err := d.Run(ctx); err != nil {
			t.Errorf("run: %v", err)
		}
	})
	page := openTablet(t, d.Page())
	card := page.until("the card", func(s dashboard.Now) bool { return s.Card != nil }).Card
	page.press(rules.Press{Do: rules.Note, Text: "the piano is louder than it was"})
	page.press(rules.Press{Do: rules.Seen, Number: card.Number})
	page.until("the card to go", func(s dashboard.Now) bool { return s.Card == nil })
	page.press(rules.Press{Do: rules.NewSegment, Kind: desk.Music, Text: "second song"})
	for body, status := range map[string]int{`{"next":true}`: http.StatusOK, `{"kind":"encore"}`: http.StatusBadRequest} {
		answer, err := http.Post(d.Page()+"api/segment", "application/json", strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode != status {
			t.Errorf("%s answered %d, want %d", body, answer.StatusCode, status)
		}
	}
	for _, body := range []string{`{"do":"begin"}`, `{"do":"done","input":3}`, `{"do":"end"}`} {
		answer, err := http.Post(d.Page()+"api/linecheck", "application/json", strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode != http.StatusOK {
			t.Errorf("%s answered %s", body, answer.Status)
		}
	}
	live.wait(t)
	captured.waitMore(t) // so that the packets up to the last finding are in the file
	stop()
	run.Wait()

	var replayed bytes.Buffer
	sum, err := Replay{House: h, Lines: Lines{W: &replayed, JSON: true}}.Run(bytes.NewReader(captured.bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if sum.Findings["ratchet"] != 1 || sum.Unmapped != 0 || sum.Presses != 7 {
		t.Errorf("summary %+v, want one ratchet, seven presses and nothing unmapped", sum)
	}
	sameEntries(t, replayed.String(), string(live.bytes()))
}

// sameEntries holds two runs of one service against each other, line by line. One of
// them may have been ended a moment later than the other, so the longer may say more
// at its end, but no more than that.
func sameEntries(t *testing.T, got, want string) {
	t.Helper()
	g, w := strings.Split(strings.TrimSpace(got), "\n"), strings.Split(strings.TrimSpace(want), "\n")
	both := min(len(g), len(w))
	for i := range both {
		if g[i] != w[i] {
			t.Errorf("line %d:\ngot  %s\nwant %s", i+1, g[i], w[i])
			return
		}
	}
	// A second of the service's time for a move to come to rest, and what came live
	// between the last write of the capture and the end.
	for _, more := range append(g[both:], w[both:]...) {
		if !strings.Contains(more, `"entry":"second"`) {
			t.Errorf("only one of them says %s", more)
		}
	}
	if both < 6 {
		t.Errorf("%d and %d entries: too few to prove anything", len(g), len(w))
	}
}

// signalled is a buffer that can be waited on.
type signalled struct {
	mu    sync.Mutex
	buf   bytes.Buffer
	want  string
	wrote chan struct{} // made by the waiter, closed by the next write that has what it wants
}

func (s *signalled) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.buf.Write(p)
	if s.wrote != nil && strings.Contains(s.buf.String(), s.want) {
		close(s.wrote)
		s.wrote = nil
	}
	return len(p), nil
}

func (s *signalled) bytes() []byte {
	s.mu.Lock()
	defer s.mu.Unlock()
	return bytes.Clone(s.buf.Bytes())
}

// besides measures memory without what it holds itself, which cannot grow meanwhile: a buffer that is just being
// copied into a larger one is there twice.
func (s *signalled) besides(measure func() int64) int64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return measure() - int64(s.buf.Cap())
}

func (s *signalled) wait(t *testing.T) {
	t.Helper()
	s.mu.Lock()
	if s.want != "" && strings.Contains(s.buf.String(), s.want) {
		s.mu.Unlock()
		return
	}
	wrote := make(chan struct{})
	s.wrote = wrote
	s.mu.Unlock()
	select {
	case <-wrote:
	case <-t.Context().Done():
		t.Fatalf("no %q", s.want)
	}
}

// waitMore waits for two further writes: the second holds what came after the first.
func (s *signalled) waitMore(t *testing.T) {
	t.Helper()
	s.wait(t)
	s.wait(t)
}

// TestDeskNotThere points the daemon at a port where nothing listens: the page
// says so, in words, and the desk is heard as soon as it is there.
func TestDeskNotThere(t *testing.T) {
	gone, err := net.ListenPacket("udp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	h := harbourHall(t)
	h.Desk = gone.LocalAddr().String()
	gone.Close()
	d := start(t, h, Options{})
	page := openTablet(t, d.Page())
	s := page.until("the page to name the desk that is not there", func(s dashboard.Now) bool {
		return s.Link.Phase == "waiting" && strings.Contains(s.Link.Text, h.Desk) && s.Link.Says.ID == "link.trouble"
	})
	t.Log(s.Link.Text)
}

// TestAnotherDesk gives the daemon a map that knows nothing of what arrives: the
// page says that, with an address that came.
func TestAnotherDesk(t *testing.T) {
	clock := fastClock()
	desk := playDesk(t, clock, "ratchet")
	h, faults := house.Files{"house.yaml": `
house: A hall
desk: {address: 127.0.0.1, map: other.map.yaml}
roster: {inputs: {1: {name: piano, element: rhythm}}}
`, "other.map.yaml": `
desk: another desk
link:
  desk-port: 10700
  ask:
    - {send: /listen, args: [{int: 90}], every: 25s, moves-nothing-because: "the practice desk only tells"}
    - {send: /tell/all, on: connect}
signals:
  - {hear: "/berth/{input:1-1}/level", is: input.fader, value: {arg: 0, unit: dB}}
`}.Load("house.yaml")
	if h == nil {
		t.Fatal(faults)
	}
	h.Desk = desk.Addr().String()
	d := start(t, h, Options{Clock: clock})
	s := openTablet(t, d.Page()).until("not understood", func(s dashboard.Now) bool { return s.Link.Phase == "not-understood" })
	if !strings.HasPrefix(s.Link.Example, "/") || !strings.Contains(s.Link.Text, s.Link.Example) {
		t.Errorf("link %+v, want an example address in the text", s.Link)
	}
}

// TestDeskReboots silences the desk: the page says so and since when, the numbers
// stay, and the desk is asked and heard again when it is back.
func TestDeskReboots(t *testing.T) {
	clock := fastClock()
	desk := playDesk(t, clock, "ratchet")
	h := harbourHall(t)
	h.Desk = desk.Addr().String()
	d := start(t, h, Options{Clock: clock})
	page := openTablet(t, d.Page())
	page.until("the desk", func(s dashboard.Now) bool { return s.Link.Phase == "hearing" })
	desk.Reboot(20 * time.Second)
	page.until("quiet", func(s dashboard.Now) bool { return s.Link.Phase == "quiet" && s.Link.Age >= 5 })
	before := d.figures.Load().link.Packets
	page.until("the desk again", func(s dashboard.Now) bool { return s.Link.Phase == "hearing" && s.Link.Packets > before })
}

// TestReload breaks the house file while the daemon runs: the old one stays in
// force and the page names the line, until the file is mended. What the desk said
// before is known under the new one, though it says nothing more.
func TestReload(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	text := string(practice.House())
	write("harbour-hall.map.yaml", string(practice.MapFile()))
	write("house.yaml", text)
	h, faults := house.Load(filepath.Join(dir, "house.yaml"))
	if h == nil {
		t.Fatal(faults)
	}
	reload := make(chan struct{})
	clock := fastClock()
	desk := playDesk(t, clock, "ratchet")
	h.Desk = desk.Addr().String()
	d := start(t, h, Options{Reload: reload, Clock: clock})
	page := openTablet(t, d.Page())
	page.until("a mark", func(s dashboard.Now) bool { return s.Mark.Set })

	write("house.yaml", text+"\npgae: {}\n")
	reload <- struct{}{}
	s := page.until("the fault", func(s dashboard.Now) bool { return len(s.Notices) > 0 })
	if text := s.Notices[0].Text; !strings.Contains(text, "house.yaml:") || !strings.Contains(text, `did you mean "page"`) {
		t.Errorf("notice %q, want the line and what was meant", text)
	}
	// The desk falls silent for good: what is known now was known before.
	text = strings.Replace(text, "127.0.0.1:10700", h.Desk, 1)
	desk.Reboot(100 * time.Hour)
	write("house.yaml", strings.Replace(text, "house: Harbour Hall", "house: Harbour Hall, mended", 1))
	reload <- struct{}{}
	s = page.until("the mended house", func(s dashboard.Now) bool {
		return len(s.Notices) == 0 && s.House == "Harbour Hall, mended"
	})
	if s.Basis == "" {
		t.Error("the faders that were known before are forgotten")
	}
}

// TestReloadToATakenPort sends the daemon to a port that somebody else holds: the
// old house stays in force, and the page says why.
func TestReloadToATakenPort(t *testing.T) {
	taken, err := net.ListenPacket("udp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	dir := t.TempDir()
	file := filepath.Join(dir, "house.yaml")
	text := string(practice.House())
	for name, text := range map[string]string{"house.yaml": text, "harbour-hall.map.yaml": string(practice.MapFile())} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	h, faults := house.Load(file)
	if h == nil {
		t.Fatal(faults)
	}
	clock := fastClock()
	h.Desk = playDesk(t, clock, "ratchet").Addr().String()
	reload := make(chan struct{})
	d := start(t, h, Options{Clock: clock, Reload: reload})
	page := openTablet(t, d.Page())
	page.until("the desk", func(s dashboard.Now) bool { return s.Link.Phase == "hearing" && s.Basis != "" })
	moved := strings.Replace(text, "map: harbour", `listen: "`+taken.LocalAddr().String()+`", map: harbour`, 1)
	if err := os.WriteFile(file, []byte(moved), 0o644); err != nil {
		t.Fatal(err)
	}
	reload <- struct{}{}
	page.until("the old desk under a notice of the port", func(s dashboard.Now) bool {
		return len(s.Notices) == 1 && strings.Contains(s.Notices[0].Text, taken.LocalAddr().String()) &&
			s.Link.Phase == "hearing" && s.Basis != ""
	})
}

// A house file names the language of whoever chooses none, and of what is printed.
func TestHouseChoosesTheLanguage(t *testing.T) {
	// Somebody is there and says nothing, so what the page says of the desk stays as it is.
	silent, err := net.ListenPacket("udp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer silent.Close()
	h := harbourHall(t)
	h.Language, h.Desk = "es", silent.LocalAddr().String()
	d := start(t, h, Options{})
	openTablet(t, d.Page()).until("Spanish", func(s dashboard.Now) bool { return strings.HasPrefix(s.Link.Text, "Esperando a la consola") })
	if got := d.options.Lines.Words.Tag(); got != "es" {
		t.Errorf("lines are printed in %q, want Spanish", got)
	}
}

// TestCard plays the ratchet to a page: the card comes, is seen, and goes.
func TestCard(t *testing.T) {
	clock := fastClock()
	h := harbourHall(t)
	h.Desk = playDesk(t, clock, "ratchet").Addr().String()
	d := start(t, h, Options{Clock: clock})
	page := openTablet(t, d.Page())
	s := page.until("the card", func(s dashboard.Now) bool { return s.Card != nil })
	if s.Card.Rule != "ratchet" || s.Card.Words == nil || s.Card.Words.Try == "" || len(s.Card.Words.Facts) == 0 {
		t.Errorf("card %+v, want a ratchet with a way back and its facts", s.Card)
	}
	page.press(rules.Press{Do: rules.Seen, Number: s.Card.Number})
	page.until("the card to go", func(s dashboard.Now) bool { return s.Card == nil })
	page.press(rules.Press{Do: rules.SetMark})
	page.until("the mark", func(s dashboard.Now) bool {
		return s.Mark.How == desk.ByHand && strings.HasSuffix(s.Words.Mark, "when you set it")
	})
}

// TestPortTaken says which port and who may hold it, for the page and the desk.
func TestPortTaken(t *testing.T) {
	tcp, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer tcp.Close()
	udp, err := net.ListenPacket("udp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer udp.Close()
	for _, c := range []struct {
		name, page, listen, port string
	}{
		{"page", tcp.Addr().String(), "", tcp.Addr().String()},
		{"desk", "127.0.0.1:0", udp.LocalAddr().String(), udp.LocalAddr().String()},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := harbourHall(t)
			h.Page, h.Listen = c.page, c.listen
			err := New(h, Options{}).Listen()
			if err == nil || !strings.Contains(err.Error(), c.port) || !strings.Contains(err.Error(), "another") {
				t.Errorf("got %v, want the port %s and who may hold it", err, c.port)
			}
		})
	}
}

// TestHealth asks what a supervisor asks.
func TestHealth(t *testing.T) {
	d := start(t, harbourHall(t), Options{})
	openTablet(t, d.Page()).until("a first state", func(s dashboard.Now) bool { return s.House != "" })
	for _, path := range []string{"healthz", "readyz", "metrics"} {
		answer, err := http.Get(d.Page() + path)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode != http.StatusOK {
			t.Errorf("/%s answers %s", path, answer.Status)
		}
	}
}
