package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// squeezeSlots beats of gain reduction are remembered: one minute.
const squeezeSlots = int(time.Minute / Beat)

// squeezeHistory is a minute of one group's gain reduction while it was playing.
type squeezeHistory struct {
	at   []desk.DB // a ring once it is full
	next int
}

func (h *squeezeHistory) add(reduction desk.DB, active bool) {
	switch {
	case !active:
	case len(h.at) < squeezeSlots:
		h.at = append(h.at, reduction)
	default:
		h.at[h.next] = reduction
		h.next = (h.next + 1) % squeezeSlots
	}
}

// last is the newest n, oldest of them first.
func (h *squeezeHistory) last(n int) []desk.DB {
	n = min(n, len(h.at))
	out := make([]desk.DB, 0, n)
	for i := len(h.at) - n; i < len(h.at); i++ {
		out = append(out, h.at[(h.next+i)%len(h.at)])
	}
	return out
}

// Squeeze is how hard a group's compressor is working.
type Squeeze struct {
	Group  string
	Active bool // something in the group is playing and open
	Known  bool // there is any reading to speak of

	Median    desk.DB // over the last 20 s of playing
	Low, High desk.DB // over the last minute of playing: 10th and 90th percentile
}

// Squeeze is the state of group k.
func (m *Mix) Squeeze(k int) Squeeze {
	h := &m.groups[k].history
	s := Squeeze{Group: m.roster.Groups[k], Active: m.groups[k].active, Known: len(h.at) > 0}
	if !s.Known {
		return s
	}
	recent, minute := h.last(int(20*time.Second/Beat)), h.last(squeezeSlots)
	slices.Sort(recent)
	slices.Sort(minute)
	s.Median = recent[len(recent)/2]
	s.Low, s.High = minute[len(minute)/10], minute[len(minute)*9/10]
	return s
}
