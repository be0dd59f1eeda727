package review

// Figure is one coaching number of one service. The sentence that defines it goes with
// it, and is shown wherever the number is.
type Figure struct {
	Name  string `json:"name"`  // of the figure, the same in every service: "ratchets"
	About string `json:"about"` // whom it is of, for one that each group has; else ""

	Value *float64 `json:"value"` // null if there is none, and Why says why
	Unit  Unit     `json:"unit"`
	N     int      `json:"n"`     // of how many cases the value is
	Cases string   `json:"cases"` // what N counts, with the number: "3 raises"

	Title   string `json:"title"`
	Means   string `json:"means"`   // its definition, a sentence
	Text    string `json:"text"`    // the value with its unit, or "–"
	Why     string `json:"why"`     // why there is no value; "" if there is one
	Parts   []Part `json:"parts"`   // what else is told of the same cases; may be empty
	Moments []When `json:"moments"` // of the cases, in order, at most MostMoments
}

// Part is a number beside a figure's value: of the raises that bought something, how
// much the others swallowed.
type Part struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  Unit    `json:"unit"`
	Text  string  `json:"text"` // what it is, with the number
}

// MostMoments is how many moments a figure names.
const MostMoments = 50

// Unit is what a value counts. The suffix of a column of that unit is its word.
type Unit string

// The units.
const (
	PerHour  Unit = "per_hour" // of music
	Seconds  Unit = "s"
	Share    Unit = "share" // 0 to 1
	Decibels Unit = "db"
	Count    Unit = "count"
)
