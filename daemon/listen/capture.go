package listen

import (
	"errors"
	"fmt"
	"os"
	"time"

	"pawl/daemon/capture"
)

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
