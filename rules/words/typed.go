package words

import (
	"slices"
	"strings"
)

// typed is the section of a catalogue that lists the words which answer the guide of a first
// hour, for each meaning its words, with commas between.
const typed = "typed"

// meaning is one of them: its name in a catalogue, and the guide's own word for it.
type meaning struct{ name, token string }

// meanings are all that stand for a whole answer. The guide's own words are English, and few.
var meanings = []meaning{
	{"done", ""}, {"back", "back"}, {"none", "none"}, {"wrong", "not that one"}, {"stop", "stop"}, {"help", "help"}, {"closed", "closed"},
}

// Understood is a line that somebody typed to the guide in their language, in the guide's own
// words; what it does not know, such as a number, it gives as it is.
func (s *Speaker) Understood(line string) string {
	said := strings.Join(strings.Fields(strings.ToLower(line)), " ")
	for _, m := range meanings {
		if slices.Contains(s.typed(m.name), said) {
			return m.token
		}
	}
	for _, was := range s.typed("was") {
		if which, ok := strings.CutPrefix(said, was+" "); ok {
			return "that was " + s.strip(which)
		}
	}
	return line
}

// strip is a strip as it was typed, "el canal 2", in the guide's own words: "input 2".
func (s *Speaker) strip(which string) string {
	for _, kind := range []string{"input", "dca", "group", "main"} {
		for _, word := range s.typed(kind) {
			if rest, ok := strings.CutPrefix(which, word); ok && (rest == "" || rest[0] == ' ') {
				return kind + rest
			}
		}
	}
	return which
}

func (s *Speaker) typed(name string) []string {
	return strings.Split(strings.ToLower(s.labels[typed][name]), ", ")
}
