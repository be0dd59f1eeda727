package rules

import (
	"time"

	"pawl/rules/desk"
)

// LinePicture is a line check as it stands, or what the last one found.
type LinePicture struct {
	On      bool      `json:"on"`
	Since   Moment    `json:"since"`
	All     int       `json:"all"`          // inputs of the roster
	Metered int       `json:"metered"`      // of them those of which a level is heard
	Play    float64   `json:"play_seconds"` // how long each should sound
	Least   desk.DBFS `json:"least_dbfs"`   // the guide that levels should lie in, in the mean
	Most    desk.DBFS `json:"most_dbfs"`
	Asked   int       `json:"asked"`    // the number of the input that should sound now, from 1; 0 for none
	Now     desk.DBFS `json:"now_dbfs"` // its level at this moment
	Sounds  bool      `json:"sounds"`   // and it is heard

	Inputs []LineInput  `json:"inputs"` // while one is on
	Desk   []LineRemark `json:"desk"`
	Main   desk.DB      `json:"main_db"`

	Last *LineChecked `json:"last"` // the last that ended; nil for none
}

// LineCheckOn reports whether a line check is on.
func (j *Judge) LineCheckOn() bool { return j.check != nil }

// LinePicture looks at the line check as it stands. It is of its caller.
func (j *Judge) LinePicture() LinePicture {
	v := j.view()
	p := LinePicture{All: j.toCheck(), Play: j.limits.LineCheck.Play.Seconds(), Least: j.limits.LineCheck.Least, Most: j.limits.LineCheck.Most, Now: desk.Silence, Main: v.Stands(desk.Main), Last: j.lastChecked, Inputs: []LineInput{}, Desk: []LineRemark{}}
	for i := range v.Inputs() {
		if v.Metered(i) {
			p.Metered++
		}
	}
	if c := j.check; c != nil {
		p.On, p.Since, p.Asked = true, Moment(c.since), c.asked+1
		p.Inputs, p.Desk = c.found(&v), c.deskRemarks(&v)
		if c.asked >= 0 && v.Hears(c.asked) {
			p.Now, p.Sounds = v.Level(c.asked, desk.Syllable), c.waited > 0 && c.silent == 0
		}
	}
	return p
}

// found is every input as it stands.
func (c *lineCheck) found(v *desk.View) []LineInput {
	out := make([]LineInput, 0, len(c.inputs))
	for i := range c.inputs {
		in := &c.inputs[i]
		if c.nobody(v, i) {
			continue
		}
		o := LineInput{
			Who: v.Who(inputMover(i)), State: in.state, Metered: v.Metered(i), Sounded: in.sounded().Seconds(), Checked: in.checked(),
			Mean: in.is.mean, Low: in.is.low, High: in.is.high, Peak: in.is.peak, DCAs: []desk.Who{}, Remarks: c.remarks(v, i),
		}
		if !o.Metered && in.state != LineFinished {
			o.State = LineUnmetered
		}
		for k := range v.DCAs() {
			if v.Drives(dcaMover(k), i) {
				o.DCAs = append(o.DCAs, v.Who(dcaMover(k)))
			}
		}
		out = append(out, o)
	}
	return out
}

// toCheck is how many inputs a line check has to ask for, or to say that they have no level.
func (j *Judge) toCheck() (n int) {
	v := j.view()
	for i, name := range j.names {
		if name != "" || v.Metered(i) {
			n++
		}
	}
	return n
}

// nobody reports whether an input is one that nobody named and that has no level: a number
// of the desk's between others, of which there is nothing to ask.
func (c *lineCheck) nobody(v *desk.View, i int) bool { return c.inputs[i].name == "" && !v.Metered(i) }

// pressLine does what a press about the line check asks.
func (j *Judge) pressLine(p Press) {
	switch {
	case p.Do != LineCheck:
		j.check.press(p, j.at)
	case p.On:
		j.check = newLineCheck(j.limits, j.names, j.at)
		j.say(&LineChecked{State: LineBegun, Began: Moment(j.at), Inputs: []LineInput{}, Desk: []LineRemark{}, Main: j.mainStands(), What: []Phrase{Say("line.begun", Number("all", j.toCheck()))}}, LineEntry)
		j.checkSound()
	default:
		j.endLine(LineStopped)
	}
}

func (j *Judge) mainStands() desk.DB {
	v := j.mix.View()
	return v.Stands(desk.Main)
}

// checkLine lets a beat of the line check pass.
func (j *Judge) checkLine() {
	switch {
	case j.at-j.check.touched >= j.limits.LineCheck.Ends:
		j.endLine(LineForgot)
	case !j.link.gone:
		j.seen = j.view()
		if j.check.beat(&j.seen) {
			j.endLine(LineAllDone)
		}
	}
}

// endLine says what the line check found, and that it is over.
func (j *Judge) endLine(how LineEnd) {
	v, c := j.view(), j.check
	e := &LineChecked{State: LineEnded, How: how, Began: Moment(c.since), Inputs: c.found(&v), Desk: c.deskRemarks(&v), Main: v.Stands(desk.Main)}
	e.What = e.sum(j.at - c.since)
	j.check, j.lastChecked = nil, e
	j.say(e, LineEntry)
}

// sum is a line check in a few sentences.
func (e *LineChecked) sum(took time.Duration) []Phrase {
	var fine, remarked int
	var unheard, unmetered []desk.Who
	for _, in := range e.Inputs {
		switch {
		case in.State == LineUnmetered || !in.Metered:
			unmetered = append(unmetered, in.Who)
		case !in.Checked:
			unheard = append(unheard, in.Who)
		case len(in.Remarks) == 0:
			fine++
		default:
			remarked++
		}
	}
	out := []Phrase{Say("line.sum", Number("checked", fine+remarked), Number("all", len(e.Inputs)), Number("fine", fine), Time("took", took))}
	if len(unheard) > 0 {
		out = append(out, Say("line.left").Naming("who", unheard...))
	}
	if len(unmetered) > 0 {
		out = append(out, Say("line.unmetered").Naming("who", unmetered...))
	}
	return append(out, Say("line.main", DB("at", e.Main)))
}
