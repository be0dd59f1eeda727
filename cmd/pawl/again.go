package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"pawl/daemon"
	"pawl/daemon/house"
	"pawl/daemon/otherwise"
	"pawl/oscmap/sheet"
	"pawl/rules"
	"pawl/rules/words"
)

// replayService judges a service of the record again, by its own captures and the house
// file of then. With limits it prints what those would have said beside what was said.
func replayService(ctx context.Context, c *call, h *house.House, service, limits string, asJSON bool) error {
	record := recordFile(h)
	if record == "" {
		return fmt.Errorf("%s keeps no record: record: in it says so", h.File)
	}
	again := daemon.Rejudge{Record: record, Name: limits}
	if limits != "" {
		var err error
		if again.Limits, err = house.ReadFile(limits); err != nil {
			return fmt.Errorf("cannot read the limits %s: %w", limits, err)
		}
	}
	id, err := serviceNumber(record, service)
	if err != nil {
		return err
	}
	out, err := again.Run(ctx, id)
	var faults sheet.Faults
	if errors.As(err, &faults) {
		c.tell(faults)
		return errSaid
	}
	if err != nil {
		return fmt.Errorf("service %d: %w", id, err)
	}
	for _, note := range out.Notes {
		fmt.Fprintf(c.stderr, "capture: %s\n", note)
	}
	speaker := words.Own().For(h.Language)
	if limits == "" {
		lines := daemon.Lines{W: c.stdout, JSON: asJSON, Words: speaker}
		for _, s := range out.Otherwise {
			for _, e := range s.Entries {
				if err := lines.Entry(e); err != nil {
					return err
				}
			}
		}
		return nil
	}
	return printCompared(c.stdout, out.Compare(), speaker, asJSON, widthOf(c.stdout))
}

// serviceNumber is the number of a service that is named by it, or by "last".
func serviceNumber(record, service string) (int64, error) {
	id, err := strconv.ParseInt(service, 10, 64)
	named := err == nil
	if !named && service != "last" {
		return 0, fmt.Errorf("%q is no service; want its number, or last", service)
	}
	s, err := openRecord(record)
	if err != nil {
		return 0, err
	}
	defer s.Close()
	if named {
		return id, nil
	}
	all, err := s.Services()
	if err == nil && len(all) == 0 {
		err = fmt.Errorf("no service is in %s yet", record)
	}
	if err != nil {
		return 0, err
	}
	return all[0].ID, nil
}

// widthOf is how wide the terminal behind w is, and what fits everywhere if there is none.
func widthOf(w io.Writer) int {
	if screen := screenOf(w); screen != nil {
		width, _ := screen()
		return min(max(width, 50), 160)
	}
	return 100
}

// printCompared prints two lists beside each other.
func printCompared(w io.Writer, c otherwise.Comparison, speaker *words.Speaker, asJSON bool, width int) error {
	for i := range c.Rows {
		for _, s := range []*otherwise.Said{c.Rows[i].Then, c.Rows[i].Other} {
			if s != nil {
				s.Finding = speaker.Finding(s.Finding)
			}
		}
	}
	if asJSON {
		b, err := json.Marshal(c)
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(w, "%s\n", b)
		return err
	}
	const between = " | "
	column := (width - len(between)) / 2
	out := []string{pad("said then", column) + between + "by the other limits", strings.Repeat("-", column) + "-+-" + strings.Repeat("-", column)}
	for _, row := range c.Rows {
		left, right := saidLines(row.Then, column), saidLines(row.Other, column)
		for i := range max(len(left), len(right)) {
			out = append(out, strings.TrimRight(pad(at(left, i), column)+between+at(right, i), " "))
		}
		out = append(out, strings.TrimRight(pad("", column)+between, " "))
	}
	out = append(out, fmt.Sprintf("%d said in both, %d only then, %d only by the other limits", c.Both, c.OnlyThen, c.OnlyOther))
	_, err := fmt.Fprintln(w, strings.Join(out, "\n"))
	return err
}

// saidLines is a finding in lines of a width: when, how much it weighed and which rule,
// and what it was about. Without one it is a dash.
func saidLines(s *otherwise.Said, width int) []string {
	if s == nil {
		return []string{"–"}
	}
	shown := "held back"
	if s.Shown {
		shown = s.Weight.String()
	}
	head := fmt.Sprintf("%s %s, %s", minutes(s.From), s.Finding.Rule, shown)
	if s.Eased {
		head += fmt.Sprintf(", until %s", minutes(s.Until))
	}
	lines := wrap(head, width)
	if w := s.Finding.Words; w != nil && len(w.What) > 0 {
		lines = append(lines, wrap(w.What[0], width)...)
	}
	return lines
}

// minutes is a time since the service began, as 1:02:03.
func minutes(m rules.Moment) string {
	d := time.Duration(m).Round(time.Second)
	text := fmt.Sprintf("%d:%02d", int(d.Minutes())%60, int(d.Seconds())%60)
	if h := int(d.Hours()); h > 0 {
		text = fmt.Sprintf("%d:%02d:%02d", h, int(d.Minutes())%60, int(d.Seconds())%60)
	}
	return text
}

// wrap breaks a text between words so that no line is longer than a width, where no
// word is.
func wrap(text string, width int) (lines []string) {
	line := ""
	for _, word := range strings.Split(text, " ") { // not at a space that keeps a number and its unit together
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimSpace(line + " " + word)
	}
	return append(lines, line)
}

func at(lines []string, i int) string {
	if i < len(lines) {
		return lines[i]
	}
	return ""
}

func pad(s string, width int) string {
	return s + strings.Repeat(" ", max(0, width-utf8.RuneCountInString(s)))
}
