package link

import (
	"net/netip"
	"slices"
	"strconv"
	"time"
)

// Phase is how it stands between Pawl and the desk.
type Phase uint8

// The phases. The zero value is Waiting.
const (
	Waiting Phase = iota // nothing has come since the daemon started
	Hearing              // packets come
	Quiet                // they came, and have stopped for longer than StaleAfter
)

var phaseWords = [...]string{"waiting", "hearing", "quiet"}

// String is the phase's word on the page and in metrics.
func (p Phase) String() string { return phaseWords[p] }

// Status is the link as it stands. All counts are since Open.
type Status struct {
	Phase Phase

	// Local is our own end. Not valid before the first TCP connection.
	Local netip.AddrPort

	// LastHeard is the daemon time of the last packet from the desk; it says
	// nothing while Packets is 0.
	LastHeard time.Duration

	Packets uint64 // from the desk
	Bytes   uint64 // in them

	Strangers    uint64         // packets from anyone else, left unread
	LastStranger netip.AddrPort // who sent the last of them

	Dropped       uint64 // packets dropped here, oldest first, because nobody took them in time
	KernelDropped uint64 // datagrams the system dropped because its receive buffer was full
	BadFrames     uint64 // frames of a stream that broke its framing

	Asked      uint64 // asks sent
	AskFailed  uint64 // asks that could not be sent
	WentQuiet  uint64 // times the desk fell silent
	Connects   uint64 // TCP connections made
	ReadBuffer int    // bytes of receive buffer the system granted; 4 MiB are asked for. 0 for TCP

	// Problem is what is wrong; the zero value if all is well.
	Problem Problem
}

// Status says how the link stands now.
func (l *Link) Status() Status {
	l.mu.Lock()
	defer l.mu.Unlock()
	s := l.status
	s.KernelDropped = l.lost.Load()
	s.Problem = l.problem()
	return s
}

// Changed gives a channel that is closed at the next change of the Status other
// than the counts of packets, bytes and drops. To miss nothing, get the channel
// first, then look at the Status, then wait.
func (l *Link) Changed() <-chan struct{} {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.changed == nil {
		l.changed = make(chan struct{})
	}
	return l.changed
}

// notify tells whoever waits for a change. The caller holds mu.
func (l *Link) notify() {
	if l.changed != nil {
		close(l.changed)
		l.changed = nil
	}
}

// trouble is what the network last said.
type trouble struct {
	Problem
	at time.Duration
}

// oldTrouble is when what the network said is no longer news. An ask repeated
// meanwhile would have said it again.
const oldTrouble = time.Minute

// problem finds what to say of the link. The caller holds mu.
func (l *Link) problem() Problem {
	if l.status.Phase == Hearing {
		return Problem{} // whatever the network said, packets come
	}
	now := l.clock.Now()
	if l.trouble.Kind != NoProblem && now-l.trouble.at < oldTrouble {
		return l.trouble.Problem
	}
	p := Problem{At: l.opts.Desk, For: (now - l.since).Truncate(time.Second)}
	// The desk itself, from where it did not send before, and since it fell silent.
	elsewhere := l.status.Strangers > 0 && l.opts.Desk != "" && slices.Contains(l.believe, l.status.LastStranger.Addr()) && l.strangeAt > l.since
	switch {
	case elsewhere && (l.status.Phase == Quiet || l.overdue):
		p.Kind, p.More = OtherPort, strconv.Itoa(int(l.status.LastStranger.Port()))
	case l.status.Phase == Quiet:
		p.Kind = WentSilent
	case l.overdue && l.status.Strangers > 0:
		p.Kind, p.More = OthersSend, l.status.LastStranger.String()
	case l.overdue && l.opts.Desk != "" && len(l.opts.Asks) == 0:
		p.Kind = NeverAsked
	case l.overdue:
		p.Kind = NeverCame
	default:
		return Problem{}
	}
	if l.opts.Desk == "" { // then everybody is the desk
		p.At = strconv.Itoa(int(l.status.Local.Port()))
		p.Kind = map[ProblemKind]ProblemKind{WentSilent: PortSilent, NeverCame: PortUnused}[p.Kind]
	}
	return p
}

// note keeps a trouble. It says no more than the last one did until a minute
// has passed, so that nothing is told over and over.
func (l *Link) note(p Problem) {
	l.mu.Lock()
	defer l.mu.Unlock()
	// An ask that fails is repeated, and fails again in the same words.
	fresh := l.trouble.Problem != p
	l.trouble = trouble{p, l.clock.Now()}
	if fresh {
		l.notify()
	}
}

// asked counts an ask that went out, or did not.
func (l *Link) asked(err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if err != nil {
		l.status.AskFailed++
	} else {
		l.status.Asked++
	}
	l.notify()
}
