package listen

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"

	"pawl/daemon/survey"
	"pawl/oscmap"
)

// plainWidth is how wide a table is that goes to no screen.
const plainWidth = 140

// finish prints the whole table and writes the draft.
func (l *Listener) finish() error {
	if err := l.print(); err != nil {
		return fmt.Errorf("print the table: %w", err)
	}
	if l.options.Draft == "" {
		return nil
	}
	return l.writeDraft()
}

func (l *Listener) print() error {
	if l.options.JSON {
		return l.printJSON()
	}
	width := plainWidth
	if l.options.Screen != nil {
		if l.guide != nil {
			return nil // the table stands above the questions
		}
		width, _ = l.options.Screen()
		if l.drawn {
			fmt.Fprint(l.options.Out, "\x1b[H\x1b[J")
		}
	}
	lines := l.survey.Table(width, 0)
	if from := l.sendersSaid(); from != "" {
		lines = append(lines, "From "+from+".")
	}
	_, err := fmt.Fprintln(l.options.Out, strings.Join(lines, "\n"))
	return err
}

// summary is the last line of --json.
type summary struct {
	Packets   uint64   `json:"packets"`
	Messages  uint64   `json:"messages"`
	Malformed uint64   `json:"malformed"` // packets
	NotKept   uint64   `json:"not_kept"`  // messages to more addresses than are kept
	Seconds   float64  `json:"seconds"`
	From      []string `json:"from"`
}

func (l *Listener) printJSON() error {
	out := json.NewEncoder(l.options.Out)
	out.SetEscapeHTML(false)
	for _, r := range l.survey.Rows() {
		if err := out.Encode(r); err != nil {
			return err
		}
	}
	c := l.survey.Counts()
	s := summary{Packets: c.Packets, Messages: c.Messages, Malformed: c.Malformed, NotKept: c.Left, Seconds: c.Over.Seconds(), From: []string{}}
	if from := l.sendersSaid(); from != "" {
		s.From = strings.Split(from, ", ")
	}
	return out.Encode(map[string]summary{"summary": s})
}

// writeDraft makes the map and writes it, unless the file has come to be there in
// the meantime.
func (l *Listener) writeDraft() error {
	text, m, err := l.draft()
	if err != nil {
		return err
	}
	f, err := os.OpenFile(l.options.Draft, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return fmt.Errorf("write the draft: %w", err)
	}
	_, err = f.WriteString(text)
	if err := errors.Join(err, f.Close()); err != nil {
		return fmt.Errorf("write the draft: %w", err)
	}
	told := fmt.Sprintf("%d signals", len(m.Heard()))
	if len(m.Heard()) == 1 {
		told = "1 signal"
	}
	fmt.Fprintf(l.options.Talk, "Wrote %s: %s told, with the reason for each. Read it, then run: pawl check %s\n",
		l.options.Draft, told, l.options.Draft)
	return nil
}

// draft makes the map, and sees to it that `pawl check` passes it. A link that the
// person brought can stand in the way, if it asks of a control what would move it;
// then it is left out, and that is said.
func (l *Listener) draft() (string, *oscmap.Map, error) {
	o := survey.DraftOptions{Heard: l.heardFrom(), Link: l.brought.link, Strips: l.brought.strips, Transport: l.transport(), Port: l.port()}
	if l.brought.m != nil && !l.brought.bare {
		o.Desk = l.brought.m.Desk()
	}
	text := l.survey.Draft(l.guide, o)
	m, faults := oscmap.Load(l.options.Draft, []byte(text), nil)
	if m != nil || o.Link == "" {
		return text, m, faultsOrNil(m, faults)
	}
	fmt.Fprintf(l.options.Talk, "The link of the map that was given does not go with what was heard, and is left out of the draft:\n%v\n", faults)
	o.Link, o.Strips = "", ""
	text = l.survey.Draft(l.guide, o)
	m, faults = oscmap.Load(l.options.Draft, []byte(text), nil)
	return text, m, faultsOrNil(m, faults)
}

func faultsOrNil(m *oscmap.Map, faults error) error {
	if m != nil {
		return nil
	}
	return fmt.Errorf("the draft did not come out right, which is a mistake in pawl: %w", faults)
}

// heardFrom is a sentence for the head of the draft.
func (l *Listener) heardFrom() string {
	c := l.survey.Counts()
	return fmt.Sprintf("Heard in %.0f s: %d messages from %s.", c.Over.Seconds(), c.Messages, l.sendersSaid())
}
