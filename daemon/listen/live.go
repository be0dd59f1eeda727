package listen

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net/netip"
	"os"
	"slices"
	"strings"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/link"
)

// redrawEvery is how often the table on a screen is drawn anew.
const redrawEvery = time.Second

// beforeQuestions is how long is listened before the guided part begins by itself.
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
		case <-over:
			if !l.asks() {
				return
			}
			l.question()
			over = nil
		case line, open := <-typed:
			packets = l.take(packets)
			if !open && l.guide == nil {
				// Nobody is there: no questions, but the time is still to be listened.
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

// asks reports whether there is somebody to put questions to.
func (l *Listener) asks() bool { return l.options.Draft != "" && l.options.In != nil }

// begin says what is going on.
func (l *Listener) begin() {
	local := l.link.Status().Local
	switch {
	case l.desk == "":
		fmt.Fprintf(l.options.Talk, "Listening at port %d to whoever sends. Nothing is sent. Ctrl-C ends it.\n", local.Port())
	case l.brought.m == nil || len(l.brought.m.Asks()) == 0:
		fmt.Fprintf(l.options.Talk, "Listening to %s. Nothing is sent, since no map says what to ask. Ctrl-C ends it.\n", l.desk)
	default:
		fmt.Fprintf(l.options.Talk, "Listening to %s, and sending the asks of the map, and nothing else. Ctrl-C ends it.\n", l.desk)
	}
	if l.asks() {
		l.tell(fmt.Sprintf("After %.0f s, or when you press Enter, come some questions. They take five to ten minutes; "+
			"stop ends them, and what was told by then is used.", l.listenFor().Seconds()))
	}
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

// question asks the next question, and first of all begins the guide.
func (l *Listener) question() {
	if l.guide == nil {
		l.draw()
		l.guide = l.survey.Guide()
	}
	fmt.Fprintln(l.options.Talk)
	l.tell(l.guide.Question())
}

// talkWidth is how wide a line of talk is.
const talkWidth = 78

// tell writes a sentence or two in lines that fit, indented as the first is.
func (l *Listener) tell(text string) {
	indent := text[:len(text)-len(strings.TrimLeft(text, " "))]
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && len(indent)+len(line)+1+len(word) > talkWidth {
			fmt.Fprintln(l.options.Talk, indent+line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	fmt.Fprintln(l.options.Talk, indent+line)
}

// answer takes a line, and reports whether there is more to ask.
func (l *Listener) answer(line string) bool {
	if l.guide != nil {
		for _, said := range l.guide.Answer(line) {
			l.tell(said)
		}
		if l.guide.Question() == "" {
			return false
		}
	}
	l.question()
	return true
}

// draw shows the table on a screen. While questions are asked it stays as it is.
func (l *Listener) draw() {
	if l.options.Screen == nil || l.guide != nil || l.options.JSON {
		return
	}
	width, height := l.options.Screen()
	l.survey.Elapse(l.options.Clock.Now())
	var b strings.Builder
	if !l.drawn {
		b.WriteString("\x1b[2J")
	}
	l.drawn = true
	b.WriteString("\x1b[H")
	foot := l.foot(width)
	for _, line := range append(l.survey.Table(width, height-len(foot)-1), foot...) {
		b.WriteString(line + "\x1b[K\n")
	}
	b.WriteString("\x1b[J")
	io.WriteString(l.options.Out, b.String())
}

// foot is what stands below the table on a screen: what is wrong with the link, if
// anything is, and what to do next.
func (l *Listener) foot(width int) []string {
	s := l.link.Status()
	lines := []string{s.Problem}
	if s.Problem == "" && s.Strangers > 0 && s.Packets == 0 {
		lines[0] = fmt.Sprintf("Nothing from %s, but %d packets from %v.", l.desk, s.Strangers, s.LastStranger)
	}
	if lines[0] == "" {
		lines = nil
	}
	next := "Ctrl-C ends it."
	if l.asks() {
		next = "Enter begins the questions. Ctrl-C ends it and writes what is known."
	}
	lines = append(lines, next)
	for i, text := range lines {
		if runes := []rune(text); len(runes) > width {
			lines[i] = string(runes[:width])
		}
	}
	return lines
}

// readCapture hears a whole capture.
func (l *Listener) readCapture() error {
	f, err := os.Open(l.options.Capture)
	if err != nil {
		return fmt.Errorf("cannot read the capture: %w", err)
	}
	defer f.Close()
	in, err := capture.NewReader(f)
	if err != nil {
		return fmt.Errorf("%s: %w", l.options.Capture, err)
	}
	var first time.Time
	others := 0
	for in.Next() {
		p := in.Packet()
		if l.only.IsValid() && p.From.Addr() != l.only {
			others++
			continue
		}
		if first.IsZero() {
			first = p.At
		}
		at := p.At.Sub(first)
		if l.options.For > 0 && at > l.options.For {
			break
		}
		l.hear(at, p.From, p.Data)
	}
	for _, note := range in.Counts().Notes() {
		fmt.Fprintf(l.options.Talk, "capture: %s\n", note)
	}
	if others > 0 && l.survey.Counts().Packets == 0 {
		return fmt.Errorf("%s: no packet from %v, but %d from others", l.options.Capture, l.only, others)
	}
	if err := in.Err(); err != nil {
		return fmt.Errorf("%s: %w", l.options.Capture, err)
	}
	if l.survey.Counts().Packets == 0 {
		return fmt.Errorf("%s: %w", l.options.Capture, errors.New("no UDP packet in this capture"))
	}
	return nil
}

// sendersSaid lists who sent, the busiest first.
func (l *Listener) sendersSaid() string {
	who := make([]netip.AddrPort, 0, len(l.senders))
	for from := range l.senders {
		if from.IsValid() {
			who = append(who, from)
		}
	}
	slices.SortFunc(who, func(a, b netip.AddrPort) int {
		if l.senders[a] != l.senders[b] {
			return int(min(l.senders[b], 1<<40)) - int(min(l.senders[a], 1<<40))
		}
		return a.Compare(b)
	})
	var parts []string
	for _, from := range who[:min(len(who), 4)] {
		parts = append(parts, fmt.Sprintf("%v (%d packets)", from, l.senders[from]))
	}
	if len(who) > 4 {
		parts = append(parts, fmt.Sprintf("%d more", len(who)-4))
	}
	return strings.Join(parts, ", ")
}
