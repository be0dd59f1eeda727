package desk

// Order is the running order: the parts of a service in the order in which the house
// means them to come. nil is a house that wrote none.
type Order []Planned

// Planned is one part of a running order.
type Planned struct {
	Name     string          // the house's own; no two parts of an order share one
	Kind     SegmentKind     // never AnyKind
	Primary  *int            // the instrument, from 0, that carries it; nil for whoever does elsewhere
	Elements map[int]Element // by input from 0: what some play here and not elsewhere
	Scene    *int            // the desk's number of the scene that is recalled for it; nil for none
}

// Began is how a segment came to be.
type Began string

// The ways in which a segment comes to be. Opened is the first, which nobody began.
const (
	Opened    Began = ""
	Tapped    Began = "tap"   // somebody said so
	Recalled  Began = "scene" // the desk recalled the scene of a part of the order
	Overheard Began = "heard" // by itself, from who plays
	TakenBack Began = "back"  // what went before a tap goes on, because the tap was taken back
)
