package listen

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"pawl/daemon/link"
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
	if l.options.Draft == "" && l.options.DraftHouse == "" {
		return nil
	}
	if l.survey.Counts().Messages == 0 {
		return l.nothing()
	}
	m, mapFile := l.given.m, l.options.Map
	if l.options.Draft != "" {
		var err error
		if m, err = l.writeDraft(); err != nil {
			return err
		}
		mapFile = l.options.Draft
	}
	if l.options.DraftHouse == "" {
		return nil
	}
	return l.writeHouse(m, mapFile)
}

// nothing says why there is nothing to make a draft of, by what is likeliest.
func (l *Listener) nothing() error {
	why := "nothing was heard"
	switch c := l.survey.Counts(); {
	case c.Packets > 0:
		why = fmt.Sprintf("none of the %d packets that came is OSC; look at the desk's port, and whether it sends in another transport", c.Packets)
	case l.link == nil:
	case l.link.Status().Problem.Kind != link.NoProblem:
		why = l.link.Status().Problem.String()
	case l.link.Status().Strangers > 0:
		why = fmt.Sprintf("nothing came from %s, but %d packets from %v", l.desk, l.link.Status().Strangers, l.link.Status().LastStranger)
	case l.desk != "" && (l.given.m == nil || len(l.given.m.Asks()) == 0):
		why = fmt.Sprintf("nothing came from %s, and nothing was asked of it: most desks send only to who asks. Its manual says how; give a map with its link and ask", l.desk)
	}
	return fmt.Errorf("no draft is written: %s", why)
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
	if len(l.senders) > 0 {
		lines = append(lines, fmt.Sprintf("From %v.", l.senders))
	}
	for _, d := range l.survey.Doubts() {
		lines = append(lines, survey.Wrap("The map does not fit, "+d.String()+".", width)...)
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
	Doubts    []string `json:"doubts"` // lines of the map that do not fit
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
	doubts := []string{}
	for _, d := range l.survey.Doubts() {
		doubts = append(doubts, d.String())
	}
	return out.Encode(map[string]summary{"summary": {
		Packets: c.Packets, Messages: c.Messages, Malformed: c.Malformed, NotKept: c.Left, Seconds: c.Over.Seconds(),
		From: append([]string{}, l.senders.lines()...), Doubts: doubts, // lists also if they are empty
	}})
}

// writeDraft makes the map and writes it, unless somebody else has made the file
// since we looked.
func (l *Listener) writeDraft() (*oscmap.Map, error) {
	text, m, err := l.draft()
	if err != nil {
		return nil, err
	}
	if err := writeNew(l.options.Draft, text); err != nil {
		return nil, err
	}
	if m == nil {
		return nil, fmt.Errorf("nothing could be told for certain, so there is no map yet: what was heard stands in %s as comments", l.options.Draft)
	}
	fmt.Fprintf(l.options.Talk, "Wrote %s: %s told, with the reason for each. Read it, then run: pawl check %s\n",
		l.options.Draft, plural(len(m.Heard()), "signal"), l.options.Draft)
	return m, nil
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// writeNew writes a file that is not there yet.
func writeNew(file, text string) error {
	f, err := os.OpenFile(file, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return fmt.Errorf("write the draft: %w", err)
	}
	_, err = f.WriteString(text)
	if err := errors.Join(err, f.Close()); err != nil {
		return fmt.Errorf("write the draft: %w", err)
	}
	return nil
}

// beside is a file as another beside it would name it.
func beside(file, other string) string {
	from, err1 := filepath.Abs(filepath.Dir(file))
	to, err2 := filepath.Abs(other)
	if err1 == nil && err2 == nil {
		if rel, err := filepath.Rel(from, to); err == nil {
			return filepath.ToSlash(rel)
		}
	}
	return other
}

// mapBeside is the drafted map, as the drafted house file names it.
func (l *Listener) mapBeside() string { return beside(l.options.DraftHouse, l.options.Draft) }

// deskAt is the desk's address: as it was given, or else whoever sent most.
func (l *Listener) deskAt() string {
	if l.desk == "" && len(l.senders) > 0 {
		return l.senders.busiest()[0].String()
	}
	return l.desk
}

// writeHouse makes a house file for a map, and writes it.
func (l *Listener) writeHouse(m *oscmap.Map, mapFile string) error {
	mapFile, at := beside(l.options.DraftHouse, mapFile), l.deskAt()
	strips := l.survey.Strips(m)
	if len(strips.Inputs) == 0 {
		return errors.New("no house file is written: nothing in the map is certain of the inputs yet; take the # away in it where a line is right, and write the roster by hand")
	}
	if err := writeNew(l.options.DraftHouse, strips.House(survey.HouseOptions{Desk: at, Map: mapFile}, nil)); err != nil {
		return err
	}
	guessed := 0
	for _, in := range strips.Inputs {
		if in.Guess != "" {
			guessed++
		}
	}
	fmt.Fprintf(l.options.Talk, "Wrote %s: %s by the desk's own names, and for %d of them a guess at what they are. Read it, then run: pawl check %s\n",
		l.options.DraftHouse, plural(len(strips.Inputs), "input"), guessed, l.options.DraftHouse)
	return nil
}

// draft makes a map that `pawl check` passes; the map is nil if nothing could be told for certain.
// A link that was given can prevent that, if it asks of a control what would move it; then it is
// left out, and that is said.
func (l *Listener) draft() (string, *oscmap.Map, error) {
	o := survey.DraftOptions{From: l.from(), Link: l.given.link, Strips: l.given.strips, Transport: l.transport(), Port: l.senders.port()}
	if l.given.m != nil && !l.given.bare {
		o.Desk = l.given.m.Desk()
	}
	text, told := l.survey.DraftTold(l.guide, o)
	if !told {
		return text, nil, nil
	}
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

// from is a sentence for the head of the draft.
func (l *Listener) from() string {
	c := l.survey.Counts()
	return fmt.Sprintf("Heard in %.0f s: %d messages from %v.", c.Over.Seconds(), c.Messages, l.senders)
}
