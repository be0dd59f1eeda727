package survey

// On a desk whose levels are factors of amplitude, a reduction may be one too: what is left of
// what comes in, 1 when nothing is taken off.

// remains reports whether the numbers look like what a compressor leaves: never above 1, often
// just that, and never less than what hardly any takes off.
func (d *drafter) remains(m *meter) bool {
	if d.linear != "amplitude" || m.isText() || m.isBlob() || m.hi != 1 || m.off > 0 || m.lo < 0.01 || m.lo == 1 {
		return false
	}
	ones, n := 0, 0
	for _, t := range m.slots {
		for i := range t.recent.len() {
			if n++; t.recent.back(i).v == 1 {
				ones++
			}
		}
	}
	return 50*ones > n
}
