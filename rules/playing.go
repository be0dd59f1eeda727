package rules

// enough is how many inputs make a mix worth measuring from.
const enough = 3

// music reports whether enough inputs are in the mix to make one.
func (m *Mix) music() bool { return m.playing() >= min(enough, max(len(m.inputs), 1)) }

// playing is how many inputs are in the mix now.
func (m *Mix) playing() int {
	m.refresh()
	n := 0
	for i := range m.inputs {
		if m.inputActive(i) {
			n++
		}
	}
	return n
}
