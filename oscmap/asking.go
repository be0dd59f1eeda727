package oscmap

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/hypebeast/go-osc/osc"

	"pawl/oscmap/sheet"
	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

const (
	minEvery = 50 * time.Millisecond

	// minStale keeps a desk from counting as gone between two of its packets: at each
	// return it would be asked all that is asked then.
	minStale = time.Second

	// maxAsks is more than any desk has to be asked: four things of each of a
	// thousand strips.
	maxAsks = 4096

	// maxPatterns bounds the work of holding patterns against controls. One pattern
	// stands for many asks, so that nobody needs many.
	maxPatterns = 64

	// maxRate is how many messages a second all asks of a map may come to. A desk of
	// 64 inputs that must be asked for each level ten times a second and for each
	// fader four times needs 900, or 50 kB/s with the headers. More is a slip in a
	// time, and the desk that has to answer would have less time for its own work.
	maxRate = 1000
)

// patternMarks are what makes a pattern of an address, but for braces: those of an
// ask are its indices.
const patternMarks = "?*[]"

// volume is how much the asks so far come to.
type volume struct {
	asks     int
	patterns int
	rate     float64 // a second
}

// asks compiles everything that may be sent.
func (c *checker) asks() {
	c.controls = c.m.controls()
	c.atLeast(c.file.Link.StaleAfter, minStale)
	for i := range c.file.Link.Ask {
		c.ask(&c.file.Link.Ask[i])
	}
}

func (c *checker) ask(a *askPart) {
	if a.Send.V == "" {
		return // and that was said
	}
	before := len(c.faults)
	model := c.timing(a)
	p, fault, hint := parsePath(a.Send.V, reservedInAsks)
	switch {
	case fault != "":
		c.wrong(a.Send.Place, hint, "%s", fault)
	case p.isOpen():
		c.wrong(a.Send.Place, "", "{any}, {value} and names cannot be sent")
	case len(a.Args) > 0 && strings.ContainsAny(a.Send.V, patternMarks):
		c.wrong(a.Send.Place, "write the address out; {input}, {dca} and {group} make one ask for each",
			"arguments to a pattern: they would go to whatever it meets on the desk")
	}
	strips := c.askStrips(a, &p)
	if len(c.faults) > before || c.doubtful(a.Place) || !c.bearable(a, strips, model) {
		return
	}
	c.expandAsk(a, &p, strips, model)
}

// bearable adds an ask to what the map sends in all, and reports whether that is
// still little enough. It is said once, of the ask that goes beyond.
func (c *checker) bearable(a *askPart, strips []askStrip, model Ask) bool {
	before, n := c.sent, 1
	for _, s := range strips {
		n = min(n*s.span.n, maxAsks+1)
	}
	c.sent.asks += n
	if strings.ContainsAny(a.Send.V, patternMarks) {
		c.sent.patterns += n
	}
	for _, every := range []time.Duration{model.Every, model.AfterSilence} {
		if every > 0 {
			c.sent.rate += float64(n) * float64(time.Second) / float64(every)
		}
	}
	if before.asks <= maxAsks && c.sent.asks > maxAsks {
		c.wrong(a.Place, "ask for fewer strips, or of each for less", "with this ask there are more than %d in the map", maxAsks)
	}
	if before.patterns <= maxPatterns && c.sent.patterns > maxPatterns {
		c.wrong(a.Place, "ask each strip by its own address", "with this ask there are more than %d patterns in the map", maxPatterns)
	}
	if before.rate <= maxRate && c.sent.rate > maxRate {
		c.wrong(a.Place, "ask less often, or for fewer strips", "with this ask the map asks %.4g times a second; want at most %d", c.sent.rate, maxRate)
	}
	return c.sent.asks <= maxAsks && c.sent.patterns <= maxPatterns
}

func (c *checker) atLeast(at sheet.At[time.Duration], least time.Duration) {
	if at.Written() && at.V < least && !c.doubtful(at.Place) {
		c.wrong(at.Place, "", "found %v; want at least %v", at.V, least)
	}
}

// timing reads when an ask is due. One that does not say is sent whenever the
// link begins or begins again.
func (c *checker) timing(a *askPart) Ask {
	ask := Ask{Every: a.Every.V, AfterSilence: a.AfterSilence.V}
	for _, at := range []sheet.At[time.Duration]{a.Every, a.AfterSilence} {
		c.atLeast(at, minEvery)
	}
	for _, e := range a.On {
		ask.OnConnect = ask.OnConnect || e.V == "connect"
		ask.OnReturn = ask.OnReturn || e.V == "return"
	}
	if len(a.On) == 0 && !a.Every.Written() && !a.AfterSilence.Written() {
		ask.OnConnect, ask.OnReturn = true, true
	}
	return ask
}

// askStrip is an index that an ask counts through.
type askStrip struct {
	strip desk.Strip
	span  span
}

// askStrips lists the indices of an ask, each once: those of the address, then
// those that only the arguments have.
func (c *checker) askStrips(a *askPart, p *path) (strips []askStrip) {
	add := func(parts []*part, at sheet.Place) {
		for _, pt := range parts {
			s := askStrip{pt.slot, pt.span}
			known := slices.ContainsFunc(strips, func(have askStrip) bool { return have.strip == s.strip })
			if !known && c.fill(s.strip, &s.span, at) {
				strips = append(strips, s)
			}
		}
	}
	add(p.indices(), a.Send.Place)
	for i := range a.Args {
		add(a.Args[i].indices(), a.Args[i].Place)
	}
	return strips
}

// expandAsk makes one ask for each combination of the indices.
func (c *checker) expandAsk(a *askPart, p *path, strips []askStrip, model Ask) {
	sizes := make([]int, len(strips))
	for i, s := range strips {
		sizes[i] = s.span.n
	}
	at := map[desk.Strip]string{}
	var unproved []string
	for numbers := range combinations(sizes) {
		for i, s := range strips {
			at[s.strip] = s.span.spelled(numbers[i])
		}
		address := p.filled(at)
		if !c.makeAsk(a, address, at, model) {
			return
		}
		if len(a.Args) > 0 && !c.onlyMeters(address) {
			unproved = append(unproved, c.m.asks[len(c.m.asks)-1].text)
		}
	}
	c.vouched(a, unproved)
}

// makeAsk marshals one message and checks that it can move nothing that the map
// knows of.
func (c *checker) makeAsk(a *askPart, address string, at map[desk.Strip]string, ask Ask) bool {
	args := make([]any, len(a.Args))
	words := []string{address}
	for i := range a.Args {
		v, err := a.Args[i].value(at)
		if err != nil {
			c.wrong(a.Args[i].Place, "", "%v", err)
			return false
		}
		// The packet would be refused for it as well, but less plainly.
		if text, ok := v.(string); ok && strings.ContainsRune(text, 0) {
			c.wrong(a.Place, "", "a NUL in the text %q; OSC ends the text there", text)
			return false
		}
		args[i] = v
		words = append(words, shown(v))
	}
	ask.text = strings.Join(words, " ")
	if !c.harmless(a, address, ask.text) {
		return false
	}
	packet, err := marshal(address, args)
	if err != nil {
		c.wrong(a.Place, "", "%v", err)
		return false
	}
	ask.packet = string(packet)
	c.m.asks = append(c.m.asks, ask)
	return true
}

// marshal makes the bytes of a message. go-osc writes them, but for the tags
// that it does not know. It would drop what follows a NUL in a string, so those
// are refused before.
func marshal(address string, args []any) ([]byte, error) {
	for _, a := range args {
		switch a := a.(type) {
		case string:
			if strings.ContainsRune(a, 0) {
				return nil, fmt.Errorf("a NUL in the text %q; OSC ends the text there", a)
			}
		case wire.Symbol, wire.Char, wire.RGBA, wire.MIDI, wire.Impulse, wire.TimeTag, []any:
			return wire.AppendMessage(nil, address, args...)
		}
	}
	packet, err := osc.NewMessage(address, args...).MarshalBinary()
	if err != nil {
		return nil, fmt.Errorf("marshal %s: %w", address, err)
	}
	return bytes.Clone(packet), nil
}

// shown is an argument as a person reads it.
func shown(v any) string {
	switch v := v.(type) {
	case nil:
		return "nil"
	case string:
		return strconv.Quote(v)
	case wire.Symbol:
		return strconv.Quote(string(v))
	case []byte:
		return fmt.Sprintf("blob of %d", len(v))
	case wire.Char:
		return strconv.QuoteRune(rune(v))
	case wire.Impulse:
		return "impulse"
	}
	return fmt.Sprint(v)
}
