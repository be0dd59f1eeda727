package desk

import "math"

// Signal says what a number from the desk is. The zero value is no signal.
type Signal uint8

// The signals, in the order the documentation shows them. The word that the
// map uses for each, and the range of its values, stand in the table below.
const (
	NoSignal Signal = iota
	InputFader
	InputMute
	InputLevel
	InputPeak
	InputReduction
	InputName
	InputSolo
	InputDCA
	InputGroup
	InputMain
	InputSourceGain
	InputCompThreshold
	InputCompRatio
	InputCompMakeUp
	DCAFader
	DCAMute
	DCAName
	GroupFader
	GroupMute
	GroupLevelIn
	GroupLevel
	GroupReduction
	GroupThreshold
	GroupRatio
	GroupKnee
	GroupMakeUp
	GroupName
	MainFader
	MainMute
	MainLevel
	MainPeak
	MainReduction
	RoomLevel
	SceneNumber
	SceneName
	DeskAlive
)

// Strip is what on a desk a signal belongs to.
type Strip uint8

// The strips. Main, Room, Scene and Desk are one of a kind and take no index.
const (
	NoStrip Strip = iota
	StripInput
	StripDCA
	StripGroup
	StripMain
	StripRoom
	StripScene
	StripDesk
)

// String is the strip's word in a map: input, dca, group, main, room, scene, desk.
func (s Strip) String() string {
	return [...]string{"", "input", "dca", "group", "main", "room", "scene", "desk"}[s]
}

// Indexed reports whether a desk has several of this strip.
func (s Strip) Indexed() bool { return s == StripInput || s == StripDCA || s == StripGroup }

// Quantity is the sort of value a signal carries, and with it the unit.
type Quantity uint8

// The quantities and the unit of Reading.Value for each.
const (
	NoQuantity Quantity = iota
	Gain                // dB, Off for closed
	Level               // dBFS, Silence for nothing; room.level is dB(A) or as the house calibrates it
	Reduction           // dB of gain reduction, counted upwards, never negative
	Switch              // 1 is on: muted, soloed, a member, alive
	Words               // Reading.Text
	Number              // a count, such as a scene's number
	Proportion          // a compressor's ratio: 3 is 3:1
)

// String is the quantity in words, for messages to the person writing a map.
func (q Quantity) String() string {
	return [...]string{"nothing", "a gain in dB", "a level in dBFS", "gain reduction in dB", "on or off",
		"a name", "a number", "a ratio"}[q]
}

type signalRow struct {
	word     string
	of       Strip
	quantity Quantity
	lo, hi   float64 // of a finite Value; outside is clamped by the map and counted
}

// The ranges are wider than any desk's, on purpose: they exist to stop a wrong
// map from poisoning the sums, not to describe good practice.
var signals = [...]signalRow{
	NoSignal:           {},
	InputFader:         {"input.fader", StripInput, Gain, -200, 40},
	InputMute:          {"input.mute", StripInput, Switch, 0, 1},
	InputLevel:         {"input.level", StripInput, Level, -200, 40},
	InputPeak:          {"input.peak", StripInput, Level, -200, 40},
	InputReduction:     {"input.reduction", StripInput, Reduction, 0, 100},
	InputName:          {"input.name", StripInput, Words, 0, 0},
	InputSolo:          {"input.solo", StripInput, Switch, 0, 1},
	InputDCA:           {"input.dca", StripInput, Switch, 0, 1},
	InputGroup:         {"input.group", StripInput, Switch, 0, 1},
	InputMain:          {"input.main", StripInput, Switch, 0, 1},
	InputSourceGain:    {"input.source-gain", StripInput, Gain, -100, 100},
	InputCompThreshold: {"input.comp-threshold", StripInput, Level, -200, 40},
	InputCompRatio:     {"input.comp-ratio", StripInput, Proportion, 1, 1000},
	InputCompMakeUp:    {"input.comp-makeup", StripInput, Gain, -100, 100},
	DCAFader:           {"dca.fader", StripDCA, Gain, -200, 40},
	DCAMute:            {"dca.mute", StripDCA, Switch, 0, 1},
	DCAName:            {"dca.name", StripDCA, Words, 0, 0},
	GroupFader:         {"group.fader", StripGroup, Gain, -200, 40},
	GroupMute:          {"group.mute", StripGroup, Switch, 0, 1},
	GroupLevelIn:       {"group.level-in", StripGroup, Level, -200, 40},
	GroupLevel:         {"group.level", StripGroup, Level, -200, 40},
	GroupReduction:     {"group.reduction", StripGroup, Reduction, 0, 100},
	GroupThreshold:     {"group.threshold", StripGroup, Level, -200, 40},
	GroupRatio:         {"group.ratio", StripGroup, Proportion, 1, 1000},
	GroupKnee:          {"group.knee", StripGroup, Gain, 0, 100},
	GroupMakeUp:        {"group.makeup", StripGroup, Gain, -100, 100},
	GroupName:          {"group.name", StripGroup, Words, 0, 0},
	MainFader:          {"main.fader", StripMain, Gain, -200, 40},
	MainMute:           {"main.mute", StripMain, Switch, 0, 1},
	MainLevel:          {"main.level", StripMain, Level, -200, 40},
	MainPeak:           {"main.peak", StripMain, Level, -200, 40},
	MainReduction:      {"main.reduction", StripMain, Reduction, 0, 100},
	RoomLevel:          {"room.level", StripRoom, Level, -200, 200},
	SceneNumber:        {"scene.number", StripScene, Number, -1e6, 1e6},
	SceneName:          {"scene.name", StripScene, Words, 0, 0},
	DeskAlive:          {"desk.alive", StripDesk, Switch, 0, 1},
}

// Signals lists every signal, in the order of the documentation.
func Signals() []Signal {
	all := make([]Signal, 0, len(signals)-1)
	for s := 1; s < len(signals); s++ {
		all = append(all, Signal(s))
	}
	return all
}

// SignalNamed finds a signal by the word a map uses for it.
func SignalNamed(word string) (Signal, bool) {
	for s := 1; s < len(signals); s++ {
		if signals[s].word == word {
			return Signal(s), true
		}
	}
	return NoSignal, false
}

// String is the word a map uses: "input.fader".
func (s Signal) String() string { return signals[s].word }

// Of is the strip the signal belongs to.
func (s Signal) Of() Strip { return signals[s].of }

// Quantity is the sort of value the signal carries.
func (s Signal) Quantity() Quantity { return signals[s].quantity }

// Range is the least and greatest finite value a reading of s may have. A gain
// or a level may also be minus infinity.
func (s Signal) Range() (lo, hi float64) { return signals[s].lo, signals[s].hi }

// Holds reports whether v is a value a reading of s may have.
func (s Signal) Holds(v float64) bool {
	if math.IsInf(v, -1) {
		return s.Quantity() == Gain || s.Quantity() == Level
	}
	return v >= signals[s].lo && v <= signals[s].hi
}

// Control reports whether the signal is something a hand on the desk sets, so
// that a message to its address might move it. Meters and names are not.
func (s Signal) Control() bool {
	switch s.Quantity() {
	case Level:
		return s == InputCompThreshold || s == GroupThreshold
	case Reduction, Words:
		return false
	}
	return s != DeskAlive && s != NoSignal
}
