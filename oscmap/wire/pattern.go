package wire

// IsPattern reports whether an address holds any of the characters that OSC
// 1.0 gives a meaning in patterns.
func IsPattern(address []byte) bool {
	for _, c := range address {
		switch c {
		case '?', '*', '[', '{':
			return true
		}
	}
	return false
}

// Match reports whether an address pattern from a sender names an address of ours.
func Match(pattern, address []byte) bool {
	return string(pattern) == string(address) // TODO patterns follow
}
