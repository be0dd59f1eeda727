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
	InputLowCut
	InputCompThreshold
	InputCompRatio
	InputCompMakeUp
	InputCompAttack
	InputCompRelease
	DCAFader
	DCAMute
	DCAName
	GroupFader
	GroupMute
	GroupLevelIn
	GroupLevel
	GroupPeak
	GroupReduction
	GroupThreshold
	GroupRatio
	GroupKnee
	GroupMakeUp
	GroupAttack
	GroupRelease
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
func (s Strip) String() string { return stripWords[s] }

var stripWords = []string{"", "input", "dca", "group", "main", "room", "scene", "desk"}

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
	Duration            // milliseconds: how fast a compressor takes hold or lets go
)

// String is the quantity in words, for messages to the person writing a map.
func (q Quantity) String() string {
	return [...]string{"nothing", "a gain in dB", "a level in dBFS", "gain reduction in dB", "on or off",
		"a name", "a number", "a ratio", "a time in milliseconds"}[q]
}

// Unit is the unit of Reading.Value as it is written after a number, and "" for
// what has none: a switch, a name, a number, a ratio.
func (q Quantity) Unit() string {
	return [...]string{"", "dB", "dBFS", "dB", "", "", "", "", "ms"}[q]
}

type signalRow struct {
	word     string
	of       Strip
	quantity Quantity
	lo, hi   float64 // of a finite Value; outside is clamped by the map and counted
	meaning  string  // a sentence for whoever writes a map, with the sense of its values
}

// The ranges are wider than any desk's, on purpose: they exist to stop a wrong
// map from poisoning the sums, not to describe good practice.
var signals = [...]signalRow{
	NoSignal: {},
	InputFader: {"input.fader", StripInput, Gain, -200, 40,
		"Where the hand has put the fader of an input: 0 is unity, minus infinity is closed; its DCAs and mute are not in it."},
	InputMute: {"input.mute", StripInput, Switch, 0, 1,
		"An input is muted: on is silent."},
	InputLevel: {"input.level", StripInput, Level, -200, 40,
		"What an input's meter shows, before its fader or after it as the map's tap says."},
	InputPeak: {"input.peak", StripInput, Level, -200, 40,
		"What an input's peak meter shows, before its fader or after it as the map's tap says."},
	InputReduction: {"input.reduction", StripInput, Reduction, 0, 100,
		"How much the input's compressor turns it down at this moment; 6 is 6 dB quieter."},
	InputName: {"input.name", StripInput, Words, 0, 0,
		"What the desk calls an input."},
	InputSolo: {"input.solo", StripInput, Switch, 0, 1,
		"An input is listened to alone: on is soloed. What that does to the room is the desk's affair."},
	InputDCA: {"input.dca", StripInput, Switch, 0, 1,
		"An input follows a DCA: on is a member."},
	InputGroup: {"input.group", StripInput, Switch, 0, 1,
		"An input feeds a group: on is a member."},
	InputMain: {"input.main", StripInput, Switch, 0, 1,
		"An input feeds the main directly, whatever its groups do: on is fed."},
	InputSourceGain: {"input.source-gain", StripInput, Gain, -100, 100,
		"The gain ahead of everything else in an input, of the microphone amplifier or a digital trim."},
	InputLowCut: {"input.low-cut", StripInput, Switch, 0, 1,
		"The filter that takes the lowest notes out of an input: on is in use."},
	InputCompThreshold: {"input.comp-threshold", StripInput, Level, -200, 40,
		"The level above which the input's compressor turns it down."},
	InputCompRatio: {"input.comp-ratio", StripInput, Proportion, 1, 1000,
		"How firmly the input's compressor turns it down above that level: 3 is 3:1, 1 is not at all."},
	InputCompMakeUp: {"input.comp-makeup", StripInput, Gain, -100, 100,
		"What is added after the input's compressor."},
	InputCompAttack: {"input.comp-attack", StripInput, Duration, 0, 60000,
		"How soon the input's compressor takes hold; it is shown, and nothing is judged by it."},
	InputCompRelease: {"input.comp-release", StripInput, Duration, 0, 60000,
		"How soon the input's compressor lets go; it is shown, and nothing is judged by it."},
	DCAFader: {"dca.fader", StripDCA, Gain, -200, 40,
		"Where the hand has put the fader of a DCA: 0 moves nothing, minus infinity closes its members."},
	DCAMute: {"dca.mute", StripDCA, Switch, 0, 1,
		"A DCA is muted: on silences its members."},
	DCAName: {"dca.name", StripDCA, Words, 0, 0,
		"What the desk calls a DCA."},
	GroupFader: {"group.fader", StripGroup, Gain, -200, 40,
		"Where the hand has put the fader of a group: 0 is unity, minus infinity is closed."},
	GroupMute: {"group.mute", StripGroup, Switch, 0, 1,
		"A group is muted: on is silent."},
	GroupLevelIn: {"group.level-in", StripGroup, Level, -200, 40,
		"The level of a group ahead of its compressor."},
	GroupLevel: {"group.level", StripGroup, Level, -200, 40,
		"The level of a group after its compressor and its fader."},
	GroupPeak: {"group.peak", StripGroup, Level, -200, 40,
		"What a group's peak meter shows, after its compressor."},
	GroupReduction: {"group.reduction", StripGroup, Reduction, 0, 100,
		"How much the group's compressor turns it down at this moment; 6 is 6 dB quieter."},
	GroupThreshold: {"group.threshold", StripGroup, Level, -200, 40,
		"The level above which the group's compressor turns it down."},
	GroupRatio: {"group.ratio", StripGroup, Proportion, 1, 1000,
		"How firmly the group's compressor turns it down above that level: 3 is 3:1, 1 is not at all."},
	GroupKnee: {"group.knee", StripGroup, Gain, 0, 100,
		"Over how many dB round the threshold the group's compressor comes in; 0 is a corner."},
	GroupMakeUp: {"group.makeup", StripGroup, Gain, -100, 100,
		"What is added after the group's compressor."},
	GroupAttack: {"group.attack", StripGroup, Duration, 0, 60000,
		"How soon the group's compressor takes hold; it is shown, and nothing is judged by it."},
	GroupRelease: {"group.release", StripGroup, Duration, 0, 60000,
		"How soon the group's compressor lets go; it is shown, and nothing is judged by it."},
	GroupName: {"group.name", StripGroup, Words, 0, 0,
		"What the desk calls a group."},
	MainFader: {"main.fader", StripMain, Gain, -200, 40,
		"Where the hand has put the main fader: 0 is unity, minus infinity is closed."},
	MainMute: {"main.mute", StripMain, Switch, 0, 1,
		"The main is muted: on is silent."},
	MainLevel: {"main.level", StripMain, Level, -200, 40,
		"What the main's meter shows."},
	MainPeak: {"main.peak", StripMain, Level, -200, 40,
		"What the main's peak meter shows."},
	MainReduction: {"main.reduction", StripMain, Reduction, 0, 100,
		"How much a compressor or limiter turns the main down at this moment; 6 is 6 dB quieter."},
	RoomLevel: {"room.level", StripRoom, Level, -200, 200,
		"The level in the room as a measuring microphone has it: dB(A), or as the house calibrates it."},
	SceneNumber: {"scene.number", StripScene, Number, -1e6, 1e6,
		"The number of the scene that was recalled last."},
	SceneName: {"scene.name", StripScene, Words, 0, 0,
		"The name of the scene that was recalled last."},
	DeskAlive: {"desk.alive", StripDesk, Switch, 0, 1,
		"The desk is there: any message to the address is a sign of life."},
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

// Meaning is a sentence on what the signal says, for whoever writes a map. It
// names the sense of the values; their unit is the Quantity's.
func (s Signal) Meaning() string { return signals[s].meaning }

// Of is the strip the signal belongs to.
func (s Signal) Of() Strip { return signals[s].of }

// Quantity is the sort of value the signal carries.
func (s Signal) Quantity() Quantity { return signals[s].quantity }

// Unit is the unit of a reading's value as it is written after a number, "" for a
// signal that has none.
func (s Signal) Unit() string {
	if s == RoomLevel {
		return "dB(A)"
	}
	return s.Quantity().Unit()
}

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

// StandIn is the signal that is judged by where the desk does not tell this one:
// input.peak for input.level, main.peak for main.level. Others have none.
func (s Signal) StandIn() (Signal, bool) {
	switch s {
	case InputLevel:
		return InputPeak, true
	case MainLevel:
		return MainPeak, true
	}
	return NoSignal, false
}

// Control reports whether the signal can be set from outside, so that a message
// to its address might change something: a name and a scene as much as a fader.
// Only meters and the sign of life cannot.
func (s Signal) Control() bool {
	switch s.Quantity() {
	case Level:
		return s == InputCompThreshold || s == GroupThreshold
	case Reduction:
		return false
	}
	return s != DeskAlive && s != NoSignal
}

// Meter reports whether the signal shows what is played or what becomes of it, which no
// hand sets: a level or a reduction.
func (s Signal) Meter() bool { return s != NoSignal && s != DeskAlive && !s.Control() }
