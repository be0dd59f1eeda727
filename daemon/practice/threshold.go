package practice

import (
	"errors"
	"fmt"
)

// pressing sets one knob of a compressor. A knob of a screen is told where it came
// to rest.
type pressing struct {
	of   knob
	kind Kind
	set  func(*squeeze)
}

func (a *pressing) do(p *performance) error {
	a.set(&p.board[a.of.bank][a.of.index].squeeze)
	p.note(Topic{a.kind, a.of.index})
	return nil
}

// parseThreshold reads "band to -24 dBFS".
func parseThreshold(p *phrase) (action, error) {
	k, err := p.compressor("a level, such as to -24 dBFS")
	if err != nil {
		return nil, err
	}
	from, err := p.level()
	if err != nil {
		return nil, err
	}
	if from > 0 || from < -60 {
		return nil, fmt.Errorf("a threshold of %v dBFS is not on this desk; want one from -60 to 0 dBFS", float64(from))
	}
	return &pressing{k, kindAt(k, InputThreshold, GroupThreshold), func(s *squeeze) { s.threshold = from }}, nil
}

// parseRatio reads "band to 4:1".
func parseRatio(p *phrase) (action, error) {
	k, err := p.compressor("a ratio, such as to 4:1")
	if err != nil {
		return nil, err
	}
	ratio, err := p.ratio()
	return &pressing{k, kindAt(k, InputRatio, GroupRatio), func(s *squeeze) { s.ratio = ratio }}, err
}

// parseMakeUp reads "band to 3 dB".
func parseMakeUp(p *phrase) (action, error) {
	k, err := p.compressor("a gain, such as to 3 dB")
	if err != nil {
		return nil, err
	}
	by, err := p.gain()
	if err == nil && (by < 0 || by > 24) {
		err = fmt.Errorf("a make-up of %v dB is not on this desk; want one from 0 to 24 dB", float64(by))
	}
	return &pressing{k, kindAt(k, InputMakeUp, GroupMakeUp), func(s *squeeze) { s.makeUp = by }}, err
}

// compressor reads whose compressor is meant, and the word to. Groups have one
// everywhere, so a line need not say that it means a group.
func (p *phrase) compressor(want string) (knob, error) {
	in := phrase{p.hall, p.words}
	p.words = append([]string{"group"}, p.words...)
	k, err := p.knob()
	if err != nil && p.hall.squeezed {
		*p = in
		if k, err = p.knob(); err == nil && k.bank != Inputs {
			err = fmt.Errorf("%s has no compressor; want the name of a group or of an input", p.hall.named(k))
		}
	}
	if err == nil && !p.take("to") {
		err = errors.New("want to and " + want)
	}
	return k, err
}

func kindAt(k knob, input, group Kind) Kind {
	if k.bank == Inputs {
		return input
	}
	return group
}
