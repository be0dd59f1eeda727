package survey

import "fmt"

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

func (q question) text() string {
	const enter = ", wait two seconds, then press Enter."
	who := q.strip.first()
	switch {
	case q.act == calm:
		return "Best is if somebody plays into input 1 the whole time. Now nobody touches the desk: wait five seconds, then press Enter."
	case q.act == bottom && q.strip == inputStrip:
		return "Move input 1's fader to its very bottom" + enter
	case q.act == bottom:
		return fmt.Sprintf("Move %s's fader to its very bottom%s If there is none, type none.", who, enter)
	case q.act == top:
		return "Move it all the way to the top and type the number printed there, such as 10. If nothing is printed there, just press Enter."
	case q.act == zero:
		return "Move it to its 0 dB mark" + enter
	case q.act == mark && q.strip == mainStrip:
		return "Move it to its -10 mark" + enter + " If it has no such mark, use another and type its number."
	case q.more:
		return "Every further mark makes the scale better: move it to one and type its number. When that is enough, just press Enter."
	case q.act == mark:
		return "Move it to another printed mark below 0 and type its number, such as -10 or -30."
	case q.act == second:
		return "Move input 2's fader a little up and down" + enter
	case q.act == another:
		return fmt.Sprintf("Move the fader of %s %d a little up and down%s If there is none, type none.", map[strip]string{inputStrip: "input", dcaStrip: "DCA", groupStrip: "group"}[q.strip], q.n, enter)
	case q.act == mute:
		return fmt.Sprintf("Mute %s, then press Enter. If it has no mute, type none.", who)
	}
	return "Unmute it again, then press Enter."
}
