package daemon

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"net/netip"
	"slices"
	"strings"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/house"
	"pawl/oscmap"
	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

// Replay judges a captured service as it would have been judged live: the same
// packets at the same times, as fast as it will go.
type Replay struct {
	House *house.House

	// From is whose packets to judge; with port 0, from any of its ports. The zero
	// value means the desk of the house file, or if the capture has none of that
	// one, its only other sender.
	From netip.AddrPort

	// Lines is told every entry, in the language of the house unless it has its own.
	Lines Lines
}

// Summary is what a replay came to, and the last line that --json prints.
type Summary struct {
	Packets   uint64            `json:"packets"`
	Messages  uint64            `json:"messages"`
	Unmapped  uint64            `json:"unmapped"`
	Example   string            `json:"unmapped_example,omitempty"` // an address of these
	Passed    uint64            `json:"-"`                          // patterns of these that were not tried; for the metrics
	Malformed map[string]uint64 `json:"malformed"`
	Refused   map[string]uint64 `json:"refused"` // values by signal: not a number, or of the wrong sort
	Clamped   map[string]uint64 `json:"clamped"` // values by signal: out of range
	Findings  map[string]int    `json:"findings"`
	HeldBack  int               `json:"held_back"` // findings that opened off the screen
	Presses   int               `json:"presses"`   // that were obeyed
	From      string            `json:"from"`
	Strangers uint64            `json:"strangers"` // packets from others, left out
	Seconds   float64           `json:"seconds"`   // of service
	Wall      float64           `json:"wall_seconds"`
	Notes     []string          `json:"notes"` // about the capture itself
}

// Run looks first for who sent the capture, and then judges it from its beginning.
func (r Replay) Run(file io.ReadSeeker) (Summary, error) {
	from, err := r.sender(file)
	if err != nil {
		return Summary{}, err
	}
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return Summary{}, fmt.Errorf("read the capture again: %w", err)
	}
	began := time.Now()
	s, err := r.judge(file, from)
	s.Wall = seconds(time.Since(began))
	return s, err
}

// longestPause bounds how much silence a capture may hold. More than half a day
// between two packets is two services in one file or a broken clock, and every
// beat in between would be judged.
const longestPause = 12 * time.Hour

func (r Replay) judge(file io.Reader, from netip.AddrPort) (Summary, error) {
	in, err := r.open(file)
	if err != nil {
		return Summary{}, err
	}
	if r.Lines.Words == nil {
		r.Lines.Words = words.Own().For(r.House.Language)
	}
	p := playing{engine: newEngine(r.House), houses: []*house.House{r.House}, said: r.print, sum: Summary{From: from.String(), Findings: map[string]int{}}}
	for packet := range in.Ahead() {
		if ours := capture.IsOurs(*packet); !ours && !isFrom(packet.From, from) {
			p.sum.Strangers++
			continue
		} else if err := p.take(packet, ours); err != nil {
			return p.sum, err
		}
	}
	// Live, time goes on after the last packet, and the last move comes to rest.
	m := r.House.Limits.Moves
	p.engine.advance(p.last.Sub(p.first) + max(m.Still, m.SceneIn) + 2*desk.Beat)
	if err := p.tell(); err != nil {
		return p.sum, err
	}
	p.sum.count(p.engine)
	p.sum.Notes = append(in.Counts().Notes(), p.notes...)
	if p.sum.Notes == nil {
		p.sum.Notes = []string{}
	}
	return p.sum, in.Err()
}

func (r Replay) print(e rules.Entry) error {
	if err := r.Lines.Entry(e); err != nil {
		return fmt.Errorf("write an entry: %w", err)
	}
	return nil
}

// open begins to read a capture. If the map's desk speaks over TCP, so may the capture.
func (r Replay) open(file io.Reader) (*capture.Reader, error) {
	in, err := capture.NewReader(file)
	if err != nil {
		return nil, err
	}
	switch r.House.Map.Link().Transport {
	case oscmap.TCPSLIP:
		in.ReadTCP(wire.SLIP)
	case oscmap.TCPLength:
		in.ReadTCP(wire.LengthPrefix)
	}
	return in, nil
}

// playing is a replay under way.
type playing struct {
	engine *engine

	// houses are the one in force and those that were read again after it. The last
	// stands for any more.
	houses []*house.House

	// meant gives a press as it would have been made here, or false if there is nothing
	// that it could be about; nil for as it was.
	meant func(rules.Press) (rules.Press, bool)

	said        func(rules.Entry) error
	sum         Summary
	first, last time.Time // of the desk's packets and ours
	entries     []rules.Entry
	notes       []string
}

// take judges one packet of the desk, or does what one of ours says was done.
func (p *playing) take(packet *capture.Packet, ours bool) error {
	if p.first.IsZero() {
		if ours {
			return nil // a press before the desk was heard was refused
		}
		p.first, p.last = packet.At, packet.At
	}
	if pause := packet.At.Sub(p.last); pause > longestPause {
		return fmt.Errorf("%v of silence after %s: want one service a capture", pause.Round(time.Minute), clockTime(p.engine.at))
	}
	p.last = packet.At
	if ours {
		if err := p.obey(packet.At.Sub(p.first), packet.Data); err != nil {
			return err
		}
	} else {
		p.engine.packet(packet.At.Sub(p.first), packet.Data)
	}
	return p.tell()
}

// obey does what a message of ours says was done. One that cannot be is noted: it is
// of another Pawl, or of another house file.
func (p *playing) obey(at time.Duration, data []byte) error {
	if isEnd(data) {
		p.engine.advance(at)
		return nil
	}
	press, reread, err := ourMessage(data)
	if err == nil && !reread && p.meant != nil {
		p.engine.advance(at)
		var is bool
		if press, is = p.meant(press); !is {
			return nil
		}
	}
	switch {
	case err == nil && reread:
		p.engine.advance(at)
		if err := p.tell(); err != nil { // by the house that was in force until now
			return err
		}
		if len(p.houses) > 1 {
			p.houses = p.houses[1:]
		}
		p.engine.follow(at, p.houses[0])
	case err == nil:
		if _, err = p.engine.press(at, press); err == nil {
			p.sum.Presses++
		}
	}
	if err != nil && len(p.notes) < mostNotes {
		p.notes = append(p.notes, fmt.Sprintf("a press at %s was not obeyed: %v", clockTime(at), err))
	}
	return nil
}

// mostNotes bounds what is said of presses that cannot be obeyed.
const mostNotes = 8

func (p *playing) tell() error {
	p.entries = p.engine.judge.Take(p.entries)
	for _, e := range p.entries {
		if f, ok := e.(*rules.Finding); ok && f.State == rules.Open {
			p.sum.Findings[f.Rule]++
			if !f.Shown {
				p.sum.HeldBack++
			}
		}
		if err := p.said(e); err != nil {
			return err
		}
	}
	return nil
}

// count adds what an engine heard.
func (s *Summary) count(e *engine) {
	c := e.hearer.Counts()
	s.Packets, s.Messages, s.Unmapped = s.Packets+e.packets, s.Messages+e.messages, s.Unmapped+c.Unmapped
	s.Passed += c.Passed
	s.Example = cmp.Or(e.hearer.LastUnmapped(), s.Example)
	s.Seconds += seconds(e.at)
	add := func(to *map[string]uint64, what string, n uint64) {
		if *to == nil {
			*to = map[string]uint64{}
		}
		if n > 0 {
			(*to)[what] += n
		}
	}
	for reason, n := range e.malformed {
		add(&s.Malformed, reason.String(), n)
	}
	for _, signal := range desk.Signals() {
		add(&s.Refused, signal.String(), c.Refused[signal])
		add(&s.Clamped, signal.String(), c.Clamped[signal])
	}
}

// sender finds whose packets to judge. A capture made elsewhere may have the desk
// at another address than the house file, so a capture of one desk needs no
// telling, and one of several says whom it holds.
func (r Replay) sender(file io.Reader) (netip.AddrPort, error) {
	in, err := r.open(file)
	if err != nil {
		return netip.AddrPort{}, err
	}
	want := r.From
	if !want.IsValid() {
		want, _ = netip.ParseAddrPort(r.House.Desk)
		if r.House.AnyPort {
			want = netip.AddrPortFrom(want.Addr(), 0)
		}
	}
	seen := map[netip.AddrPort]uint64{}
	for in.Next() {
		p := in.Packet()
		if capture.IsOurs(*p) || len(p.Data) == 0 || p.Data[0] != '/' && p.Data[0] != '#' {
			continue
		}
		if isFrom(p.From, want) {
			return want, nil
		}
		seen[p.From]++
	}
	if err := in.Err(); err != nil {
		return netip.AddrPort{}, err
	}
	switch {
	case len(seen) == 0:
		return want, errors.New("no OSC packet in this capture; want UDP with addresses that begin with /")
	case len(seen) == 1 && !r.From.IsValid():
		for only := range seen {
			return only, nil
		}
	}
	return want, fmt.Errorf("no packet from %v in this capture; choose a sender with --from: %s", want, census(seen))
}

// isFrom reports whether a sender is the one that is wanted. Port 0 wants any.
func isFrom(from, want netip.AddrPort) bool {
	return from == want || want.Port() == 0 && from.Addr() == want.Addr()
}

func census(seen map[netip.AddrPort]uint64) string {
	var who []string
	for a, n := range seen {
		who = append(who, fmt.Sprintf("%v sent %d", a, n))
	}
	slices.Sort(who)
	return strings.Join(who[:min(len(who), 8)], ", ")
}
