package practice

import "fmt"

// bleeding is players heard in the microphones of others.
type bleeding struct {
	of, into []int
	by       gain
}

// parseBleeding reads "bleed trumpet, horn into lead voice at -18 dB"; "at
// closed" ends it.
func parseBleeding(p *phrase) (action, error) {
	a := &bleeding{}
	var err error
	if a.of, err = p.players(); err != nil {
		return nil, err
	}
	if !p.take("into") {
		return nil, fmt.Errorf("%q is not understood; want into and whose microphones hear it", p.rest())
	}
	if a.into, err = p.players(); err != nil {
		return nil, err
	}
	if !p.take("at") {
		return nil, fmt.Errorf("%q is not understood; want at and a gain, such as at -18 dB", p.rest())
	}
	if a.by, err = p.place(); err == nil && a.by > 0 {
		err = fmt.Errorf("nobody is %v dB louder in another's microphone than in their own", float64(a.by))
	}
	return a, err
}

func (a *bleeding) do(p *performance) error {
	for _, of := range a.of {
		for _, into := range a.into {
			switch {
			case of == into:
				return fmt.Errorf("%s cannot bleed into its own microphone", p.script.hall.seats[of].name)
			case p.script.hall.seats[into].line:
				return fmt.Errorf("%s comes by a cable, which hears nobody", p.script.hall.seats[into].name)
			}
			p.spill(spill{of, into, a.by})
		}
	}
	return nil
}

// spill is one player heard in the microphone of another, so much quieter than
// in their own.
type spill struct {
	of, into int
	by       gain
}

// spill sets how much of one player another's microphone hears.
func (p *performance) spill(s spill) {
	for i := range p.spills {
		if p.spills[i].of == s.of && p.spills[i].into == s.into {
			p.spills[i] = s
			return
		}
	}
	p.spills = append(p.spills, s)
}
