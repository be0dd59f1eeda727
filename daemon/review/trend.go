package review

import "time"

// Trend is one figure over many services, the earliest first. It names who was mixing,
// and orders nobody by it.
type Trend struct {
	Name     string  `json:"name"`
	About    string  `json:"about"` // as in Figure
	Title    string  `json:"title"`
	Means    string  `json:"means"`
	Unit     Unit    `json:"unit"`
	Points   []Point `json:"points"`
	Rests    int     `json:"rests_on"` // services that have a value
	Services int     `json:"services"` // of so many
	Text     string  `json:"text"`     // on how many it rests, and what is too few to say
}

// Point is a figure of one service.
type Point struct {
	Service int64     `json:"service"`
	Title   string    `json:"title"`
	Began   time.Time `json:"began"`
	Mixing  string    `json:"mixing"`
	Value   *float64  `json:"value"` // null for a service that has none
	N       int       `json:"n"`
	Text    string    `json:"text"` // the value with its unit, or why there is none
}

// OneThing is the one thing to practise this week.
type OneThing struct {
	Name     string   `json:"name"`     // of what it is chosen by, a figure's
	What     string   `json:"what"`     // the thing to practise, a sentence
	Why      string   `json:"why"`      // why this one: the count and the comparison that chose it
	Services int      `json:"services"` // of how many services it was chosen
	Moments  []Moment `json:"moments"`  // that it comes from, the newest first
}

// Moment is a moment of some service.
type Moment struct {
	Service int64  `json:"service"`
	Title   string `json:"title"` // the service's
	When
	Text string `json:"text"` // what was there
}
