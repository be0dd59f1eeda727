package practice

import (
	"errors"
	"fmt"
	"time"
)

func parseAction(p *phrase) (action, error) {
	switch word := p.next(); word {
	case "raise":
		return parseShift(p, 1)
	case "lower":
		return parseShift(p, -1)
	case "fader":
		return parseMove(p)
	case "dca", "group", "main":
		p.words = append([]string{word}, p.words...)
		return parseMove(p)
	case "mute", "unmute":
		which, err := p.knobs()
		return &switching{which, word == "mute"}, err
	case "threshold":
		return parseThreshold(p)
	case "ratio":
		return parseRatio(p)
	case "makeup":
		return parseMakeUp(p)
	case "solo", "unsolo":
		who, err := p.players()
		return &listening{who, word == "solo"}, err
	case "assign", "unassign":
		return parseAssigning(p, word == "assign")
	case "bleed":
		return parseBleeding(p)
	case "play", "rest":
		who, err := p.players()
		return &taking{who, word == "play"}, err
	case "stage":
		return parseStage(p)
	case "room":
		return parseRoom(p)
	case "scene":
		return parseScene(p)
	case "reboot":
		d, err := p.time()
		return rebooting(d), err
	default:
		return nil, fmt.Errorf("%q is not understood; want raise, lower, fader, dca, group, main, mute, unmute, solo, unsolo, assign, unassign, threshold, ratio, makeup, play, rest, stage, room, bleed, scene or reboot", word)
	}
}

// manner is how a move is made. Style 0 is the script's own.
type manner struct {
	over   time.Duration
	uneven bool
	style  style
}

// shifting moves faders by so many dB from where they were meant to stand.
type shifting struct {
	which []knob
	by    gain
	how   manner
}

func parseShift(p *phrase, sign gain) (action, error) {
	which, err := p.knobs()
	if err != nil {
		return nil, err
	}
	by, err := p.gain()
	if err != nil {
		return nil, err
	}
	if by <= 0 {
		return nil, fmt.Errorf("%v dB is no amount to raise or lower by; want one above 0 dB", float64(by))
	}
	how, err := p.manner()
	return &shifting{which, sign * by, how}, err
}

func (a *shifting) do(p *performance) error {
	for _, k := range a.which {
		// What a gain is added to is what was meant, not the step nearest to it: a
		// raise and an equal lowering would otherwise end a step away.
		from := p.board[k.bank][k.index].wanted
		if from == closed {
			return fmt.Errorf("%[1]s is closed and cannot be moved by a number of dB; say where to: fader %[1]s to -10 dB", p.script.hall.named(k))
		}
		if err := p.move(k, from+a.by, p.tick, a.how); err != nil {
			return err
		}
	}
	return nil
}

// moving takes faders to a place.
type moving struct {
	which []knob
	to    gain
	how   manner
}

// parseMove reads "piano to -6 dB over 2s" and "dca band +3 dB over 2s".
func parseMove(p *phrase) (action, error) {
	which, err := p.knobs()
	if err != nil {
		return nil, err
	}
	if p.take("to") {
		to, err := p.place()
		if err != nil {
			return nil, err
		}
		how, err := p.manner()
		return &moving{which, to, how}, err
	}
	if p.done() || p.words[0][0] != '+' && p.words[0][0] != '-' {
		return nil, errors.New(`want "to -6 dB", "to closed", or a gain with its sign such as "+3 dB"`)
	}
	by, err := p.gain()
	if err != nil {
		return nil, err
	}
	how, err := p.manner()
	return &shifting{which, by, how}, err
}

func (a *moving) do(p *performance) error {
	for _, k := range a.which {
		if err := p.move(k, a.to, p.tick, a.how); err != nil {
			return err
		}
	}
	return nil
}

// switching mutes or unmutes.
type switching struct {
	which []knob
	muted bool
}

func (a *switching) do(p *performance) error {
	for _, k := range a.which {
		p.board[k.bank][k.index].muted = a.muted
		p.note(Topic{muteOf[k.bank], k.index})
	}
	return nil
}

// taking is players taking up or putting down their instruments.
type taking struct {
	who     []int
	playing bool
}

func (a *taking) do(p *performance) error {
	for _, i := range a.who {
		s := &p.stage[i]
		if s.playing == a.playing {
			return fmt.Errorf("%s does that already", p.script.hall.seats[i].name)
		}
		s.playing, s.since = a.playing, p.tick
	}
	return nil
}

// scene is many faders jumping at once, as when the desk recalls a stored mix.
// A desk takes a few hundredths of a second to get through them.
type scene struct {
	which []knob
	to    []gain
}

func parseScene(p *phrase) (action, error) {
	a := &scene{}
	for {
		k, err := p.knob()
		if err != nil {
			return nil, err
		}
		if !p.take("to") {
			return nil, fmt.Errorf("%q is not understood; want to and a place, such as to -6 dB", p.rest())
		}
		to, err := p.place()
		if err != nil {
			return nil, err
		}
		a.which, a.to = append(a.which, k), append(a.to, to)
		if !p.take(",") {
			return a, nil
		}
	}
}

func (a *scene) do(p *performance) error {
	for i, k := range a.which {
		// Three faders a tick, as a desk gets through a list of its own.
		if err := p.move(k, a.to[i], p.tick+int64(i/3), manner{}); err != nil {
			return err
		}
	}
	return nil
}

// rebooting is the desk going away and coming back as it was.
type rebooting time.Duration

func (a rebooting) do(p *performance) error {
	p.sleep(ticksIn(time.Duration(a)))
	return nil
}
