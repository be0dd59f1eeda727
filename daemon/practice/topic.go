package practice

// Bank is one kind of strip.
type Bank uint8

// The banks of the desk. There is one main, the other three have several strips.
const (
	Inputs Bank = iota
	DCAs
	Groups
	Main
)

// Kind is one kind of thing a desk can tell of a strip.
type Kind uint8

// The kinds. Names are told as text; faders, make-up gains and reductions are in
// dB, reductions counted upwards; levels and thresholds are in dBFS; a mute is
// on or off, and a ratio of 3 is 3:1.
const (
	InputName Kind = iota
	InputFader
	InputMute
	DCAFader
	DCAMute
	GroupFader
	GroupMute
	GroupThreshold
	GroupRatio
	GroupMakeUp
	MainFader
	MainMute

	firstMeter // the kinds below are meters
)

// The kinds that are meters. An input's level is behind its compressor and
// before its fader, a group's and
// the main's are after theirs; GroupLevelIn is before the group's compressor.
const (
	InputLevel Kind = firstMeter + iota
	GroupLevelIn
	GroupLevel
	GroupReduction
	MainLevel
	afterMeters
)

// The switches that hardly any service touches: whether an input is listened to
// alone, and whether it feeds the main directly. A desk tells them when they
// change, or among everything while they are not as usual; not every dialect
// has words for them.
const (
	InputSolo Kind = afterMeters + iota
	InputMain
)

// An input's compressor, in a hall that has them: three settings and a meter. Not
// every dialect has words for them.
const (
	InputThreshold Kind = InputMain + 1 + iota
	InputRatio
	InputMakeUp
	InputReduction
)

// faderOf and muteOf are indexed by bank.
var (
	faderOf = [...]Kind{InputFader, DCAFader, GroupFader, MainFader}
	muteOf  = [...]Kind{InputMute, DCAMute, GroupMute, MainMute}
)

// Bank is the bank whose strips a kind is about.
func (k Kind) Bank() Bank {
	switch k {
	case InputName, InputFader, InputMute, InputLevel, InputSolo, InputMain, InputThreshold, InputRatio, InputMakeUp, InputReduction:
		return Inputs
	case DCAFader, DCAMute:
		return DCAs
	case MainFader, MainMute, MainLevel:
		return Main
	}
	return Groups
}

// Strips is how many strips of the bank there are in Harbour Hall.
func (b Bank) Strips() int { return harbourHall.Strips(b) }

// Topic is one value that a desk can tell: what, and of which strip from 0.
type Topic struct {
	Kind  Kind
	Index int
}

// Strip is the name in Harbour Hall of the strip a topic is about, or "" for the main.
func (t Topic) Strip() string { return harbourHall.Strip(t) }

// Settings is Hall.Settings of Harbour Hall.
func Settings() []Topic { return harbourHall.Settings() }

// Meters is Hall.Meters of Harbour Hall.
func Meters() []Topic { return harbourHall.Meters() }

// Topics is Hall.Topics of Harbour Hall.
func Topics(of ...Kind) []Topic { return harbourHall.Topics(of...) }
