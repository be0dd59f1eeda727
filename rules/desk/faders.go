package desk

// Faders is where every mover of a desk stands. One that is closed or muted is
// Off. It is made by newFaders and copied with CopyFrom.
type Faders struct {
	inputs, dcas, groups int
	at                   []DB // inputs, DCAs, groups, main
}

// newFaders makes a set for this roster: every input closed, since nothing has
// been heard of it, and DCAs, groups and main at unity, where one that the desk
// never mentions does no harm.
func newFaders(r Roster) Faders {
	f := Faders{len(r.Inputs), len(r.DCAs), len(r.Groups), nil}
	f.at = make([]DB, f.inputs+f.dcas+f.groups+1)
	for i := range f.inputs {
		f.at[i] = Off
	}
	return f
}

// Len is the number of movers.
func (f *Faders) Len() int { return len(f.at) }

// At is where a mover stands.
func (f *Faders) At(m Mover) DB { return f.at[f.slot(m)] }

// Set moves a mover.
func (f *Faders) Set(m Mover, db DB) { f.at[f.slot(m)] = db }

// CopyFrom makes f the same as g, which must be of the same roster.
func (f *Faders) CopyFrom(g *Faders) {
	f.inputs, f.dcas, f.groups = g.inputs, g.dcas, g.groups
	f.at = append(f.at[:0], g.at...)
}

// Has reports whether the desk has this mover.
func (f *Faders) Has(m Mover) bool {
	switch m.Strip {
	case StripInput:
		return m.Index >= 0 && m.Index < f.inputs
	case StripDCA:
		return m.Index >= 0 && m.Index < f.dcas
	case StripGroup:
		return m.Index >= 0 && m.Index < f.groups
	}
	return m.Strip == StripMain
}

func (f *Faders) slot(m Mover) int {
	switch m.Strip {
	case StripInput:
		return m.Index
	case StripDCA:
		return f.inputs + m.Index
	case StripGroup:
		return f.inputs + f.dcas + m.Index
	}
	return len(f.at) - 1
}

// mover is the inverse of slot.
func (f *Faders) mover(slot int) Mover {
	switch {
	case slot < f.inputs:
		return Mover{Strip: StripInput, Index: slot}
	case slot < f.inputs+f.dcas:
		return Mover{Strip: StripDCA, Index: slot - f.inputs}
	case slot < len(f.at)-1:
		return Mover{Strip: StripGroup, Index: slot - f.inputs - f.dcas}
	}
	return Mover{Strip: StripMain, Index: 0}
}
