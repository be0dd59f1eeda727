package rules

import "pawl/rules/desk"

// LineChecked says that a line check began, or ended with what it found. One that
// began has no inputs yet.
type LineChecked struct {
	Stamp
	State  LineMoment   `json:"state"`
	How    LineEnd      `json:"how"` // how it ended; "" when it began
	Began  Moment       `json:"began"`
	Inputs []LineInput  `json:"inputs"` // all of the roster, in the desk's order
	Desk   []LineRemark `json:"desk"`   // what is about no one input
	Main   desk.DB      `json:"main_db"`
	What   []Phrase     `json:"what"` // the summary, a sentence each

	// Words are What in some reader's language, put there when it leaves for somebody
	// who reads.
	Words []string `json:"words,omitempty"`
}

// LineMoment is what a LineChecked is about.
type LineMoment string

// The moments of a line check of which an entry tells.
const (
	LineBegun LineMoment = "begun"
	LineEnded LineMoment = "ended"
)

// LineEnd is how a line check ended.
type LineEnd string

// The ways in which a line check ends, after none.
const (
	LineGoesOn  LineEnd = ""
	LineStopped LineEnd = "pressed"
	LineAllDone LineEnd = "done"      // nothing was left to check or to mend
	LineForgot  LineEnd = "forgotten" // nothing happened for a long time
)

// LineState is how far one input has come.
type LineState string

// The states of an input in a line check.
const (
	LineWaiting   LineState = "waiting"
	LineUnmetered LineState = "unmetered" // no level of it is heard, so nobody is asked to play
	LineAsked     LineState = "asked"     // the one that should sound now
	LinePutOff    LineState = "later"     // asked for again after the others
	LineOpen      LineState = "open"      // it sounds as it should; something else of it is to be mended
	LineFinished  LineState = "done"
)

// LineInput is one input as a line check found it. Its levels are before the fader, over
// the last time that it sounded, and mean nothing until Checked.
type LineInput struct {
	Who     desk.Who  `json:"who"`
	State   LineState `json:"state"`
	Metered bool      `json:"metered"`
	Sounded float64   `json:"sounded_seconds"` // up to what is asked for
	Checked bool      `json:"checked"`         // it sounded for as long as is asked for

	Mean desk.DBFS `json:"mean_dbfs"` // mean power
	Low  desk.DBFS `json:"low_dbfs"`  // 10th and 90th percentile of its level over half a second
	High desk.DBFS `json:"high_dbfs"`
	Peak desk.DBFS `json:"peak_dbfs"` // the highest

	DCAs    []desk.Who   `json:"dcas"` // that it follows
	Remarks []LineRemark `json:"remarks"`
}

// LineRemark is one thing that a line check found, and what to do about it.
type LineRemark struct {
	Kind LineKind `json:"kind"`
	Says Phrase   `json:"says"`
	Try  Phrase   `json:"try"`

	// Words are both in some reader's language, put there when it leaves for somebody
	// who reads.
	Words *LineWords `json:"words,omitempty"`
}

// LineWords are what a LineRemark says, in one language.
type LineWords struct {
	Says string `json:"says"`
	Try  string `json:"try"`
}

// LineKind is what a remark is about.
type LineKind string

// What can be remarked of an input: first what only another ten seconds of playing can
// show to be better, then what shows by itself.
const (
	LineUnheard  LineKind = "unheard"
	LineAnswers  LineKind = "answers"
	LineMeter    LineKind = "meter"
	LineSteady   LineKind = "steady"
	LineLow      LineKind = "low"
	LineHot      LineKind = "hot"
	LinePeaks    LineKind = "peaks"
	LineSqueezed LineKind = "squeezed"
	LineTogether LineKind = "together"

	LineMuted   LineKind = "muted"
	LineNowhere LineKind = "nowhere"
	LineCue     LineKind = "cue"
	LineLowCut  LineKind = "low-cut"
	LineName    LineKind = "name"

	// And of the desk as a whole.
	LineDCA           LineKind = "dca"
	LineEmptyDCA      LineKind = "empty-dca"
	LineEmptyGroup    LineKind = "empty-group"
	LineRatio         LineKind = "ratio"
	LineSqueezedGroup LineKind = "squeezed-group"
	LineMain          LineKind = "main" // which only whoever has the record can say
)

// lineSounds and lineSettings are the kinds of an input's remarks in the order in which
// they are told.
var (
	lineSounds   = []LineKind{LineUnheard, LineAnswers, LineMeter, LineSteady, LineLow, LineHot, LinePeaks, LineSqueezed, LineTogether}
	lineSettings = []LineKind{LineMuted, LineNowhere, LineCue, LineLowCut, LineName}
)
