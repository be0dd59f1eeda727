package oscmap

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// drawnLine is a line of a drawn map, as the test knows it: nothing here comes
// from the checker.
type drawnLine struct {
	yaml     string
	segments [][]string // for each segment, texts that a desk may have there
	control  bool
	arrival  bool // a message without arguments already means something
}

// stands are the concrete addresses of a line, and of more strips than it has.
func (l drawnLine) stands() []string {
	all := []string{""}
	for _, texts := range l.segments {
		var longer []string
		for _, before := range all {
			for _, text := range texts {
				longer = append(longer, before+"/"+text)
			}
		}
		all = longer
	}
	return all
}

var (
	strips   = []string{"1", "2", "7", "40"}
	letters  = []string{"A", "B", "K"}
	anything = []string{"1", "x", "Ab", "fiddle", "t-1"}
	literals = []string{"in", "IN", "throw", "tune", "Ab", "x"}
)

func drawLine(t *rapid.T) drawnLine {
	var l drawnLine
	var hear strings.Builder
	of, told, inPath := "main", false, false
	for range rapid.IntRange(1, 3).Draw(t, "segments") {
		kind := rapid.IntRange(0, 8).Draw(t, "segment")
		var text string
		var texts []string
		switch {
		case kind == 0 && !told:
			text, texts, of, told = "{input:1-2}", strips, "input", true
		case kind == 1 && !told:
			text, texts, of, told = "{dca:A-B}", letters, "dca", true
		case kind == 2 && !told:
			text, texts, of, told = "{input-name}", []string{"fiddle", "Harp"}, "input", true
		case kind == 3 && !inPath:
			text, texts, inPath = "{value}", anything, true
		case kind == 4:
			text, texts = "{any}", anything
		case kind == 5 && !told:
			text, of, told = "s{input:1-2}", "input", true
			for _, n := range strips {
				texts = append(texts, "s"+n)
			}
		default:
			text = rapid.SampledFrom(literals).Draw(t, "literal")
			texts = []string{text}
		}
		hear.WriteString("/" + text)
		l.segments = append(l.segments, texts)
	}
	signals := map[string][]string{
		"input": {"fader", "mute", "level", "name", "comp-threshold", "[input.level, input.comp-threshold]", "[input.level, input.peak]"},
		"dca":   {"fader", "mute", "name"},
		"main":  {"fader", "mute", "level", "reduction", "[main.level, main.peak]"},
	}[of]
	is := rapid.SampledFrom(signals).Draw(t, "signal")
	l.control = !strings.HasPrefix(is, "[") && is != "level" && is != "reduction" || strings.Contains(is, "threshold")
	if !strings.HasPrefix(is, "[") {
		is = of + "." + is
	}
	if of == "main" && rapid.IntRange(0, 4).Draw(t, "scene") == 0 {
		is = rapid.SampledFrom([]string{"scene.number", "scene.name", "desk.alive", "room.level"}).Draw(t, "scene")
		l.control = strings.HasPrefix(is, "scene")
	}
	value := ""
	switch bang := rapid.Bool().Draw(t, "bang"); {
	case inPath:
		l.arrival = true
	case bang && strings.HasSuffix(is, "mute"):
		value, l.arrival = ", value: {bang: on}", true
	case bang && strings.HasSuffix(is, "fader"):
		value, l.arrival = ", value: {bang: -inf}", true
	case strings.Contains(is, "level") || strings.Contains(is, "threshold"):
		value = ", value: {unit: dBFS}"
	case strings.HasSuffix(is, "fader"), strings.HasSuffix(is, "reduction"):
		value = ", value: {unit: dB}"
	}
	if inPath && (strings.HasSuffix(is, "fader") || strings.HasSuffix(is, "reduction")) {
		value = ", value: {unit: dB}"
	} else if inPath && (strings.Contains(is, "level") || strings.Contains(is, "threshold")) {
		value = ", value: {unit: dBFS}"
	}
	l.yaml = fmt.Sprintf("  - {hear: %q, is: %s%s}\n", hear.String(), is, value)
	return l
}

// drawAsk draws the address of an ask: most of them are that of a line, made
// hard to recognise.
func drawAsk(t *rapid.T, lines []drawnLine) string {
	address := "/" + strings.Join(rapid.SliceOfN(rapid.SampledFrom(append(slices.Clone(literals), anything...)), 1, 3).Draw(t, "address"), "/")
	if rapid.IntRange(0, 5).Draw(t, "near") > 0 {
		address = rapid.SampledFrom(rapid.SampledFrom(lines).Draw(t, "line").stands()).Draw(t, "stands")
	}
	var b strings.Builder
	for i := 0; i < len(address); i++ {
		c := address[i]
		if c == '/' {
			b.WriteByte(c)
			continue
		}
		switch rapid.IntRange(0, 11).Draw(t, "change") {
		case 0:
			b.WriteByte('?')
		case 1:
			b.WriteByte('*')
		case 2:
			b.WriteString("*" + string(c))
		case 3:
			b.WriteString(rapid.SampledFrom([]string{fmt.Sprintf("[%c-k]", min(c, 'j')), "[Z-a]"}).Draw(t, "range"))
		case 4:
			fmt.Fprintf(&b, "[!%c]", rapid.SampledFrom([]byte{'q', '9', c ^ 0x20}).Draw(t, "not"))
		case 5:
			b.WriteString(strings.ToUpper(string(c)))
		case 6:
			b.WriteString(strings.ToLower(string(c)))
		default:
			b.WriteByte(c)
		}
	}
	return b.String()
}

// TestNoAskReachesAControl draws maps and asks. Whatever passes the checker sends
// nothing that a control of the map would hear, be it named in any case, met by a
// pattern, or beyond the range of the map.
func TestNoAskReachesAControl(t *testing.T) {
	var passed, patterns, refused int
	roster := &desk.Roster{Inputs: []desk.Input{{Name: "fiddle"}, {Name: "Harp"}}}
	rapid.Check(t, func(t *rapid.T) {
		var lines []drawnLine
		src := "desk: d\nsignals:\n"
		for range rapid.IntRange(1, 4).Draw(t, "lines") {
			l := drawLine(t)
			lines, src = append(lines, l), src+l.yaml
		}
		if m, _ := Load("map", []byte(src), roster); m == nil {
			return // two lines claim the same, or none hears an input of the roster
		}
		for range 20 {
			args := rapid.SampledFrom([]string{"", "", ", args: [1], moves-nothing-because: \"it is said\"", ", args: [1]"}).Draw(t, "args")
			src := src + fmt.Sprintf("link:\n  ask:\n    - {send: %q%s}\n", drawAsk(t, lines), args)
			m, _ := Load("map", []byte(src), roster)
			if m == nil {
				refused++
				continue
			}
			passed++
			if wire.IsPattern([]byte(m.Asks()[0].String())) {
				patterns++
			}
			reachesNothing(t, m, lines, src)
		}
	})
	t.Logf("%d maps passed, with %d patterns; %d were refused", passed, patterns, refused)
	if !t.Failed() && (passed < 50 || refused < 50 || patterns < 20) {
		t.Errorf("%d maps passed, %d patterns among them, and %d were refused: the drawing has gone dull", passed, patterns, refused)
	}
}

// reachesNothing holds what a map sends against the addresses of its controls.
func reachesNothing(t *rapid.T, m *Map, lines []drawnLine, src string) {
	for _, a := range m.Asks() {
		var r wire.Reader
		r.Reset(a.Packet())
		if !r.Next() {
			t.Fatalf("%s sends no message", a)
		}
		address, withArgs := string(r.Message().Address), r.Message().Args().Next()
		for _, l := range lines {
			if !l.control || !withArgs && !l.arrival {
				continue
			}
			for _, stands := range l.stands() {
				if heardBy(address, stands) {
					t.Fatalf("%s is sent, and %s would hear it\n%s", a, stands, src)
				}
			}
		}
	}
}

// heardBy reports whether a desk that has one address would take a message to
// another for it, on a desk of any sort that we can think of.
func heardBy(pattern, address string) bool {
	for _, p := range []string{pattern, strings.ToLower(pattern), strings.ToUpper(pattern)} {
		for _, a := range []string{address, strings.ToLower(address), strings.ToUpper(address)} {
			if wire.Match([]byte(p), []byte(a)) || matchSlowly(p, a) {
				return true
			}
		}
	}
	return false
}

// matchSlowly is OSC 1.0's "Message Dispatching and Pattern Matching", read
// aloud: as short as it can be, and in no hurry.
func matchSlowly(pattern, address string) bool {
	if pattern == "" || address == "" {
		return pattern == address
	}
	rest := pattern[1:]
	switch pattern[0] {
	case '?': // any single character
		return address[0] != '/' && matchSlowly(rest, address[1:])
	case '*': // any sequence of zero or more characters
		return matchSlowly(rest, address) || address[0] != '/' && matchSlowly(pattern, address[1:])
	case '[': // any character in the list; from one to another with a minus; an exclamation mark negates
		list, rest, closed := strings.Cut(rest, "]")
		list, negated := strings.CutPrefix(list, "!")
		in := strings.Contains(list, address[:1]) || len(list) == 3 && list[1] == '-' && list[0] <= address[0] && address[0] <= list[2]
		return closed && address[0] != '/' && in != negated && matchSlowly(rest, address[1:])
	}
	return pattern[0] == address[0] && matchSlowly(rest, address[1:])
}

// TestMatchSlowly holds the second matcher to the published cases, but for braces,
// which no ask has.
func TestMatchSlowly(t *testing.T) {
	for _, c := range []struct {
		pattern, address string
		want             bool
	}{
		{"/in/*/throw", "/in/7/throw", true}, {"/in/*/throw", "/in/throw", false}, {"/in/*", "/in/7/throw", false},
		{"/[a-c]?", "/bz", true}, {"/[!a-c]?", "/bz", false}, {"/*b", "/abab", true}, {"/[ab", "/a", false},
	} {
		if got := matchSlowly(c.pattern, c.address); got != c.want || wire.Match([]byte(c.pattern), []byte(c.address)) != c.want {
			t.Errorf("%s on %s: got %v, want %v", c.pattern, c.address, got, c.want)
		}
	}
}

// TestAddressSets has what no drawing comes upon: how desks may read patterns beyond
// the letter of OSC 1.0.
func TestAddressSets(t *testing.T) {
	for _, c := range []struct {
		ask, hear string
		want      bool
	}{
		{"/hand/*", "/hand/{dca:1-2}/close", true}, // a regular expression's star goes on
		{"/hand?1/close", "/hand/{dca:1-2}/close", true},
		{"/hand/1/[Z-a]lose", "/hand/{dca:1-2}/close", true}, // in lower case, from a to z
		{"/hand/1/[!C]lose", "/hand/{dca:1-2}/close", true},
		{"/hand/1/[!x]lose", "/hand/{dca:1-2}/close", true},
		{"/hand/1/[0-9]lose", "/hand/{dca:1-2}/close", false},
		{"/hand/[1-2]/close", "/hand/{dca:11-12}/close", true},
		{"/hand/**/close", "/hand/{dca:1-2}/close", true},
		{"/hand/*/*/close", "/hand/{dca:1-2}/close", false}, // it has a slash too many
		{"/hand/1/2/close", "/hand/{dca:1-2}/close", false},
		{"/*a*a*a*a*a*a*a*b", "/{any}a{dca:1-2}a", false},
		{"/*", "/{any}x/{any}y", true},
		{"/ab", "/{any}abc", false},
	} {
		p, fault, _ := parsePath(c.hear, reserved)
		r, ok := takenLoosely(c.ask)
		if fault != "" || !ok {
			t.Fatalf("%s, %s: %s, %v", c.ask, c.hear, fault, ok)
		}
		if got := r.meets(p.addressSet()); got != c.want {
			t.Errorf("%s may arrive at %s: got %v, want %v", c.ask, c.hear, got, c.want)
		}
		if got := p.addressSet().meets(r); got != c.want {
			t.Errorf("%s may arrive at %s, the other way round: got %v, want %v", c.ask, c.hear, got, c.want)
		}
	}
	for _, bad := range []string{"/[a", "/a]", "/[a/b]", "/[]]"} {
		if _, ok := takenLoosely(bad); ok {
			t.Errorf("%s: read, though a bracket has no partner", bad)
		}
	}
}

// TestAskIsOneMessage: the packet of an ask is one message, whatever its
// arguments hold.
func TestAskIsOneMessage(t *testing.T) {
	for _, a := range loadFile(t, formsDir+"/asks.yaml").Asks() {
		var r wire.Reader
		r.Reset(a.Packet())
		if !r.Next() || !bytes.HasPrefix(a.Packet(), r.Message().Address) || r.Next() || r.Err() != nil {
			t.Errorf("%s is not one message and no more", a)
		}
	}
}
