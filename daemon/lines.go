package daemon

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"pawl/rules"
	"pawl/rules/words"
)

// Lines writes what is said: every entry as a JSON object on a line for a machine,
// or a plain line for each finding for a person. The zero value writes nothing.
type Lines struct {
	W    io.Writer
	JSON bool

	// Words are those of the reader's language; nil for the default one.
	Words *words.Speaker

	// Now gives the time of day, for plain lines while watching. If nil they carry
	// the time since the first packet instead.
	Now func() time.Time
}

// Entry writes one entry.
func (l Lines) Entry(e rules.Entry) error {
	if l.W == nil {
		return nil
	}
	if l.Words == nil {
		l.Words = words.Own().For(words.Default)
	}
	if l.JSON {
		return l.write(l.Words.Entry(e))
	}
	switch e := e.(type) {
	case *rules.Finding:
		return l.finding(e)
	case *rules.LineChecked:
		return l.lineChecked(e)
	}
	return nil
}

// finding writes what happened on a line, and what to try on the next.
func (l Lines) finding(f *rules.Finding) error {
	when := clockTime(time.Duration(f.T))
	if l.Now != nil {
		when = l.Now().Format("15:04:05")
	}
	said := l.Words.Finding(f).Words
	held := ""
	if said.HeldBack != "" {
		held = " (" + l.Words.Say(rules.Say("printed.held").Quoting("why", said.HeldBack)) + ")"
	}
	_, err := fmt.Fprintf(l.W, "%s  %-5s  %-7s  %s%s: %s\n", when, f.State, f.Weight, f.Rule, held, strings.Join(said.What, " "))
	if err == nil && said.Try != "" && (f.State == rules.Open || f.State == rules.Grew) {
		try := rules.Say("printed.try").Quoting("what", strings.TrimSpace(said.Try+" "+said.Then))
		_, err = fmt.Fprintf(l.W, "%s  %s\n", blank(when), l.Words.Say(try))
	}
	return err
}

// lineChecked writes that a line check began, or the summary of one that ended.
func (l Lines) lineChecked(e *rules.LineChecked) error {
	when := clockTime(time.Duration(e.T))
	if l.Now != nil {
		when = l.Now().Format("15:04:05")
	}
	for i, line := range l.Words.LineSummary(e) {
		if i > 0 {
			when = blank(when)
		}
		if _, err := fmt.Fprintf(l.W, "%s  %s\n", when, line); err != nil {
			return err
		}
	}
	return nil
}

func (l Lines) write(v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return err
	}
	_, err = l.W.Write(append(b, '\n'))
	return err
}

// seconds has milliseconds and no finer, which is what a person can act on.
func seconds(d time.Duration) float64 {
	return float64(d.Round(time.Millisecond)) / float64(time.Second)
}

// clockTime is a time since the first packet as 1:02:03.4.
func clockTime(d time.Duration) string {
	d = d.Round(100 * time.Millisecond)
	s := fmt.Sprintf("%02d:%04.1f", int(d.Minutes())%60, (d % time.Minute).Seconds())
	if h := int(d.Hours()); h > 0 {
		return fmt.Sprintf("%d:%s", h, s)
	}
	return s
}

func blank(s string) string { return fmt.Sprintf("%*s", len(s), "") }
