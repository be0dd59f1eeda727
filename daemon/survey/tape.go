package survey

import (
	"cmp"
	"slices"
	"time"
)

// What a Survey keeps of the messages themselves, so that a draft can be played to them before
// it is written: of each stream the last few in each step of the guided part, and before it.

// The bounds of it. A large desk with fifty meters stays below them through forty questions.
const (
	mostTaped      = 1 << 16 // messages
	mostTapedBytes = 8 << 20 // in all of them
	mostOfBefore   = 4       // of them a part is for what came before the guided part
	tapedBefore    = 4       // of a stream, before the guided part
	tapedInStep    = 24      // of a stream, in a step
	tapedMixed     = 96      // of one that tells of several things
	mostTapedOne   = 4096    // bytes of one message
)

// tape is the messages that were kept. The zero value has none.
type tape struct {
	over  []taped // of the steps before
	open  map[*stream]*reel
	steps int
	n     int // messages, with those of the step in hand
	bytes int
	lost  bool // there was more than is kept, of a stream that nothing is kept of
}

// order is the number of a message among all. Packets may come at one time.
type order = time.Duration

// beginning is before all of them.
const beginning order = -1

// taped is one message, as it came.
type taped struct {
	n    order
	data []byte
}

// reel is the last messages of a stream in a step.
type reel struct {
	all  []taped
	next int // where the next one goes, once there are enough
}

// keep takes a message of a stream.
func (p *tape) keep(st *stream, mixed bool, n order, data []byte) {
	most, messages, bytes := tapedInStep, mostTaped, mostTapedBytes
	switch {
	case p.steps == 0:
		most, messages, bytes = tapedBefore, mostTaped/mostOfBefore, mostTapedBytes/mostOfBefore
	case mixed:
		most = tapedMixed
	}
	if p.open == nil {
		p.open = map[*stream]*reel{}
	}
	r := p.open[st]
	if len(data) > mostTapedOne || p.bytes+len(data) > bytes || p.n >= messages && (r == nil || len(r.all) < most) {
		p.lost = true
		return
	}
	if r == nil {
		r = &reel{}
		p.open[st] = r
	}
	if len(r.all) < most {
		r.all = append(r.all, taped{n, slices.Clone(data)})
		p.n, p.bytes = p.n+1, p.bytes+len(data)
		return
	}
	old := &r.all[r.next]
	p.bytes += len(data) - len(old.data)
	*old = taped{n, append(old.data[:0], data...)}
	r.next = (r.next + 1) % len(r.all)
}

// step begins another step.
func (p *tape) step() {
	p.over = p.all()
	p.open = nil
	p.steps++
}

// all is what was kept, in the order in which it came.
func (p *tape) all() []taped {
	all := slices.Clip(p.over)
	for _, r := range p.open {
		all = append(all, r.all...)
	}
	slices.SortFunc(all, func(a, b taped) int { return cmp.Compare(a.n, b.n) })
	return all
}
