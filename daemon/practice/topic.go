package practice

// word is one kind of thing a desk can tell.
type word uint8

const (
	inputName word = iota
	inputFader
	inputMute
	dcaFader
	dcaMute
	groupFader
	groupMute
	groupThreshold
	groupRatio
	groupMakeUp
	mainFader
	mainMute

	firstMeter // the words below are meters
)

const (
	inputLevel word = firstMeter + iota
	groupLevelIn
	groupLevel
	groupReduction
	mainLevel
	words
)

// faderOf and muteOf are indexed by bank.
var (
	faderOf = [...]word{inputFader, dcaFader, groupFader, mainFader}
	muteOf  = [...]word{inputMute, dcaMute, groupMute, mainMute}
)

// bankOf is the bank whose strips a word is about.
var bankOf = [words]bank{
	inputName: inputs, inputFader: inputs, inputMute: inputs, inputLevel: inputs,
	dcaFader: dcas, dcaMute: dcas,
	groupFader: groups, groupMute: groups, groupThreshold: groups, groupRatio: groups, groupMakeUp: groups,
	groupLevelIn: groups, groupLevel: groups, groupReduction: groups,
	mainFader: mains, mainMute: mains, mainLevel: mains,
}

// strips is how many strips of each bank there are.
var strips = [...]int{len(seats), len(dcaNames), len(groupNames), 1}

// topic is one value that a desk can tell: which word, of which strip from 0.
type topic struct {
	word  word
	index int
}

// settings lists every topic that is no meter.
func settings() []topic { return topics(0, firstMeter) }

// meters lists every topic that is.
func meters() []topic { return topics(firstMeter, words) }

func topics(from, to word) []topic {
	var some []word
	for w := from; w < to; w++ {
		some = append(some, w)
	}
	return all(some...)
}

// all lists the topics of these words.
func all(of ...word) []topic {
	var list []topic
	for _, w := range of {
		for i := range strips[bankOf[w]] {
			list = append(list, topic{w, i})
		}
	}
	return list
}

// view is the desk as a dialect sees it when it has something to tell.
type view struct {
	board   *board
	needles *needles
}

// step is where a fader stands, 0 to steps. The topic must be a fader's.
func (v view) step(t topic) int { return v.board[bankOf[t.word]][t.index].step }

// muted is the state of a switch. The topic must be a mute's.
func (v view) muted(t topic) bool { return v.board[bankOf[t.word]][t.index].muted }

// number is any value that is no switch and no name, in dB or dBFS, and a
// compressor's ratio as it is. It may be minus infinity.
func (v view) number(t topic) float64 {
	switch t.word {
	case inputFader, dcaFader, groupFader, mainFader:
		return float64(stepGain(v.step(t)))
	case groupThreshold:
		return float64(squeezes[t.index].threshold)
	case groupRatio:
		return squeezes[t.index].ratio
	case groupMakeUp:
		return float64(squeezes[t.index].makeUp)
	case inputLevel:
		return float64(v.needles.input[t.index])
	case groupLevelIn:
		return float64(v.needles.groupIn[t.index])
	case groupLevel:
		return float64(v.needles.group[t.index])
	case groupReduction:
		return float64(v.needles.reduction[t.index])
	case mainLevel:
		return float64(v.needles.main)
	}
	return 0
}
