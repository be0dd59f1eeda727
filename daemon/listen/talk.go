package listen

import (
	"fmt"
	"strings"

	"pawl/daemon/link"
	"pawl/daemon/survey"
)

// asks reports whether there is somebody to put questions to.
func (l *Listener) asks() bool { return l.options.Draft != "" && l.options.In != nil }

// begin says what is going on.
func (l *Listener) begin() {
	local := l.link.Status().Local
	switch {
	case l.desk == "":
		fmt.Fprintf(l.options.Talk, "Listening at port %d to whoever sends. Nothing is sent. Ctrl-C ends it.\n", local.Port())
	case l.given.m == nil || len(l.given.m.Asks()) == 0:
		fmt.Fprintf(l.options.Talk, "Listening to %s. Nothing is sent, since no map says what to ask. Ctrl-C ends it.\n", l.desk)
	default:
		fmt.Fprintf(l.options.Talk, "Listening to %s, and sending the asks of the map, and nothing else. Ctrl-C ends it.\n", l.desk)
	}
	if l.asks() {
		l.tell(fmt.Sprintf("After %.0f s, or when you press Enter, come some questions. They take five to ten minutes; "+
			"stop ends them, and what was told by then is used.", l.listenFor().Seconds()))
	}
}

// question asks the next question. The first one begins the guide.
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
	for _, line := range survey.Wrap(text, talkWidth-len(indent)) {
		fmt.Fprintln(l.options.Talk, indent+line)
	}
}

// warn says what is wrong with the link while questions are asked, once for each kind, and
// when it is over: whoever stands at the desk waits for an answer that cannot come.
func (l *Listener) warn() {
	if l.guide == nil {
		return
	}
	p := l.link.Status().Problem
	if p.Kind == l.warned {
		return
	}
	l.warned = p.Kind
	if p.Kind == link.NoProblem {
		l.tell("The desk is heard again. What was moved meanwhile was missed: move it away and back.")
		return
	}
	l.tell(sentence(p.String()))
}

// sentence begins with a capital and ends with a stop.
func sentence(text string) string { return strings.ToUpper(text[:1]) + text[1:] + "." }

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
