package survey

import "pawl/rules"

// strip is a kind of strip on the desk that questions are asked about.
type strip uint8

const (
	inputStrip strip = iota
	dcaStrip
	groupStrip
	mainStrip
)

// String is the word a map uses.
func (s strip) String() string { return [...]string{"input", "dca", "group", "main"}[s] }

// several is several of them, as a person calls them.
func (s strip) several() string { return [...]string{"inputs", "DCAs", "groups", "mains"}[s] }

// first is the strip that is asked about, as a person calls it.
func (s strip) first() string { return [...]string{"input 1", "DCA 1", "group 1", "the main"}[s] }

// act is what the hand is asked to do.
type act uint8

const (
	calm act = iota // take the hands off
	bottom
	top
	zero
	mark
	mute
	unmute
	second  // the next strip's fader, where an address may count banks of strips
	another // the fader of strip n, where a message has those of several
)

// isFader reports whether the act moves a fader.
func (a act) isFader() bool { return a >= bottom && a <= mark }

// question is one thing that is asked.
type question struct {
	strip strip
	act   act
	more  bool // another mark, if there is one to give
	n     int  // which strip, where it is not the first
}

// maxMarks is how many printed marks of a fader are asked for at most, besides the
// top and 0 dB.
const maxMarks = 12

// questions is the whole of what is asked, in order. An installer who knows the
// desk is through in five minutes.
func questions() []question {
	q := []question{{act: calm}, {act: bottom}, {act: top}, {act: zero}, {act: mark}, {act: mark}}
	for range maxMarks - 2 {
		q = append(q, question{act: mark, more: true})
	}
	q = append(q, question{act: mute}, question{act: unmute})
	for _, s := range []strip{mainStrip, groupStrip, dcaStrip} {
		q = append(q, question{strip: s, act: bottom})
		if s == mainStrip { // how far its meter falls tells what meters are in
			q = append(q, question{strip: s, act: mark})
		}
		q = append(q, question{strip: s, act: zero}, question{strip: s, act: mute}, question{strip: s, act: unmute})
	}
	return q
}

// phrase is the question itself.
func (q question) phrase() rules.Phrase {
	switch {
	case q.act == calm:
		return put(rules.Say("guide.calm"), byDone)
	case q.act == bottom && q.strip == inputStrip:
		return put(rules.Say("guide.bottom-first"), byDone)
	case q.act == bottom:
		return put(rules.Say("guide.bottom"), q.strip.named(), byDone, byNone)
	case q.act == top:
		return put(rules.Say("guide.top"), byDone)
	case q.act == zero:
		return put(rules.Say("guide.mark-zero"), byDone)
	case q.act == mark && q.strip != inputStrip:
		return put(rules.Say("guide.mark-main"), byDone, byNumber)
	case q.more:
		return put(rules.Say("guide.mark-more"), byNumber, byDone)
	case q.act == mark:
		return put(rules.Say("guide.mark"), byNumber)
	case q.act == second:
		return put(rules.Say("guide.second"), byDone)
	case q.act == another:
		return put(rules.Say("guide.another"), q.strip.numbered("strip", q.n), byDone, byNone)
	case q.act == mute:
		return put(rules.Say("guide.mute"), q.strip.named(), byDone, byNone)
	}
	return put(rules.Say("guide.unmute"), byDone)
}
