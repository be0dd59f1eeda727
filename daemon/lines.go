package daemon

import (
	"encoding/json"
	"fmt"
	"io"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// Lines writes what is said, one line a finding: plain ones for a person, or JSON
// objects for a machine.
type Lines struct {
	W    io.Writer
	JSON bool

	// Now gives the time of day, for plain lines while watching. If nil they carry
	// the time since the first packet instead.
	Now func() time.Time
}

// findingLine is a finding as --json prints it. Times are seconds since the first
// packet, amounts are dB.
type findingLine struct {
	T        float64        `json:"t"`
	Number   int            `json:"number"`
	Rule     string         `json:"rule"`
	State    rules.Phase    `json:"state"`
	Weight   rules.Weight   `json:"weight"`
	HeldBack string         `json:"held_back,omitempty"`
	Inputs   []string       `json:"inputs"`
	Rise     desk.DB        `json:"rise_db"`
	Faders   desk.DB        `json:"fader_db"`
	Stage    desk.DB        `json:"stage_db"`
	Text     string         `json:"text"`
	Try      string         `json:"try,omitempty"`
	Evidence []evidenceLine `json:"evidence"`
}

type evidenceLine struct {
	T    float64 `json:"t"`
	Who  string  `json:"who,omitempty"`
	What string  `json:"what"`
	From desk.DB `json:"from_db"`
	To   desk.DB `json:"to_db"`
}

func lineOf(f rules.Finding) findingLine {
	l := findingLine{
		T: seconds(f.At), Number: f.Number, Rule: f.Rule, State: f.Phase, Weight: f.Weight, HeldBack: f.HeldBy,
		Inputs: f.Inputs, Rise: f.Rise, Faders: f.Faders, Stage: f.Stage, Text: f.Text, Try: f.Try,
		Evidence: []evidenceLine{},
	}
	if l.Inputs == nil {
		l.Inputs = []string{}
	}
	for _, e := range f.Evidence {
		l.Evidence = append(l.Evidence, evidenceLine{seconds(e.At), e.Who, e.What, e.From, e.To})
	}
	return l
}

// seconds has milliseconds and no finer, which is what a person can act on.
func seconds(d time.Duration) float64 {
	return float64(d.Round(time.Millisecond)) / float64(time.Second)
}

// Finding writes one finding.
func (l Lines) Finding(f rules.Finding) error {
	if l.JSON {
		return l.write(lineOf(f))
	}
	when := clockTime(f.At)
	if l.Now != nil {
		when = l.Now().Format("15:04:05")
	}
	held := ""
	if f.Held && f.Phase != rules.Eased {
		held = fmt.Sprintf(" (held back: %s)", f.HeldBy)
	}
	_, err := fmt.Fprintf(l.W, "%s  %-5s  %-7s  %s%s: %s\n", when, f.Phase, f.Weight, f.Rule, held, f.Text)
	if err == nil && f.Try != "" && f.Phase != rules.Eased {
		_, err = fmt.Fprintf(l.W, "%s  try: %s\n", blank(when), f.Try)
	}
	return err
}

func (l Lines) write(v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return err
	}
	_, err = l.W.Write(append(b, '\n'))
	return err
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
