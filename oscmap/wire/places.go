package wire

import (
	"bytes"
	"math/bits"
)

// places is a set of places in a name: bit i is the place before its byte i,
// and the last is the end of the name.
type places []uint64

func (p places) add(i int)      { p[i/64] |= 1 << (i % 64) }
func (p places) has(i int) bool { return p[i/64]>>(i%64)&1 != 0 }

func (p places) empty() bool {
	for _, word := range p {
		if word != 0 {
			return false
		}
	}
	return true
}

// spread adds every place from the first on: what a star does. Those past the end
// of the name are places that no byte leads on from.
func (p places) spread() {
	var fill uint64
	for i, word := range p {
		if p[i] |= fill; fill == 0 && word != 0 {
			p[i] |= -(word & -word) // from the lowest bit up
			fill = ^fill
		}
	}
}

// step moves each place past one byte of the set, and drops those where another
// byte stands. It goes from the end, so that no place is moved twice.
func (p places) step(set *charSet, name []byte) {
	for i := len(p) - 1; i >= 0; i-- {
		var moved uint64
		for word := p[i]; word != 0; word &= word - 1 {
			bit := bits.TrailingZeros64(word)
			if at := i*64 + bit; at < len(name) && set.has(name[at]) {
				moved |= 1 << bit
			}
		}
		p[i] = moved << 1
		if carry := moved >> 63; carry != 0 {
			p[i+1] |= carry
		}
	}
}

// stepAny sets next to the places that are reached from p past any one of the
// strings, separated by commas.
func (p places) stepAny(next places, strings, name []byte) {
	clear(next)
	for more := true; more; {
		var s []byte
		s, strings, more = bytes.Cut(strings, comma)
		for i, word := range p {
			for ; word != 0; word &= word - 1 {
				at := i*64 + bits.TrailingZeros64(word)
				if at <= len(name) && bytes.HasPrefix(name[at:], s) {
					next.add(at + len(s))
				}
			}
		}
	}
}

var comma = []byte{','}
