package wire

import "bytes"

// maxPattern is the longest pattern that matches anything, in bytes. It bounds
// what a hostile sender can make us do for each address of ours.
const maxPattern = 1024

// IsPattern reports whether address holds any of ? * [ {, the characters that
// begin something with a meaning in OSC 1.0. The others it reserves mean
// something only after one of these.
func IsPattern(address []byte) bool {
	// bytes.ContainsAny takes half as long again for a whole Match.
	for _, c := range address {
		switch c {
		case '?', '*', '[', '{':
			return true
		}
	}
	return false
}

// Match reports whether pattern, the address of a message, names address, an
// address of ours, by the rules of OSC 1.0: ? is one character; * is any
// number, none included; [a-z] is one of a set or range, [!a-z] one that is
// not; {this,that} is one of the strings. All but "/" is compared byte by byte.
// There are as many parts between the slashes in one as in the other.
//
// Where OSC 1.0 is silent: inside braces every character but the comma stands
// for itself; a range reads the same in either direction; an empty set matches
// nothing; a bracket or brace that is not closed before the next slash spoils
// the pattern, which then matches nothing; a lone ] or } stands for itself; and
// the empty name between two slashes is matched by an empty one only.
//
// The work is bounded by the product of the two lengths whatever the pattern,
// and Match allocates nothing. Patterns over 1,024 bytes and addresses of
// MaxPacket or more bytes match nothing.
func Match(pattern, address []byte) bool {
	if !IsPattern(pattern) {
		return bytes.Equal(pattern, address)
	}
	if len(pattern) > maxPattern || len(address) >= MaxPacket {
		return false
	}
	for {
		part, patternRest, patternMore := cutPart(pattern)
		name, addressRest, addressMore := cutPart(address)
		if patternMore != addressMore || !matchName(part, name) {
			return false
		}
		if !patternMore {
			return true
		}
		pattern, address = patternRest, addressRest
	}
}

// cutPart is bytes.Cut at a slash, which takes a third longer for a whole Match.
func cutPart(b []byte) (part, rest []byte, more bool) {
	i := bytes.IndexByte(b, '/')
	if i < 0 {
		return b, nil, false
	}
	return b[:i], b[i+1:], true
}

// matchName matches one part of the pattern with one name. The places it needs
// live on the stack: one word for names as people write them, and 16 KiB in a
// function of its own for those that nobody does.
func matchName(pattern, name []byte) bool {
	if len(name) == 0 || !IsPattern(pattern) {
		return bytes.Equal(pattern, name)
	}
	if len(name) >= 64 {
		return matchLongName(pattern, name)
	}
	var here, next [1]uint64
	return matchFrom(here[:], next[:], pattern, name)
}

func matchLongName(pattern, name []byte) bool {
	var here, next [MaxPacket / 64]uint64
	words := len(name)/64 + 1
	return matchFrom(here[:words], next[:words], pattern, name)
}

// matchFrom reads the pattern once, left to right, and keeps every place in the
// name that it may have come to. Trying one place after another would be
// shorter, but a pattern of many stars or braces makes that exponential. Here
// and next are clear and have a bit for each place up to the end of the name.
func matchFrom(here, next places, pattern, name []byte) bool {
	here.add(0)
	for len(pattern) > 0 {
		switch pattern[0] {
		case '*':
			here.spread()
			pattern = pattern[1:]
		case '{':
			end := bytes.IndexByte(pattern, '}')
			if end < 0 {
				return false
			}
			here.stepAny(next, pattern[1:end], name)
			here, next = next, here
			pattern = pattern[end+1:]
		default:
			set, rest, ok := cutSet(pattern)
			if !ok {
				return false
			}
			here.step(&set, name)
			pattern = rest
		}
		// Nothing that follows can match any more; most patterns that do not match
		// end here, at their first letters.
		if here.empty() {
			return false
		}
	}
	return here.has(len(name))
}

// charSet has a bit for each byte.
type charSet [4]uint64

func (s *charSet) add(c byte)      { s[c/64] |= 1 << (c % 64) }
func (s *charSet) has(c byte) bool { return s[c/64]>>(c%64)&1 != 0 }

func (s *charSet) flip() {
	for i := range s {
		s[i] = ^s[i]
	}
}

// cutSet splits a pattern after what stands for one character at its start: a
// question mark, a bracketed set or the character itself.
func cutSet(pattern []byte) (set charSet, rest []byte, ok bool) {
	switch pattern[0] {
	case '?':
		set.flip()
	case '[':
		end := bytes.IndexByte(pattern, ']')
		if end < 0 {
			return set, nil, false
		}
		return readSet(pattern[1:end]), pattern[end+1:], true
	default:
		set.add(pattern[0])
	}
	return set, pattern[1:], true
}

// readSet reads what stands between brackets. A minus sign makes a range only
// between two characters, an exclamation mark negates only at the beginning.
func readSet(list []byte) (set charSet) {
	negated := len(list) > 0 && list[0] == '!'
	if negated {
		list = list[1:]
	}
	for len(list) > 0 {
		if len(list) < 3 || list[1] != '-' {
			set.add(list[0])
			list = list[1:]
			continue
		}
		for c := int(min(list[0], list[2])); c <= int(max(list[0], list[2])); c++ {
			set.add(byte(c))
		}
		list = list[3:]
	}
	if negated {
		set.flip()
	}
	return set
}
