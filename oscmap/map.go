package oscmap

import (
	"slices"

	"pawl/rules/desk"
)

// Map is a desk's dialect, checked and compiled. It does not change and may be
// used from any goroutine.
type Map struct {
	desk string
	link Link
	asks []Ask

	lines []*line
	table table
	tree  *node
	open  bool // some address has a segment that cannot be listed
	mixed bool // such an address may be the same as a listed one
	names names
	texts int // how many names a Hearer keeps
}

// Desk is what the map calls the desk.
func (m *Map) Desk() string { return m.desk }

// Link is how the desk is reached.
func (m *Map) Link() Link { return m.link }

// Asks is everything that may be sent to the desk, one for each index where
// the map has one per index, in the order of the map. The slice is the caller's.
func (m *Map) Asks() []Ask { return slices.Clone(m.asks) }

// Heard lists what the map hears, in its order: a signal as often as lines carry it.
func (m *Map) Heard() (all []desk.Signal) {
	for _, l := range m.lines {
		all = append(all, l.signals...)
	}
	return all
}

// HearsSignal reports whether any address carries the signal.
func (m *Map) HearsSignal(s desk.Signal) bool {
	return slices.Contains(m.Heard(), s)
}

// TellsLevels reports whether the map hears how loud inputs are: such a desk speaks all the
// time, and is gone if it does not.
func (m *Map) TellsLevels() bool {
	return m.HearsSignal(desk.InputLevel) || m.HearsSignal(desk.InputPeak)
}

// Judges reports whether any address carries the signal, or one that stands in for it.
func (m *Map) Judges(s desk.Signal) bool {
	other, stands := s.StandIn()
	return m.HearsSignal(s) || stands && m.HearsSignal(other)
}

// linesAt lists the lines that hear an address or a pattern.
func (m *Map) linesAt(address string) (found []*line) {
	f := finder{m: m, arrive: func(routes []route) {
		for _, r := range routes {
			found = append(found, r.line)
		}
	}}
	f.search([]byte(address))
	return found
}
