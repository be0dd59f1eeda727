package practice

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// phrase is the words of one line and how far it has been read. The hall is where
// names are looked for.
type phrase struct {
	hall  *Hall
	words []string
}

func newPhrase(h *Hall, text string) *phrase {
	return &phrase{h, strings.Fields(strings.ReplaceAll(text, ",", " , "))}
}

func (p *phrase) done() bool          { return len(p.words) == 0 }
func (p *phrase) rest() string        { return strings.Join(p.words, " ") }
func (p *phrase) at(word string) bool { return !p.done() && p.words[0] == word }

// end says what is left of a line that was read, or nil.
func (p *phrase) end() error {
	if p.done() {
		return nil
	}
	return fmt.Errorf("%q is not understood here; want the end of the line", p.rest())
}

// next takes the next word, "" at the end.
func (p *phrase) next() string {
	if p.done() {
		return ""
	}
	word := p.words[0]
	p.words = p.words[1:]
	return word
}

// take reads words if they come next.
func (p *phrase) take(words ...string) bool {
	if len(p.words) < len(words) {
		return false
	}
	for i, w := range words {
		if p.words[i] != w {
			return false
		}
	}
	p.words = p.words[len(words):]
	return true
}

func (p *phrase) optionalTime() (time.Duration, bool) {
	if p.done() {
		return 0, false
	}
	d, err := time.ParseDuration(p.words[0])
	if err != nil {
		return 0, false
	}
	p.next()
	return d, true
}

func (p *phrase) time() (time.Duration, error) {
	word := p.next()
	d, err := time.ParseDuration(word)
	if err != nil || d < 0 {
		return 0, fmt.Errorf("%q is no time; want one such as 1.5s or 1m20s", word)
	}
	return d, nil
}

// gain reads "-6 dB" or "+3 dB".
func (p *phrase) gain() (gain, error) {
	word := p.next()
	v, err := strconv.ParseFloat(word, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q is no number; want a gain such as 2 dB", word)
	}
	if !p.take("dB") {
		return 0, fmt.Errorf("%s has no unit; want %s dB", word, word)
	}
	return gain(v), nil
}

// level reads "-24 dBFS".
func (p *phrase) level() (level, error) {
	word := p.next()
	v, err := strconv.ParseFloat(word, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q is no number; want a level such as -24 dBFS", word)
	}
	if !p.take("dBFS") {
		return 0, fmt.Errorf("%s has no unit; want %s dBFS", word, word)
	}
	return level(v), nil
}

// ratio reads "4:1".
func (p *phrase) ratio() (float64, error) {
	word := p.next()
	text, ok := strings.CutSuffix(word, ":1")
	v, err := strconv.ParseFloat(text, 64)
	if !ok || err != nil || !(v >= 1 && v <= 1000) {
		return 0, fmt.Errorf("%q is no ratio; want one such as 4:1", word)
	}
	return v, nil
}

// percent reads "12%".
func (p *phrase) percent() (float64, error) {
	word := p.next()
	text, ok := strings.CutSuffix(word, "%")
	v, err := strconv.ParseFloat(text, 64)
	if !ok || err != nil || !(v > 0 && v <= 100) {
		return 0, fmt.Errorf("%q is no share; want one such as 12%%", word)
	}
	return v, nil
}

// place reads where a fader may stand: "-6 dB" or "closed".
func (p *phrase) place() (gain, error) {
	if p.take("closed") {
		return closed, nil
	}
	return p.gain()
}

// knob names one strip of the desk.
type knob struct {
	bank  Bank
	index int
}

func (p *phrase) knob() (knob, error) {
	if p.take("main") {
		return knob{Main, 0}, nil
	}
	for _, k := range []struct {
		word  string
		bank  Bank
		names []string
	}{{"dca", DCAs, p.hall.dcas}, {"group", Groups, p.hall.groups}} {
		if !p.take(k.word) {
			continue
		}
		for i, name := range k.names {
			if p.take(strings.Fields(name)...) {
				return knob{k.bank, i}, nil
			}
		}
		return knob{}, fmt.Errorf("no %s called %q; want one of %s", k.word, p.rest(), strings.Join(k.names, ", "))
	}
	for i := range p.hall.seats {
		if p.take(strings.Fields(p.hall.seats[i].name)...) {
			return knob{Inputs, i}, nil
		}
	}
	return knob{}, fmt.Errorf("nothing here is called %q; want an input's name, dca NAME, group NAME or main", p.rest())
}

// knobs reads "piano, fiddle, dca band".
func (p *phrase) knobs() ([]knob, error) {
	var all []knob
	for {
		k, err := p.knob()
		if err != nil {
			return nil, err
		}
		all = append(all, k)
		if !p.take(",") {
			return all, nil
		}
	}
}

// players reads inputs only.
func (p *phrase) players() ([]int, error) {
	all, err := p.knobs()
	if err != nil {
		return nil, err
	}
	var who []int
	for _, k := range all {
		if k.bank != Inputs {
			return nil, fmt.Errorf("%s makes no sound; want the names of inputs", p.hall.named(k))
		}
		who = append(who, k.index)
	}
	return who, nil
}

func (p *phrase) style() (style, error) {
	switch {
	case p.take("steps"):
		return inSteps, nil
	case p.take("end", "only"):
		return endOnly, nil
	case p.take("repeats"):
		return repeated, nil
	}
	return 0, errors.New("want steps, end only or repeats")
}

// manner reads how a move is made: "over 2s", then perhaps ", unevenly" and
// ", end only".
func (p *phrase) manner() (m manner, err error) {
	if p.take("over") {
		if m.over, err = p.time(); err != nil {
			return m, err
		}
	}
	if p.take(",", "unevenly") {
		m.uneven = true
	}
	if p.take(",") {
		m.style, err = p.style()
	}
	return m, err
}
