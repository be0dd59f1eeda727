package review

import (
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// Finding is a finding with its whole life.
type Finding struct {
	Number int          `json:"number"`
	Rule   string       `json:"rule"`
	Weight rules.Weight `json:"weight"` // the most that it had
	Card   bool         `json:"card"`   // it came, or would have come, as a card; else as a line

	Opened When   `json:"opened"`
	Grew   []When `json:"grew"`
	Shown  *When  `json:"shown"`         // null if it never came to the screen
	Carded *When  `json:"shown_as_card"` // null if it never was one there; a line may grow into one
	Held   []When `json:"held"`          // when it left the screen though nobody pressed
	Seen   *When  `json:"seen"`
	Eased  *When  `json:"eased"` // null if it never did

	Open     rules.Moment  `json:"open_s"`     // from its opening to its easing, or to the end
	Accepted bool          `json:"accepted"`   // its level was kept until it was the one to measure from
	Followed Followed      `json:"followed"`   // what came of it once it was shown; "" for one that was not
	WayBack  *rules.Moment `json:"way_back_s"` // of a ratchet that was shown and taken back
	About    []desk.Who    `json:"about"`
	Figures  rules.Figures `json:"figures"` // when it stood worst
	What     []string      `json:"what"`    // the same in words, a sentence each
	Try      string        `json:"try"`
	Then     string        `json:"then"`
	Facts    []string      `json:"facts"`
	HeldBack string        `json:"held_back"` // why it was not shown, if it never was
	Ended    string        `json:"ended"`     // what was said when it eased
	Life     string        `json:"life"`      // its life in a sentence
}

// Followed is what came within Limits.Follow of a finding's coming to the screen.
type Followed string

// What may follow.
const (
	Back     Followed = "back"  // one of those named was moved the way that it asked for
	Another  Followed = "raise" // nobody did, and somebody was raised
	NoAnswer Followed = "none"
)

// Segment is a part of the service.
type Segment struct {
	Number int              `json:"number"`
	Kind   desk.SegmentKind `json:"kind"` // "" for one of which nothing was said or heard
	Name   string           `json:"name"`
	Title  string           `json:"title"` // its name with what it is
	How    desk.Began       `json:"how"`
	Began  When             `json:"began"`
	Length rules.Moment     `json:"length_s"`
	Moves  int              `json:"moves"`
	Raises int              `json:"raises"`
	Cards  int              `json:"cards"` // that came to the screen in it
}

// Move is a move, with what it bought if it was a raise.
type Move struct {
	Who    desk.Who      `json:"who"`
	Kind   desk.MoveKind `json:"kind"`
	Began  When          `json:"began"`
	Ended  When          `json:"ended"`
	From   desk.DB       `json:"from_db"` // null for closed or muted
	To     desk.DB       `json:"to_db"`
	By     desk.DB       `json:"by_db"`  // null between closed and not
	Bought *Bought       `json:"bought"` // null for what is no raise in music, or cannot be told
}

// Bought is what a raise had bought once Over had passed. Raised is Clearer and
// Swallowed together.
type Bought struct {
	Over      rules.Moment `json:"over_s"`
	Raised    desk.DB      `json:"raised_db"`
	Clearer   desk.DB      `json:"clearer_db"`   // it stands out so much more from all the rest
	Swallowed desk.DB      `json:"swallowed_db"` // and so much the rest came up under it
}

// Mover is all that was done with one fader.
type Mover struct {
	Who       desk.Who `json:"who"`
	Raises    int      `json:"raises"`
	Raised    desk.DB  `json:"raised_db"` // the sum
	Lowers    int      `json:"lowers"`
	Lowered   desk.DB  `json:"lowered_db"` // the sum, positive
	Others    int      `json:"others"`     // bring-ins, returns, scenes and what else there is
	Clearer   *desk.DB `json:"clearer_db"` // of its raises, in the mean; null if none can be told
	Swallowed *desk.DB `json:"swallowed_db"`
}

// Group is how hard a group's compressor worked while the group played music.
type Group struct {
	Who    desk.Who     `json:"who"`
	Played rules.Moment `json:"played_s"`    // so long, with its reduction known
	Below  float64      `json:"below_share"` // of that, below the window
	In     float64      `json:"in_share"`
	Over   float64      `json:"over_share"`
	Median desk.DB      `json:"median_db"` // of the seconds' medians
	Worst  desk.DB      `json:"worst_db"`
	At     *When        `json:"worst_at"` // null if it never played
}

// Note is a line at a moment.
type Note struct {
	When
	Text  string    `json:"text"` // "" for a bookmark
	Added time.Time `json:"added"`
	After bool      `json:"after"` // written afterwards

	Question bool `json:"question"` // asked in the service, to be answered afterwards
}

// Gap is something that the record does not have.
type Gap struct {
	Kind   GapKind      `json:"kind"`
	From   When         `json:"from"`
	Length rules.Moment `json:"length_s"` // 0 if it is not known
	Text   string       `json:"text"`
}

// GapKind tells gaps apart.
type GapKind string

// The kinds of gap.
const (
	Away    GapKind = "desk-away" // the desk was not heard
	Stopped GapKind = "pawl-away" // Pawl did not run
	Lost    GapKind = "lost"      // what could not be written
	Damaged GapKind = "damaged"   // what was written and cannot be read any more
)
