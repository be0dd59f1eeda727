package capture

import "iter"

const (
	// mostInLoad and mostBytesInLoad are what is handed on at once, but for the data of the
	// packet that goes over: enough that handing on costs nothing beside judging, and few
	// enough that all loads stay in a processor's cache.
	mostInLoad      = 512
	mostBytesInLoad = 64 << 10

	// loads go round between the two sides. Two would do if both took turns evenly; with
	// more, neither waits because the other was held up for a moment.
	loads = 4
)

// Ahead gives the packets that Next would give, in the same order, while a goroutine of its
// own reads on: to read a capture costs more than half of what it costs to judge it, and a
// second core can have that. Use it once, instead of Next. A packet and its Data are valid
// until the loop asks for the next one, and within the loop nothing else of the Reader may
// be used.
//
// However the loop is left, the goroutine has ended by then, which takes as long as a read
// of the file that is under way. Then Err and Counts are as after Next; if the loop was left
// early, they are of what was read and not of what was handed on.
func (r *Reader) Ahead() iter.Seq[*Packet] {
	return func(yield func(*Packet) bool) {
		a := readAhead(r)
		defer a.end()
		for l := range a.full {
			for p := range l.each {
				if !yield(p) {
					return
				}
			}
			if l.long != nil {
				if !yield(l.long) {
					return
				}
				close(l.used)
			}
			a.free <- l
		}
	}
}

// ahead is a capture that is read ahead. Either channel has room for every load, so that
// sending never waits.
type ahead struct {
	full chan *load    // to be handed on; closed when there are no more
	free chan *load    // to be filled
	left chan struct{} // closed when nobody wants more
}

// load is some packets, and behind them perhaps a long one. Only a made-up length has more
// in a packet than a datagram can, and that may be any length: such a one is lent as the
// Reader has it, since copies would be memory without bound, and reading waits for it.
type load struct {
	batch
	long *Packet       // or nil
	used chan struct{} // closed when long may be read over
}

func readAhead(r *Reader) *ahead {
	a := &ahead{full: make(chan *load, loads), free: make(chan *load, loads), left: make(chan struct{})}
	for range loads {
		a.free <- new(load)
	}
	r.left = a.left
	go a.read(r)
	return a
}

// read fills loads until there are no more packets or nobody wants more.
func (a *ahead) read(r *Reader) {
	defer close(a.full)
	for more := true; more; {
		var l *load
		select {
		case l = <-a.free:
		case <-a.left:
			return
		}
		more = l.fill(r)
		used := l.used
		a.full <- l
		if used == nil {
			continue
		}
		select {
		case <-used:
		case <-a.left:
			return
		}
	}
}

// fill reads packets until l has enough, and reports whether there may be more.
func (l *load) fill(r *Reader) bool {
	*l = load{batch: l.emptied()}
	for len(l.packets) < mostInLoad && len(l.data) < mostBytesInLoad {
		if !r.Next() {
			return false
		}
		if len(r.packet.Data) > maxUDP {
			l.long, l.used = &r.packet, make(chan struct{})
			return true
		}
		l.add(r.packet, 0)
	}
	return true
}

// end has the reading end, and waits for it.
func (a *ahead) end() {
	close(a.left)
	for range a.full {
	}
}
