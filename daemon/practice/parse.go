package practice

import (
	"errors"
	"fmt"
	"path"
	"strings"
	"time"
)

// ParseScript reads a service from its text. The file's name is for messages
// only. The error joins every fault, in order of line, each as "file:line: …".
//
// A line is a setting, or a time and what happens then; # starts a remark.
//
//	length 2m                        how long the service is
//	hall Ferry Room                  where it is, before all that happens; else in Harbour Hall
//	loops                            it ends as it began (and this is checked)
//	style steps|end only|repeats     how the desk tells of moving faders
//	expect ratchet nudge after 50s by 1m10s
//	expect ratchet eased by 2m
//	expect nothing
//	expect elsewhere                 the label stands in a file of its own
//
//	0s     play piano, fiddle        players start; before that they rest
//	1m     rest fiddle
//	20s    raise piano 2 dB over 1.5s
//	25s    lower piano, fiddle 2 dB over 1.5s, end only
//	28s    raise harp 3 dB over 4s, unevenly    it hesitates, goes too far and comes back
//	30s    dca band +3 dB over 2s    also: group …, main, and "to -6 dB"
//	40s    fader harp to closed over 2s
//	45s    mute choir pair           also unmute
//	45s    threshold band to -24 dBFS          a group's compressor; also: ratio band to 4:1, makeup band to 2 dB
//	45s    ratio lead voice to 3:1            the same of an input, in a hall where inputs have them
//	46s    solo piano                also unsolo: in the headphones, the hall hears no change
//	47s    assign click to main      also: unassign … from main
//	50s    stage louder 4 dB over 40s, stage piano softer 1 dB over 10s
//	1m     stage cajon faster 8% over 20s      also slower
//	1m5s   room louder 24 dB over 1s           what every microphone hears of the hall
//	1m10s  bleed trumpet into lead voice at -18 dB    below its own; "at closed" ends it
//	1m30s  scene piano to -6 dB, fiddle to -3 dB, dca brass to -2 dB
//	1m40s  reboot 20s                the desk forgets who listens and is silent
func ParseScript(file string, src []byte) (*Script, error) {
	s := &Script{Name: strings.TrimSuffix(path.Base(file), ".txt"), hall: harbourHall, style: inSteps}
	r := scriptReader{script: s}
	for i, line := range strings.Split(string(src), "\n") {
		line, _, _ = strings.Cut(line, "#")
		r.read(i+1, line)
	}
	r.settle()
	// What a line does can only be told where every line was understood.
	if len(r.faults) == 0 {
		r.rehearse()
	}
	var all []error
	for _, f := range r.faults {
		all = append(all, fmt.Errorf("%s:%d: %w", file, f.line, f.err))
	}
	if err := errors.Join(all...); err != nil {
		return nil, err
	}
	return s, nil
}

// longest is a service that anybody would sit through, and more.
const longest = 24 * time.Hour

type scriptFault struct {
	line int
	err  error
}

type scriptReader struct {
	script  *Script
	faults  []scriptFault
	last    time.Duration
	nothing int // the line that expects nothing, or leaves the label to another file, or 0
	loops   int // the line that says the service loops, or 0
}

func (r *scriptReader) fault(line int, err error) {
	r.faults = append(r.faults, scriptFault{line, err})
}

func (r *scriptReader) read(line int, text string) {
	p := newPhrase(r.script.hall, text)
	if p.done() {
		return
	}
	var err error
	if at, ok := p.optionalTime(); ok {
		err = r.cue(line, at, p)
	} else {
		err = r.setting(line, p)
	}
	if err == nil {
		err = p.end()
	}
	if err != nil {
		r.fault(line, err)
	}
}

func (r *scriptReader) cue(line int, at time.Duration, p *phrase) error {
	if at < r.last {
		return fmt.Errorf("%v is before the line above, which is at %v", at, r.last)
	}
	r.last = at
	act, err := parseAction(p)
	if err != nil {
		return err
	}
	r.script.cues = append(r.script.cues, cue{at, line, act})
	return nil
}

func (r *scriptReader) setting(line int, p *phrase) (err error) {
	switch word := p.next(); word {
	case "hall":
		err = r.hall(p)
	case "length":
		r.script.Length, err = p.time()
	case "loops":
		r.script.Loops, r.loops = true, line
	case "style":
		r.script.style, err = p.style()
	case "expect":
		if p.take("nothing") || p.take("elsewhere") {
			r.nothing = line
			return nil
		}
		var e Expectation
		e, err = parseExpectation(p)
		r.script.Expect = append(r.script.Expect, e)
	default:
		err = fmt.Errorf("%q is no time and no setting; want a time such as 1m20s, or hall, length, loops, style or expect", word)
	}
	return err
}

// hall reads where the service is. Names mean nothing until that is known.
func (r *scriptReader) hall(p *phrase) error {
	if len(r.script.cues) > 0 {
		return errors.New("the hall stands above all that happens in it")
	}
	name := p.rest()
	p.words = nil
	h, err := HallNamed(name)
	if err != nil {
		return err
	}
	r.script.hall = h
	return nil
}

func parseExpectation(p *phrase) (Expectation, error) {
	e := Expectation{State: "open"}
	for !p.done() && !p.at("whisper") && !p.at("nudge") && !p.at("now") && !p.at("eased") && !p.at("after") && !p.at("by") {
		e.Rule = strings.TrimSpace(e.Rule + " " + p.next())
	}
	switch {
	case p.at("whisper") || p.at("nudge") || p.at("now"):
		e.Weight = p.next()
	case p.take("eased"):
		e.State = "eased"
	}
	var err error
	if p.take("after") {
		if e.After, err = p.time(); err != nil {
			return e, err
		}
	}
	if e.Rule == "" || !p.take("by") {
		return e, errors.New("want expect RULE [whisper|nudge|now|eased] [after TIME] by TIME, or expect nothing")
	}
	e.By, err = p.time()
	return e, err
}

// settle finds what can only be known at the end of the file.
func (r *scriptReader) settle() {
	s := r.script
	switch {
	case s.Length <= 0:
		r.fault(1, errors.New("no length; want a line such as: length 3m"))
	case s.Length > longest:
		r.fault(1, fmt.Errorf("a length of %v is no service; want at most %v", s.Length, longest))
	case r.last >= s.Length:
		r.fault(1, fmt.Errorf("the length is %v but the last line is at %v", s.Length, r.last))
	case r.nothing == 0 && len(s.Expect) == 0:
		r.fault(1, errors.New("no label; want a line such as: expect ratchet by 1m50s, or: expect nothing"))
	case r.nothing != 0 && len(s.Expect) != 0:
		r.fault(r.nothing, errors.New("nothing is expected here, and something elsewhere"))
	}
}

// rehearse plays the service through once, without sound, to find what cannot
// be done: raising a closed fader, a fader pushed past its end, two hands on one.
func (r *scriptReader) rehearse() {
	p := newPerformance(r.script, 0, false)
	for !p.over() {
		p.silentTick()
	}
	for _, f := range p.faults {
		r.fault(f.line, f.err)
	}
	if away := p.away(); r.loops != 0 && len(away) > 0 {
		r.fault(r.loops, fmt.Errorf("the service does not end as it began: %s", strings.Join(away, ", ")))
	}
}
