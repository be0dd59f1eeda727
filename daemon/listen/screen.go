package listen

import (
	"fmt"
	"io"
	"strings"
)

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
	lines := []string{s.Problem.String()}
	if lines[0] == "" && s.Strangers > 0 && s.Packets == 0 {
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
