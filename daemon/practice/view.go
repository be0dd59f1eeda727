package practice

// View is the desk as a dialect sees it when it has something to tell. It holds
// until the desk's next tick and is for the goroutine that was given it.
type View struct {
	hall    *Hall
	board   *board
	needles *needles
}

// Hall is the hall whose desk this is.
func (v View) Hall() *Hall { return v.hall }

// Step is where a fader stands, from 0 at the bottom to 4,000 at the top. The
// topic must be a fader's.
func (v View) Step(t Topic) int { return v.strip(t).step }

// Muted is the state of a switch. The topic must be a mute's.
func (v View) Muted(t Topic) bool { return v.strip(t).muted }

// on is the state of any switch.
func (v View) on(t Topic) bool {
	switch t.Kind {
	case InputSolo:
		return v.strip(t).solo
	case InputMain:
		return v.strip(t).direct
	}
	return v.Muted(t)
}

func (v View) strip(t Topic) strip { return v.board[t.Kind.Bank()][t.Index] }

// Number is any value but a name, in the unit of its kind: 1 for a switch that is
// on and 0 for one that is off. Gains and levels may be minus infinity.
func (v View) Number(t Topic) float64 {
	switch t.Kind {
	case InputMute, DCAMute, GroupMute, MainMute, InputSolo, InputMain:
		if v.on(t) {
			return 1
		}
		return 0
	case InputFader, DCAFader, GroupFader, MainFader:
		return float64(stepGain(v.Step(t)))
	case GroupThreshold, InputThreshold:
		return float64(v.strip(t).squeeze.threshold)
	case GroupRatio, InputRatio:
		return v.strip(t).squeeze.ratio
	case GroupMakeUp, InputMakeUp:
		return float64(v.strip(t).squeeze.makeUp)
	case InputLevel:
		return float64(v.needles.ahead[t.Index])
	case InputReduction:
		return float64(v.needles.taken[t.Index])
	case GroupLevelIn:
		return float64(v.needles.groupIn[t.Index])
	case GroupLevel:
		return float64(v.needles.group[t.Index])
	case GroupReduction:
		return float64(v.needles.reduction[t.Index])
	case MainLevel:
		return float64(v.needles.main)
	}
	return 0
}

// Row is the number of every strip of the bank, as desks send meters.
func (v View) Row(k Kind) []float64 {
	row := make([]float64, v.hall.Strips(k.Bank()))
	for i := range row {
		row[i] = v.Number(Topic{k, i})
	}
	return row
}
