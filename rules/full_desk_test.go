package rules

import (
	"fmt"
	"math"
	"time"

	"pawl/rules/desk"
)

// fullDesk is the largest desk that is asked of us, with all that a house can tell of it:
// 64 inputs, 8 groups and 8 DCAs, a lead with harmonies, speakers behind mutes, elements of
// all five sorts, cues, a calibrated room and a running order. Everything is metered
// twenty times a second, and half a minute of sound goes round and round.
type fullDesk struct {
	*Judge
	sound [][]desk.Reading // by frame
	frame int
	all   []Entry // scratch
}

// The inputs of the full desk, each part of them with a DCA and a group of its own.
const (
	theLead     = 0
	harmonies   = 1
	speakers    = 7
	foundations = 11
	pads        = 23
	rhythms     = 33
	fills       = 45
	roomMics    = 55
	cues        = 61
	fullInputs  = 64
)

var fullParts = []struct {
	first int
	desk.Input
}{
	{theLead, desk.Input{Voice: true}}, // and the harmonies
	{speakers, desk.Input{Voice: true, Gate: -60}},
	{foundations, desk.Input{Element: desk.Foundation, Mic: true}},
	{pads, desk.Input{Element: desk.Pad}},
	{rhythms, desk.Input{Element: desk.Rhythm, Mic: true}},
	{fills, desk.Input{Element: desk.Fill, Mic: true}},
	{roomMics, desk.Input{Mic: true}},
	{cues, desk.Input{Cue: true}},
}

// partOf is an input's DCA and its group.
func partOf(i int) (part int) {
	for part < len(fullParts)-1 && i >= fullParts[part+1].first {
		part++
	}
	return part
}

const (
	framesASecond = 20
	soundFrames   = 30 * framesASecond // then it goes round
)

// newFullDesk has heard a minute of a song on which nothing is to be remarked.
func newFullDesk() *fullDesk {
	r := desk.Roster{}
	for range fullParts {
		r.DCAs, r.Groups = append(r.DCAs, fmt.Sprint("DCA ", len(r.DCAs)+1)), append(r.Groups, fmt.Sprint("group ", len(r.Groups)+1))
	}
	for i := range fullInputs {
		in := fullParts[partOf(i)].Input
		in.Name, in.DCAs, in.Groups = fmt.Sprint("input ", i+1), []int{partOf(i)}, []int{partOf(i)}
		r.Inputs = append(r.Inputs, in)
	}
	r.Inputs[theLead].Element = desk.Lead
	limits := DefaultLimits()
	limits.RoomLoud.Calibrated = "beside a class 2 meter"
	first := rhythms
	d := &fullDesk{Judge: NewJudge(r, limits, Options{Order: desk.Order{
		{Name: "a song", Kind: desk.Music, Primary: &first, Elements: map[int]desk.Element{rhythms + 11: desk.Fill}},
		{Name: "a reading", Kind: desk.Speech},
	}})}
	for i := range fullInputs {
		d.put(desk.InputFader, i, -10)
	}
	for i := speakers; i < foundations; i++ {
		d.put(desk.InputMute, i, 1)
	}
	for i := roomMics; i < fullInputs; i++ {
		d.put(desk.InputFader, i, math.Inf(-1))
	}
	for k := range fullParts {
		d.put(desk.DCAFader, k, 0)
		d.put(desk.GroupFader, k, 0)
		if k%2 == 0 { // how the others answer has to be learned
			d.put(desk.GroupThreshold, k, -26)
			d.put(desk.GroupRatio, k, 3)
		}
	}
	d.put(desk.MainFader, 0, 0)
	d.plays(playing, nil)
	d.press(Press{Do: NewSegment, Next: true})
	d.seconds(60)
	return d
}

func (d *fullDesk) put(s desk.Signal, index int, value float64) {
	d.Hear(desk.Reading{At: d.at, Signal: s, Index: index, Value: value})
}

// raise is a hand that moves a fader.
func (d *fullDesk) raise(s desk.Signal, m desk.Mover, by desk.DB) {
	v := d.view()
	d.put(s, m.Index, float64(v.Fader(m)+by))
}

func (d *fullDesk) press(p Press) {
	if err := d.Press(p); err != nil {
		panic(err)
	}
}

// seconds lets so many pass, with all that is metered.
func (d *fullDesk) seconds(n int) {
	for range n {
		d.frames(framesASecond)
		d.all = d.Take(d.all)
	}
}

func (d *fullDesk) frames(n int) {
	for range n {
		at := d.at + time.Second/framesASecond
		for _, r := range d.sound[d.frame] {
			r.At = at
			d.Hear(r)
		}
		d.frame = (d.frame + 1) % len(d.sound)
	}
}

// stays keeps what would be accepted after three minutes from being so.
func (d *fullDesk) stays() {
	for _, c := range d.rules {
		switch r := c.rule.(type) {
		case *ratchet:
			if r.episode != nil {
				r.episode.kept = d.playedBy()
			}
		case *mainDown:
			if r.drop != nil {
				r.drop.since = r.music.total
			}
		}
	}
}

// open lists the rules that hold something.
func (d *fullDesk) open() (rules []string) {
	for _, c := range d.rules {
		if len(c.open) > 0 {
			rules = append(rules, c.kind.Name)
		}
	}
	return rules
}

// player is what one input brings at a moment, in dBFS before its fader; silent for nothing.
type player func(i int, t float64) float64

const silent = -120

// playing is a song in good order: each has ups and downs of his own, and a rest at the end
// of his line, and the fills are in the lead's.
func playing(i int, t float64) float64 {
	part := partOf(i)
	line := []float64{5, 6, 7.5, 10}[i%4]
	rests := math.Mod(t+3.7*float64(i), line) > line-1.5
	if part == partOf(fills) {
		rests = math.Mod(t, 5) < 3.5+0.2*float64(i%6)
	}
	if rests || part == partOf(speakers) || part == partOf(roomMics) {
		return silent
	}
	level := -27 + float64(i%5) + 4*turns(i, t, 20+i) + 3*turns(i, t, 61-i/2)
	switch {
	case i == theLead:
		level += 6
	case part == partOf(theLead):
		level -= 6
	}
	return level
}

// turns goes up and down so often while the sound goes round.
func turns(i int, t float64, n int) float64 {
	return math.Sin(2*math.Pi*t*float64(n*framesASecond)/soundFrames + float64(i))
}

// plays makes the sound of this: what each hears of himself and, far below, of all the others, what
// the groups and the main get, and what their compressors make of it. Then it is changed.
func (d *fullDesk) plays(who player, change func(*desk.Reading)) {
	d.sound = make([][]desk.Reading, soundFrames)
	for n := range d.sound {
		add := func(s desk.Signal, index int, value float64) {
			r := desk.Reading{Signal: s, Index: index, Value: value}
			if change != nil {
				change(&r)
			}
			d.sound[n] = append(d.sound[n], r)
		}
		var own [fullInputs]desk.Power
		var stage desk.Power
		for i := range own {
			own[i] = desk.DBFS(who(i, float64(n)/framesASecond)).Power()
			stage += own[i]
		}
		v := d.mix.View()
		fed := make([]desk.Power, len(fullParts))
		for i, p := range own {
			if in := v.Input(i); in.HasMic() {
				p += (stage - p) * desk.Power(desk.DB(-38).Ratio())
			}
			add(desk.InputLevel, i, float64(p.Level()))
			add(desk.InputPeak, i, float64(p.Level()+10))
			add(desk.InputReduction, i, float64(max(p.Level()+24, 0)/3))
			fed[partOf(i)] += p * desk.Power(v.Gain(i).Ratio())
		}
		var main desk.Power
		for k, p := range fed {
			reduction := max(float64(p.Level())+26, 0) * 2 / 3
			add(desk.GroupLevelIn, k, float64(max(p.Level(), silent)))
			add(desk.GroupReduction, k, reduction)
			add(desk.GroupLevel, k, float64(max(p.Level(), silent))-reduction)
			main += p * desk.Power(desk.DB(-reduction).Ratio())
		}
		add(desk.MainLevel, 0, float64(main.Level()))
		add(desk.MainPeak, 0, float64(main.Level()+8))
		add(desk.RoomLevel, 0, float64(main.Level()+95))
	}
}

// troubled is the same song with much in it that is to be remarked.
func troubled(i int, t float64) float64 {
	switch level := playing(i, t); {
	case i == theLead:
		return level - 10
	case partOf(i) == partOf(theLead), i == rhythms+1:
		return level + 10
	case i == speakers: // behind a mute
		return -10 + 6*turns(i, t, 40)
	default:
		return level
	}
}

// trouble is a song with much that is to be remarked: what is played, and what hands make of
// it. What they did last holds for three minutes.
func (d *fullDesk) trouble() {
	for i := roomMics; i <= cues; i++ {
		d.put(desk.InputFader, i, -10)
		d.seconds(2) // all at once would be a scene
	}
	d.put(desk.InputSolo, pads, 1)
	d.plays(troubled, func(r *desk.Reading) {
		switch {
		case r.Signal == desk.GroupReduction && r.Index > partOf(speakers):
			r.Value += 4
		case r.Signal == desk.InputReduction && r.Index%4 == 0:
			r.Value += 12
		case r.Signal == desk.InputPeak && r.Index%8 == 0:
			r.Value = -1
		case r.Signal == desk.MainPeak:
			r.Value = 0
		case r.Signal == desk.RoomLevel:
			r.Value = 102
		}
	})
	raised := []int{foundations, pads, rhythms, fills}
	for range 4 { // each long after the last
		for _, i := range raised {
			d.raise(desk.DCAFader, dcaMover(partOf(i)), 1.8)
			d.seconds(50)
		}
	}
	for _, i := range raised {
		d.raise(desk.DCAFader, dcaMover(partOf(i)), 4)
		d.seconds(5)
	}
	d.raise(desk.MainFader, desk.Main, -3)
	d.seconds(20)
}

// unheard is a song in which the fills know no gaps, and of which nothing leaves the desk.
func (d *fullDesk) unheard() {
	d.plays(func(i int, t float64) float64 {
		if partOf(i) == partOf(fills) {
			return -16 + 2*turns(i, t, 20+i)
		}
		return playing(i, t)
	}, func(r *desk.Reading) {
		if r.Signal == desk.MainLevel {
			r.Value = silent
		}
	})
	d.seconds(180)
}

// reading is the part after the song: somebody speaks, the instruments hear it, and one of
// their players tunes.
func (d *fullDesk) reading() {
	d.press(Press{Do: NewSegment, Next: true})
	d.put(desk.InputMute, speakers, 0)
	d.plays(func(int, float64) float64 { return silent }, nil)
	d.seconds(20)
	d.plays(func(i int, t float64) float64 {
		switch {
		case i == speakers && math.Mod(t, 5) < 4:
			return -22 + 6*turns(i, t, 50)
		case i == rhythms+3 && math.Mod(t, 6) < 5:
			return -34 + 4*turns(i, t, 40)
		}
		return silent
	}, func(r *desk.Reading) {
		if r.Signal == desk.InputLevel && r.Index > fills && r.Index < roomMics {
			r.Value += 20
		}
	})
	d.seconds(60)
}

// notices are spoken after the song, and behind them some begin to play.
func (d *fullDesk) notices() {
	d.press(Press{Do: NewSegment, Next: true})
	d.put(desk.InputMute, speakers, 0)
	for _, who := range []int{-1, rhythms} {
		d.plays(func(i int, t float64) float64 {
			switch {
			case i == speakers && math.Mod(t, 5) < 4:
				return -22 + 4*turns(i, t, 50)
			case who >= 0 && i >= who && i < who+2:
				return -20 + 2*turns(i, t, 40)
			}
			return silent
		}, nil)
		d.seconds(30)
	}
}

// deskScenes are what may go on at the full desk, and the rules that then speak: every rule does in one.
var deskScenes = []struct {
	name string
	play func(*fullDesk)
	open []string
}{
	{"a song", func(*fullDesk) {}, nil},
	{"trouble", (*fullDesk).trouble, []string{
		"ratchet", "creep", "muted-voice", "stray-cue", "hot-input", "hot-main", "solo-raise", "open-mics", "squeezed-group", "squeezed-input",
		"main-down", "room-loud", "lead-behind", "harmony-forward", "second-over-first",
	}},
	{"unheard", (*fullDesk).unheard, []string{"quiet-main", "squeezed-group", "fill-over-lead", "crowded"}},
	{"a reading", (*fullDesk).reading, []string{"speech-remark"}},
	{"notices", (*fullDesk).notices, []string{"words-covered"}},
}
