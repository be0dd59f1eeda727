package practice

import "fmt"

// listening is inputs heard alone in the headphones, or no longer.
type listening struct {
	who  []int
	solo bool
}

func (a *listening) do(p *performance) error {
	for _, i := range a.who {
		p.board[Inputs][i].solo = a.solo
		p.note(Topic{InputSolo, i})
	}
	return nil
}

// left is nothing: what is in the headphones is a matter of the hand.
func (a *listening) left() action { return nil }

// assigning is inputs feeding the main directly, or no longer.
type assigning struct {
	who    []int
	direct bool
}

// parseAssigning reads "assign click to main" and "unassign click from main".
func parseAssigning(p *phrase, direct bool) (action, error) {
	who, err := p.players()
	if err != nil {
		return nil, err
	}
	between := "from"
	if direct {
		between = "to"
	}
	if !p.take(between, "main") {
		return nil, fmt.Errorf("%q is not understood; want %s main", p.rest(), between)
	}
	return &assigning{who, direct}, nil
}

func (a *assigning) do(p *performance) error {
	for _, i := range a.who {
		p.board[Inputs][i].direct = a.direct
		p.note(Topic{InputMain, i})
	}
	return nil
}

// left is nothing: only inputs can be assigned.
func (a *assigning) left() action { return nil }
