package oscmap

import (
	"strings"

	"pawl/oscmap/wire"
)

// addressSet is all the addresses that an ask may be taken for, or that a line
// may stand for, as a row of characters. Each is one byte out of a set or, if many,
// any number of them. Letters are in lower case: there are desks that do not look
// at case.
type addressSet []character

type character struct {
	set  byteSet
	many bool
}

// byteSet has a bit for each byte.
type byteSet [4]uint64

func (s *byteSet) add(c byte) { s[c/64] |= 1 << (c % 64) }

func (s *byteSet) meets(o *byteSet) bool {
	return s[0]&o[0]|s[1]&o[1]|s[2]&o[2]|s[3]&o[3] != 0
}

func anyByte() (s byteSet) {
	for c := range 256 {
		s.add(byte(c))
	}
	return s
}

func literally(r addressSet, text string) addressSet {
	for i := range len(text) {
		var p character
		p.set.add(lower(text[i]))
		r = append(r, p)
	}
	return r
}

// addressSet is what the line may stand for on a desk that has more strips than the
// map says, or other names for them: anything that is no slash in the place of
// each placeholder.
func (p *path) addressSet() (r addressSet) {
	noSlash := anyByte()
	noSlash['/'/64] &^= 1 << ('/' % 64)
	for _, pt := range p.parts {
		if pt.kind == literalPart {
			r = literally(r, pt.text)
		} else {
			r = append(r, character{noSlash, true})
		}
	}
	return r
}

// takenLoosely is what the address of an ask may be taken for, by the patterns of OSC
// 1.0. Stars and question marks may also be a slash: a desk that makes regular
// expressions of patterns, as some libraries do, would let them. It is false of
// a pattern in which a bracket has no partner: nobody can say what desks make
// of that.
func takenLoosely(address string) (r addressSet, ok bool) {
	for address != "" {
		length := 1
		switch address[0] {
		case '*', '?':
			r = append(r, character{anyByte(), address[0] == '*'})
		case '[':
			if length = 1 + strings.IndexAny(address, "]/"); length == 0 || address[length-1] == '/' {
				return nil, false
			}
			r = append(r, character{set: bracket(address[:length])})
		case ']':
			return nil, false
		default:
			r = literally(r, address[:1])
		}
		address = address[length:]
	}
	return r, true
}

// bracket is what a list in brackets may stand for, whatever the case it is read
// in: [!T] leaves a t out on one desk and not on another, and [Z-a] is a range of
// few characters or of many.
func bracket(list string) (set byteSet) {
	for _, read := range []string{list, strings.ToLower(list), strings.ToUpper(list)} {
		pattern := []byte(read)
		for c := range 256 {
			if wire.Match(pattern, []byte{byte(c)}) {
				set.add(lower(byte(c)))
			}
		}
	}
	return set
}

// meets reports whether some address is in both. It reads r once and keeps every
// place in o that may have been come to; most pairs differ early and then there is none.
func (r addressSet) meets(o addressSet) bool {
	here, next := make([]bool, len(o)+1), make([]bool, len(o)+1)
	here[0] = true
	for i := range r {
		p := &r[i]
		going := false
		come := func(j int) { next[j], going = true, true }
		for j := range o {
			q := &o[j]
			switch both := p.set.meets(&q.set); {
			case !here[j]:
				continue
			case both && p.many:
				here[j+1] = true // and p goes on
			case both && q.many:
				come(j) // and q goes on
			case both:
				come(j + 1)
			}
			here[j+1] = here[j+1] || q.many // none of it
			if p.many {
				come(j)
			}
		}
		if here[len(o)] && p.many {
			come(len(o))
		}
		if here, next = next, here; !going {
			return false
		}
		clear(next)
	}
	for j := range o {
		here[j+1] = here[j+1] || here[j] && o[j].many
	}
	return here[len(o)]
}
