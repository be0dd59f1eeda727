package practice

import (
	"fmt"
	"strings"
	"time"
)

// Hall is a place with a practice desk: who sits where on its stage, and what its
// desk has. Every name in every hall is invented. It is never changed, so any
// number of goroutines may use it.
type Hall struct {
	name         string
	dcas, groups []string
	squeezes     []squeeze // of the groups
	seats        []seat
	squeezed     bool // inputs have compressors too
}

// inputSqueeze is how an input's compressor is found: there, and out of use.
var inputSqueeze = squeeze{threshold: -16, ratio: 1, knee: 6}

// Halls lists every hall there is. The first is Harbour Hall, the demo's, where a
// script is played that names no other.
func Halls() []*Hall { return []*Hall{harbourHall, ferryRoom, longBarn} }

// HallNamed is the hall of that name. The error names those there are.
func HallNamed(name string) (*Hall, error) {
	var names []string
	for _, h := range Halls() {
		if h.name == name {
			return h, nil
		}
		names = append(names, h.name)
	}
	return nil, fmt.Errorf("no hall %q; want one of %s", name, strings.Join(names, ", "))
}

// Name is what a script calls the hall.
func (h *Hall) Name() string { return h.name }

// Strips is how many strips of the bank its desk has. Groups may be none.
func (h *Hall) Strips(b Bank) int {
	return [...]int{len(h.seats), len(h.dcas), len(h.groups), 1}[b]
}

// Strip is the name of the strip a topic is about, or "" for the main.
func (h *Hall) Strip(t Topic) string {
	switch t.Kind.Bank() {
	case Inputs:
		return h.seats[t.Index].name
	case DCAs:
		return h.dcas[t.Index]
	case Groups:
		return h.groups[t.Index]
	}
	return ""
}

// named is a strip in the words of a script.
func (h *Hall) named(k knob) string {
	switch k.bank {
	case DCAs:
		return "dca " + h.dcas[k.index]
	case Groups:
		return "group " + h.groups[k.index]
	case Main:
		return "main"
	}
	return h.seats[k.index].name
}

// Settings lists every topic that its desk tells whoever asks for all and that is no
// meter, in a steady order.
func (h *Hall) Settings() []Topic {
	all := h.between(0, firstMeter)
	if h.squeezed {
		all = append(all, h.Topics(InputThreshold, InputRatio, InputMakeUp)...)
	}
	return all
}

// Meters lists every topic that is one, in a steady order.
func (h *Hall) Meters() []Topic {
	all := h.between(firstMeter, afterMeters)
	if h.squeezed {
		all = append(all, h.Topics(InputReduction)...)
	}
	return all
}

func (h *Hall) between(from, to Kind) []Topic {
	var some []Kind
	for k := from; k < to; k++ {
		some = append(some, k)
	}
	return h.Topics(some...)
}

// Topics lists the topics of these kinds, strip by strip.
func (h *Hall) Topics(of ...Kind) []Topic {
	var list []Topic
	for _, k := range of {
		for i := range h.Strips(k.Bank()) {
			list = append(list, Topic{k, i})
		}
	}
	return list
}

// seat is one input: who plays there, how loud, and where its fader is marked.
type seat struct {
	name  string
	plays level // mean level before the fader while playing
	mark  gain  // fader at the start of every service
	dca   int   // which DCA it follows, or none
	group int   // which group it feeds, or none
	main  bool  // feeds the main directly
	line  bool  // comes by a cable, which hears nothing of the hall

	pulse time.Duration // from one stress to the next
	depth gain          // how far the sound falls from one stress to the next
	swell gain          // how far it breathes, slowly, either way
	grain gain          // how far it wanders, quickly, either way
}
