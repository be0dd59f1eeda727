package daemon

import (
	"errors"
	"fmt"
	"io"
	"net/netip"
	"slices"
	"strings"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/house"
	"pawl/rules"
	"pawl/rules/desk"
)

// Replay judges a captured service as it would have been judged live: the same
// packets at the same times, as fast as it will go.
type Replay struct {
	House *house.House

	// From is whose packets to judge; with port 0, from any of its ports. The zero
	// value means the desk of the house file, or if the capture has none of that
	// one, its only other sender.
	From netip.AddrPort

	// Lines is told every finding.
	Lines Lines
}

// Summary is what a replay came to, and the last line that --json prints.
type Summary struct {
	Packets   uint64            `json:"packets"`
	Messages  uint64            `json:"messages"`
	Unmapped  uint64            `json:"unmapped"`
	Malformed map[string]uint64 `json:"malformed"`
	Refused   map[string]uint64 `json:"refused"` // values by signal: not a number, or of the wrong sort
	Clamped   map[string]uint64 `json:"clamped"` // values by signal: out of range
	Findings  map[string]int    `json:"findings"`
	HeldBack  int               `json:"held_back"`
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
	in, err := capture.NewReader(file)
	if err != nil {
		return Summary{}, err
	}
	e := newEngine(r.House)
	s := Summary{From: from.String(), Findings: map[string]int{}}
	var first, last time.Time
	for in.Next() {
		p := in.Packet()
		if !isFrom(p.From, from) {
			s.Strangers++
			continue
		}
		if first.IsZero() {
			first, last = p.At, p.At
		}
		if pause := p.At.Sub(last); pause > longestPause {
			return s, fmt.Errorf("%v of silence after %s: want one service a capture", pause.Round(time.Minute), clockTime(e.at))
		}
		last = p.At
		e.packet(p.At.Sub(first), p.Data)
		if err := r.tell(e.judge.Said(), &s); err != nil {
			return s, err
		}
	}
	// Live, time goes on after the last packet, and the last move comes to rest.
	m := r.House.Limits.Moves
	e.advance(last.Sub(first) + max(m.Still, m.SceneIn) + 2*rules.Beat)
	if err := r.tell(e.judge.Said(), &s); err != nil {
		return s, err
	}
	s.count(e)
	s.Notes = append([]string{}, in.Counts().Notes()...)
	return s, in.Err()
}

func (r Replay) tell(said []rules.Finding, s *Summary) error {
	for _, f := range said {
		if f.Phase == rules.Open {
			s.Findings[f.Rule]++
			if f.Held {
				s.HeldBack++
			}
		}
		if err := r.Lines.Finding(f); err != nil {
			return fmt.Errorf("write a finding: %w", err)
		}
	}
	return nil
}

func (s *Summary) count(e *engine) {
	c := e.hearer.Counts()
	s.Packets, s.Messages, s.Unmapped = e.packets, e.messages, c.Unmapped
	s.Seconds = seconds(e.at)
	s.Malformed, s.Refused, s.Clamped = map[string]uint64{}, map[string]uint64{}, map[string]uint64{}
	for reason, n := range e.malformed {
		s.Malformed[reason.String()] = n
	}
	for _, signal := range desk.Signals() {
		if n := c.Refused[signal]; n > 0 {
			s.Refused[signal.String()] = n
		}
		if n := c.Clamped[signal]; n > 0 {
			s.Clamped[signal.String()] = n
		}
	}
}

// sender finds whose packets to judge. A capture made elsewhere may have the desk
// at another address than the house file, so a capture of one desk needs no
// telling, and one of several says whom it holds.
func (r Replay) sender(file io.Reader) (netip.AddrPort, error) {
	in, err := capture.NewReader(file)
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
		if len(p.Data) == 0 || p.Data[0] != '/' && p.Data[0] != '#' {
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
