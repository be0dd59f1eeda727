package practice

import (
	"errors"
	"fmt"
)

// pressing sets how early the compressor of a group begins to work. A knob of a
// screen is told where it came to rest.
type pressing struct {
	group int
	from  level
}

// parseThreshold reads "band to -24 dBFS".
func parseThreshold(p *phrase) (action, error) {
	// Only groups have one, so a line need not say that it means the group.
	p.words = append([]string{"group"}, p.words...)
	k, err := p.knob()
	if err != nil {
		return nil, err
	}
	if !p.take("to") {
		return nil, errors.New("want to and a level, such as to -24 dBFS")
	}
	from, err := p.level()
	if err != nil {
		return nil, err
	}
	if from > 0 || from < -60 {
		return nil, fmt.Errorf("a threshold of %v dBFS is not on this desk; want one from -60 to 0 dBFS", float64(from))
	}
	return &pressing{k.index, from}, nil
}

func (a *pressing) do(p *performance) error {
	p.board[Groups][a.group].squeeze.threshold = a.from
	p.note(Topic{GroupThreshold, a.group})
	return nil
}

// firming sets how firmly the compressor of a group works.
type firming struct {
	group int
	ratio float64
}

// parseRatio reads "band to 4:1".
func parseRatio(p *phrase) (action, error) {
	p.words = append([]string{"group"}, p.words...)
	k, err := p.knob()
	if err != nil {
		return nil, err
	}
	if !p.take("to") {
		return nil, errors.New("want to and a ratio, such as to 4:1")
	}
	ratio, err := p.ratio()
	return &firming{k.index, ratio}, err
}

func (a *firming) do(p *performance) error {
	p.board[Groups][a.group].squeeze.ratio = a.ratio
	p.note(Topic{GroupRatio, a.group})
	return nil
}
