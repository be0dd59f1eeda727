package listen

import (
	"bufio"
	"context"
	"time"

	"pawl/daemon/link"
)

// redrawEvery is how often the table on a screen is drawn again.
const redrawEvery = time.Second

// beforeQuestions is how long to listen before the guided part begins by itself.
const beforeQuestions = time.Minute

// live listens to the link until ctx ends, the time is over, or the questions are
// through.
func (l *Listener) live(ctx context.Context) {
	l.begin()
	typed := l.typed(ctx)
	redraw := time.NewTicker(redrawEvery)
	defer redraw.Stop()
	over := make(<-chan time.Time)
	if d := l.listenFor(); d > 0 {
		timer := time.NewTimer(l.options.Clock.Real(d))
		defer timer.Stop()
		over = timer.C
	}
	var packets []link.Packet
	for {
		select {
		case <-ctx.Done():
			return
		case <-l.link.Ready():
			packets = l.take(packets)
		case <-redraw.C:
			l.draw()
			l.warn()
		case <-over:
			if !l.asks() {
				return
			}
			l.question()
			over = nil
		case line, open := <-typed:
			packets = l.take(packets)
			if !open && l.guide == nil {
				// Nobody is there: no questions, but listening goes on for its time.
				typed, l.options.In = nil, nil
				continue
			}
			if !open || !l.answer(line) {
				return
			}
			over = nil
		}
	}
}

// take hears everything that waits.
func (l *Listener) take(packets []link.Packet) []link.Packet {
	packets = l.link.Take(packets[:0])
	for _, p := range packets {
		l.hear(p.At, p.From, p.Data)
	}
	l.survey.Elapse(l.options.Clock.Now())
	return packets
}

// listenFor is how long to listen; 0 is until interrupted.
func (l *Listener) listenFor() time.Duration {
	if l.options.For == 0 && l.asks() {
		return beforeQuestions
	}
	return l.options.For
}

// typed gives the lines of the person, and is closed at their end; nil if nobody
// is to be asked. A line that nobody takes waits, so none is lost.
func (l *Listener) typed(ctx context.Context) <-chan string {
	if !l.asks() {
		return nil
	}
	lines := make(chan string)
	// A read from a terminal cannot be called off. The goroutine ends with ctx at
	// the next line, or with the program.
	go func() {
		defer close(lines)
		in := bufio.NewScanner(l.options.In)
		for in.Scan() {
			select {
			case lines <- in.Text():
			case <-ctx.Done():
				return
			}
		}
	}()
	return lines
}
