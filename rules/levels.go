package rules

import "pawl/rules/desk"

// Levels is where every strip stood at a whole second. It is no entry: it is asked for
// with Options.Levels, comes out of TakeLevels, and is what the record draws its
// curves from.
type Levels struct {
	T       Moment    `json:"t"`
	Heard   bool      `json:"heard"`   // false while the desk is away; then there is nothing below
	Playing int       `json:"playing"` // inputs in the mix
	Total   desk.DBFS `json:"total_dbfs"`

	// Split is what made the total another one than the mark's, by cause; zero until
	// there is a mark.
	Split  desk.Split    `json:"split"`
	Inputs []InputLevels `json:"inputs"` // in the order of the roster
	Groups []GroupLevels `json:"groups"`
}

// InputLevels is where one input stood. All are means over Limits.Mix.JudgeOver but
// the gain, which is as the faders are.
type InputLevels struct {
	Gain  desk.DB   `json:"gain_db"`    // its fader and those of its DCAs; Off when closed or muted
	Level desk.DBFS `json:"level_dbfs"` // before the fader
	Share desk.DBFS `json:"share_dbfs"` // what it puts into the mix, before the main fader
}

// GroupLevels is how hard a group's compressor worked: 10th, 50th and 90th percentile
// of its gain reduction, upwards positive. All are 0 until Known.
type GroupLevels struct {
	Known  bool    `json:"known"`
	Low    desk.DB `json:"low_db"`
	Median desk.DB `json:"median_db"`
	High   desk.DB `json:"high_db"`
}

// TakeLevels gives the levels of every whole second since the last call, in the memory
// of dst. There are none unless Options.Levels asked for them.
func (j *Judge) TakeLevels(dst []Levels) []Levels {
	dst = append(dst[:0], j.levels...)
	clear(j.levels)
	j.levels = j.levels[:0]
	return dst
}

// levelsOf is where every strip stands, in the balance that was weighed just now.
func (j *Judge) levelsOf(v *desk.View, split desk.Split) Levels {
	l := Levels{
		T: Moment(j.at), Heard: true, Playing: v.PlayingCount(), Total: j.balance.Total(), Split: split,
		Inputs: make([]InputLevels, 0, v.Inputs()), Groups: make([]GroupLevels, 0, v.Groups()),
	}
	for i := range v.Inputs() {
		l.Inputs = append(l.Inputs, InputLevels{
			j.balance.Gain(i), v.Level(i, j.limits.Mix.JudgeOver), j.balance.Share(i).Level(),
		})
	}
	for k := range v.Groups() {
		g := groupPicture(v, k)
		l.Groups = append(l.Groups, GroupLevels{g.Known, g.Low, g.Median, g.High})
	}
	return l
}
