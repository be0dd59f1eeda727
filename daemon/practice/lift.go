package practice

import (
	"errors"
	"fmt"
	"time"
)

// lifting is players growing louder or softer, faster or slower, or their
// microphones hearing more or less of the hall, whatever the desk does.
type lifting struct {
	what func(*player) *glide
	who  []int
	by   gain // per cent where the glide is a pace
	over time.Duration
}

func parseStage(p *phrase) (action, error) {
	a := &lifting{what: func(s *player) *glide { return &s.lift }}
	var err error
	if !p.at("louder") && !p.at("softer") && !p.at("faster") && !p.at("slower") {
		if a.who, err = p.players(); err != nil {
			return nil, err
		}
	} else {
		for i := range p.hall.seats {
			a.who = append(a.who, i)
		}
	}
	if p.at("faster") || p.at("slower") {
		a.what = func(s *player) *glide { return &s.pace }
		return a, a.parseFaster(p)
	}
	return a, a.parseLouder(p)
}

func (a *lifting) parseFaster(p *phrase) error {
	slower := p.next() == "slower"
	share, err := p.percent()
	if err != nil {
		return err
	}
	if a.by = gain(share); slower {
		a.by = -a.by
	}
	return a.parseOver(p)
}

// parseRoom reads "room louder 24 dB over 1s": applause, or a hall that sings.
func parseRoom(p *phrase) (action, error) {
	a := &lifting{what: func(s *player) *glide { return &s.room }}
	for i, s := range p.hall.seats {
		if !s.line {
			a.who = append(a.who, i)
		}
	}
	return a, a.parseLouder(p)
}

func (a *lifting) parseLouder(p *phrase) (err error) {
	sign := gain(1)
	if !p.take("louder") {
		sign = -1
		if !p.take("softer") {
			return fmt.Errorf("%q is not understood; want louder or softer", p.rest())
		}
	}
	if a.by, err = p.gain(); err != nil {
		return err
	}
	a.by *= sign
	return a.parseOver(p)
}

func (a *lifting) parseOver(p *phrase) (err error) {
	if !p.take("over") {
		return errors.New("nobody grows louder in no time; want over and a time, such as over 40s")
	}
	a.over, err = p.time()
	return err
}

func (a *lifting) do(p *performance) error {
	for _, i := range a.who {
		l := a.what(&p.stage[i])
		// From wherever the last change has got to; where it was going is what the
		// next is added to, as the script's author added it.
		now := l.at(p.tick)
		*l = glide{now, l.to + a.by, p.tick, p.tick + ticksIn(a.over)}
	}
	return nil
}
