package survey

import (
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync/atomic"
	"unicode"

	"pawl/daemon/practice"
)

// Eight desks by somebody who has not seen the guessing. Every address and every layout is invented.

const (
	blindThreeInputs = 16
	blindThreeDCAs   = 4
	blindThreeGroups = 4
)

func blind3() []furtherDialect {
	return []furtherDialect{
		blindThreeWords(),
		blindThreeFrames(),
		blindThreeWeave(),
		blindThreePages(),
		blindThreeSource(),
		blindThreeAnswers(),
		blindThreeSeats(),
		blindThreeMedley(),
	}
}

// ---- what several of them need

// blindThreePoint is a point of a taper; below the first one a power of the travel leads to nothing.
type blindThreePoint struct{ at, dB, power float64 }

// blindThreeTaper goes from nothing at 0 through its points.
type blindThreeTaper []blindThreePoint

// travel is the position at which a taper gives so many dB.
func (points blindThreeTaper) travel(dB float64) float64 {
	if math.IsInf(dB, -1) || math.IsNaN(dB) {
		return 0
	}
	first := points[0]
	if dB <= first.dB {
		power := first.power
		if power == 0 {
			power = 1
		}
		return first.at * math.Pow(10, (dB-first.dB)/20/power)
	}
	for i := 1; i < len(points); i++ {
		low, high := points[i-1], points[i]
		if dB <= high.dB {
			return low.at + (high.at-low.at)*(dB-low.dB)/(high.dB-low.dB)
		}
	}
	return points[len(points)-1].at
}

// yaml writes a taper as the map has it.
func (points blindThreeTaper) yaml() string {
	out := "[[0, -inf]"
	for _, p := range points {
		at, dB := strconv.FormatFloat(p.at, 'f', -1, 64), strconv.FormatFloat(p.dB, 'f', -1, 64)
		if p.power != 0 {
			out += fmt.Sprintf(", {at: %s, dB: %s, power: %g}", at, dB, p.power)
		} else {
			out += fmt.Sprintf(", [%s, %s]", at, dB)
		}
	}
	return out + "]"
}

// blindThreeNeedles rise at once and fall by so many dB at each move.
type blindThreeNeedles struct {
	fall float64
	at   map[practice.Topic]float64
}

func blindThreeFalling(fall float64) *blindThreeNeedles {
	return &blindThreeNeedles{fall: fall, at: map[practice.Topic]float64{}}
}

func (n *blindThreeNeedles) move(t practice.Topic, level float64) float64 {
	before, known := n.at[t]
	if !known {
		before = math.Inf(-1)
	}
	now := math.Max(level, before-n.fall)
	if now < -130 {
		now = math.Inf(-1)
	}
	n.at[t] = now
	return now
}

// blindThreeAverages are needles that follow the mean power; share is how far they go at each move.
type blindThreeAverages struct {
	share float64
	at    map[practice.Topic]float64
}

func blindThreeSlow(share float64) *blindThreeAverages {
	return &blindThreeAverages{share: share, at: map[practice.Topic]float64{}}
}

// move gives the mean power: 1 is full scale, 0 is nothing.
func (n *blindThreeAverages) move(t practice.Topic, level float64) float64 {
	power := math.Pow(10, level/10)
	before, known := n.at[t]
	if !known {
		before = power
	}
	now := before + n.share*(power-before)
	if now < 1e-13 {
		now = 0
	}
	n.at[t] = now
	return now
}

func blindThreeTopic(kind practice.Kind, i int) practice.Topic {
	return practice.Topic{Kind: kind, Index: i}
}

func blindThreeNumber(v practice.View, kind practice.Kind, i int) float64 {
	return v.Number(blindThreeTopic(kind, i))
}

func blindThreeSolo(v practice.View, i int) bool {
	return blindThreeNumber(v, practice.InputSolo, i) > 0.5
}

func blindThreeName(v practice.View, i int) string {
	return v.Hall().Strip(blindThreeTopic(practice.InputName, i))
}

// blindThreeAfter is an input's level behind its fader and its mute.
func blindThreeAfter(v practice.View, i int) float64 {
	if v.Muted(blindThreeTopic(practice.InputMute, i)) {
		return math.Inf(-1)
	}
	return blindThreeNumber(v, practice.InputLevel, i) + blindThreeNumber(v, practice.InputFader, i)
}

func blindThreeBit(on bool) int32 {
	if on {
		return 1
	}
	return 0
}

// blindThreeWhole rounds and keeps to the bounds; minus infinity is the lower one.
func blindThreeWhole(x, low, high float64) int {
	if math.IsNaN(x) || x < low {
		return int(low)
	}
	return int(math.Round(math.Min(x, high)))
}

// ---- 1: text

// blindThreeWords says everything in words for people, with decimal commas: gains with their
// unit, meters as a list of short numbers. A strip's switch is ON when it sounds. Its meters
// stand before the fader and fall by 20 dB in a second.
func blindThreeWords() furtherDialect {
	comma := func(x float64) string {
		if math.IsInf(x, -1) || x < -95 {
			return "-inf"
		}
		x = math.Round(x*10)/10 + 0
		return strings.Replace(strconv.FormatFloat(x, 'f', 1, 64), ".", ",", 1)
	}
	gain := func(x float64) string {
		text := comma(x) + " dB"
		if x >= 0.05 {
			text = "+" + text
		}
		return text
	}
	sounds := func(muted bool) string {
		if muted {
			return "OFF"
		}
		return "ON"
	}
	colours := []string{"teal", "amber", "plum", "slate", "moss"}
	needles := blindThreeFalling(2)
	calls := 0
	return furtherDialect{
		name: "blind3 words",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			lane := fmt.Sprintf("/lane/%d/", t.Index+1)
			sum := fmt.Sprintf("/sum/%d/", t.Index+1)
			handle := fmt.Sprintf("/handle/%d/", t.Index+1)
			switch t.Kind {
			case practice.InputName:
				say(lane+"title", v.Hall().Strip(t))
				say(lane+"paint", colours[t.Index%len(colours)])
			case practice.InputFader:
				say(lane+"volume", gain(v.Number(t)))
			case practice.InputMute:
				say(lane+"switch", sounds(v.Muted(t)))
			case practice.InputSolo:
				if v.Number(t) > 0.5 {
					say(lane+"listen", "yes")
				} else {
					say(lane+"listen", "no")
				}
			case practice.DCAFader:
				say(handle+"volume", gain(v.Number(t)))
			case practice.DCAMute:
				say(handle+"switch", sounds(v.Muted(t)))
			case practice.GroupFader:
				say(sum+"volume", gain(v.Number(t)))
			case practice.GroupMute:
				say(sum+"switch", sounds(v.Muted(t)))
			case practice.MainFader:
				say("/house/volume", gain(v.Number(t)))
			case practice.MainMute:
				say("/house/switch", sounds(v.Muted(t)))
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			if calls%20 == 0 {
				s := calls/20 + 68400
				say("/wall-clock", fmt.Sprintf("%02d:%02d:%02d", s/3600%24, s/60%60, s%60))
			}
			if calls%2 == 1 {
				return
			}
			var levels, squeeze, sums []any
			for i := range blindThreeInputs {
				t := blindThreeTopic(practice.InputLevel, i)
				levels = append(levels, comma(needles.move(t, v.Number(t))))
				squeeze = append(squeeze, comma(blindThreeNumber(v, practice.InputReduction, i)))
			}
			for i := range blindThreeGroups {
				t := blindThreeTopic(practice.GroupLevel, i)
				sums = append(sums, comma(needles.move(t, v.Number(t))))
			}
			house := blindThreeTopic(practice.MainLevel, 0)
			say("/lane/needles", levels...)
			say("/lane/squeeze", squeeze...)
			say("/sum/needles", sums...)
			say("/house/needle", comma(needles.move(house, v.Number(house))))
		},
		truth: `signals:
  - hear: /lane/{input:1-16}/title
    is: input.name
  - hear: /lane/{input:1-16}/volume
    is: input.fader
    value: {arg: 0, unit: dB}
  - hear: /lane/{input:1-16}/switch
    is: input.mute
    value: {arg: 0, words: {"ON": off, "OFF": on}}
  - hear: /lane/{input:1-16}/listen
    is: input.solo
    value: {arg: 0, words: {"yes": on, "no": off}}
  - hear: /lane/needles
    is: input.level
    tap: pre-fader
    value: {args: 0, each: input:1-16, unit: dBFS}
  - hear: /lane/squeeze
    is: input.reduction
    value: {args: 0, each: input:1-16, unit: dB, sign: positive}
  - hear: /handle/{dca:1-4}/volume
    is: dca.fader
    value: {arg: 0, unit: dB}
  - hear: /handle/{dca:1-4}/switch
    is: dca.mute
    value: {arg: 0, words: {"ON": off, "OFF": on}}
  - hear: /sum/{group:1-4}/volume
    is: group.fader
    value: {arg: 0, unit: dB}
  - hear: /sum/{group:1-4}/switch
    is: group.mute
    value: {arg: 0, words: {"ON": off, "OFF": on}}
  - hear: /sum/needles
    is: group.level
    value: {args: 0, each: group:1-4, unit: dBFS}
  - hear: /house/volume
    is: main.fader
    value: {arg: 0, unit: dB}
  - hear: /house/switch
    is: main.mute
    value: {arg: 0, words: {"ON": off, "OFF": on}}
  - hear: /house/needle
    is: main.level
    value: {arg: 0, unit: dBFS}
`,
	}
}

// ---- 2: blobs

// blindThreeFrames says all but the names in blobs, low byte first: meters in 256ths of a dB behind
// a header of eight bytes, compressors in quarters of a dB, and at each move of a fader the
// converters' readings (0 to 4095) of all 25 of them; likewise all mutes and all solos.
func blindThreeFrames() furtherDialect {
	taper := blindThreeTaper{{at: 300, dB: -54}, {at: 1100, dB: -32}, {at: 2150, dB: -11}, {at: 3120, dB: 0}, {at: 4095, dB: 6}}
	var serial atomic.Uint32
	header := func(count int) []byte {
		b := binary.LittleEndian.AppendUint32(nil, serial.Add(1))
		b = binary.LittleEndian.AppendUint16(b, uint16(count))
		return append(b, 0x5e, 0x01)
	}
	calls := 0
	return furtherDialect{
		name: "blind3 frames",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			switch t.Kind {
			case practice.InputName:
				say("/frame/label", int32(t.Index), v.Hall().Strip(t))
			case practice.InputFader, practice.GroupFader, practice.DCAFader, practice.MainFader:
				b := header(25)
				put := func(kind practice.Kind, n int) {
					for i := range n {
						at := blindThreeWhole(taper.travel(blindThreeNumber(v, kind, i)), 0, 4095)
						b = binary.LittleEndian.AppendUint16(b, uint16(at))
					}
				}
				put(practice.InputFader, blindThreeInputs)
				put(practice.GroupFader, blindThreeGroups)
				put(practice.DCAFader, blindThreeDCAs)
				put(practice.MainFader, 1)
				say("/frame/travel", b)
			case practice.InputMute, practice.GroupMute, practice.DCAMute, practice.MainMute:
				var b []byte
				put := func(kind practice.Kind, n int) {
					for i := range n {
						b = append(b, byte(blindThreeBit(v.Muted(blindThreeTopic(kind, i)))))
					}
				}
				put(practice.InputMute, blindThreeInputs)
				put(practice.GroupMute, blindThreeGroups)
				put(practice.DCAMute, blindThreeDCAs)
				put(practice.MainMute, 1)
				say("/frame/cuts", b)
			case practice.InputSolo:
				var b []byte
				for i := range blindThreeInputs {
					b = append(b, byte(blindThreeBit(blindThreeSolo(v, i))))
				}
				say("/frame/listen", b)
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			b := header(21)
			put := func(kind practice.Kind, n int) {
				for i := range n {
					x := blindThreeNumber(v, kind, i)
					raw := -32768
					if x > -120 {
						raw = blindThreeWhole(x*256, -32767, 32767)
					}
					b = binary.LittleEndian.AppendUint16(b, uint16(int16(raw)))
				}
			}
			put(practice.InputLevel, blindThreeInputs)
			put(practice.GroupLevel, blindThreeGroups)
			put(practice.MainLevel, 1)
			say("/frame/needles", b)
			if calls%2 == 0 {
				var b []byte
				for i := range blindThreeInputs {
					b = append(b, byte(blindThreeWhole(4*blindThreeNumber(v, practice.InputReduction, i), 0, 255)))
				}
				for i := range blindThreeGroups {
					b = append(b, byte(blindThreeWhole(4*blindThreeNumber(v, practice.GroupReduction, i), 0, 255)))
				}
				say("/frame/squeeze", b)
			}
			if calls%60 == 0 {
				// The heat of three cards, in tenths of a degree.
				var heat []byte
				for i := range 3 {
					heat = binary.LittleEndian.AppendUint16(heat, uint16(412+7*i+calls/60%5))
				}
				say("/frame/heat", heat)
			}
		},
		truth: `tapers:
  travel: ` + taper.yaml() + `
signals:
  - hear: /frame/label
    is: input.name
    which: {input: 0-15, arg: 0}
    value: {arg: 1}
  - hear: /frame/travel
    is: input.fader
    value: {blob: 0, of: uint16-le, skip: 8, each: input:1-16, taper: travel}
  - hear: /frame/travel
    is: group.fader
    value: {blob: 0, of: uint16-le, skip: 40, each: group:1-4, taper: travel}
  - hear: /frame/travel
    is: dca.fader
    value: {blob: 0, of: uint16-le, skip: 48, each: dca:1-4, taper: travel}
  - hear: /frame/travel
    is: main.fader
    value: {blob: 0, of: uint16-le, skip: 56, taper: travel}
  - hear: /frame/cuts
    is: input.mute
    value: {blob: 0, of: uint8, each: input:1-16}
  - hear: /frame/cuts
    is: group.mute
    value: {blob: 0, of: uint8, skip: 16, each: group:1-4}
  - hear: /frame/cuts
    is: dca.mute
    value: {blob: 0, of: uint8, skip: 20, each: dca:1-4}
  - hear: /frame/cuts
    is: main.mute
    value: {blob: 0, of: uint8, skip: 24}
  - hear: /frame/listen
    is: input.solo
    value: {blob: 0, of: uint8, each: input:1-16}
  - hear: /frame/needles
    is: input.level
    tap: pre-fader
    value: {blob: 0, of: int16-le, skip: 8, each: input:1-16, unit: dB/256, minus-infinity: -32768}
  - hear: /frame/needles
    is: group.level
    value: {blob: 0, of: int16-le, skip: 40, each: group:1-4, unit: dB/256, minus-infinity: -32768}
  - hear: /frame/needles
    is: main.level
    value: {blob: 0, of: int16-le, skip: 48, unit: dB/256, minus-infinity: -32768}
  - hear: /frame/squeeze
    is: input.reduction
    value: {blob: 0, of: uint8, each: input:1-16, unit: dB, scale: 0.25, sign: positive}
  - hear: /frame/squeeze
    is: group.reduction
    value: {blob: 0, of: uint8, skip: 16, each: group:1-4, unit: dB, scale: 0.25, sign: positive}
`,
	}
}

// ---- 3: interleaved

// blindThreeWeave says its whole state in one blob, ten times a second and at each change: eight
// bytes for each input (level behind the fader in hundredths, reduction likewise and below
// nothing, position in thousandths, muted, soloed), then a tail with groups, DCAs, main and the
// number of the frame. Names alone go by themselves, numbered with two digits.
func blindThreeWeave() furtherDialect {
	taper := blindThreeTaper{{at: 620, dB: -12, power: 3}, {at: 1000, dB: 6}}
	var frame atomic.Uint32
	state := func(v practice.View) []byte {
		var b []byte
		level := func(x float64) {
			raw := -20000
			if x > -150 {
				raw = blindThreeWhole(100*x, -15000, 4000)
			}
			b = binary.BigEndian.AppendUint16(b, uint16(int16(raw)))
		}
		less := func(x float64) {
			b = binary.BigEndian.AppendUint16(b, uint16(int16(blindThreeWhole(-100*x, -9000, 0))))
		}
		at := func(kind practice.Kind, i int) {
			x := taper.travel(blindThreeNumber(v, kind, i))
			b = binary.BigEndian.AppendUint16(b, uint16(blindThreeWhole(x, 0, 1000)))
		}
		cut := func(kind practice.Kind, i int) {
			b = append(b, byte(blindThreeBit(v.Muted(blindThreeTopic(kind, i)))))
		}
		for i := range blindThreeInputs {
			level(blindThreeAfter(v, i))
			less(blindThreeNumber(v, practice.InputReduction, i))
			at(practice.InputFader, i)
			cut(practice.InputMute, i)
			b = append(b, byte(blindThreeBit(blindThreeSolo(v, i))))
		}
		for i := range blindThreeGroups {
			level(blindThreeNumber(v, practice.GroupLevel, i))
			less(blindThreeNumber(v, practice.GroupReduction, i))
			at(practice.GroupFader, i)
			cut(practice.GroupMute, i)
			b = append(b, 0)
		}
		for i := range blindThreeDCAs {
			at(practice.DCAFader, i)
			cut(practice.DCAMute, i)
			b = append(b, 0)
		}
		level(blindThreeNumber(v, practice.MainLevel, 0))
		at(practice.MainFader, 0)
		cut(practice.MainMute, 0)
		b = append(b, 0)
		return binary.BigEndian.AppendUint32(b, frame.Add(1))
	}
	calls := 0
	return furtherDialect{
		name: "blind3 weave",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			switch t.Kind {
			case practice.InputName:
				say(fmt.Sprintf("/weave/tag/%02d", t.Index+1), v.Hall().Strip(t))
			case practice.InputFader, practice.InputMute, practice.InputSolo, practice.DCAFader, practice.DCAMute,
				practice.GroupFader, practice.GroupMute, practice.MainFader, practice.MainMute:
				say("/weave/now", state(v))
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			if calls%2 == 0 {
				say("/weave/now", state(v))
			}
			if calls%100 == 0 {
				say("/weave/sync", int32(calls/100), "48k", int32(0))
			}
		},
		truth: `tapers:
  way: ` + taper.yaml() + `
signals:
  - hear: /weave/tag/{input:01-16}
    is: input.name
  - hear: /weave/now
    is: input.level
    tap: post-fader
    value: {blob: 0, of: int16-be, skip: 0, stride: 8, each: input:1-16, unit: centi-dB, minus-infinity: -20000}
  - hear: /weave/now
    is: input.reduction
    value: {blob: 0, of: int16-be, skip: 2, stride: 8, each: input:1-16, unit: centi-dB, sign: negative}
  - hear: /weave/now
    is: input.fader
    value: {blob: 0, of: uint16-be, skip: 4, stride: 8, each: input:1-16, taper: way}
  - hear: /weave/now
    is: input.mute
    value: {blob: 0, of: uint8, skip: 6, stride: 8, each: input:1-16}
  - hear: /weave/now
    is: input.solo
    value: {blob: 0, of: uint8, skip: 7, stride: 8, each: input:1-16}
  - hear: /weave/now
    is: group.level
    value: {blob: 0, of: int16-be, skip: 128, stride: 8, each: group:1-4, unit: centi-dB, minus-infinity: -20000}
  - hear: /weave/now
    is: group.reduction
    value: {blob: 0, of: int16-be, skip: 130, stride: 8, each: group:1-4, unit: centi-dB, sign: negative}
  - hear: /weave/now
    is: group.fader
    value: {blob: 0, of: uint16-be, skip: 132, stride: 8, each: group:1-4, taper: way}
  - hear: /weave/now
    is: group.mute
    value: {blob: 0, of: uint8, skip: 134, stride: 8, each: group:1-4}
  - hear: /weave/now
    is: dca.fader
    value: {blob: 0, of: uint16-be, skip: 160, stride: 4, each: dca:1-4, taper: way}
  - hear: /weave/now
    is: dca.mute
    value: {blob: 0, of: uint8, skip: 162, stride: 4, each: dca:1-4}
  - hear: /weave/now
    is: main.level
    value: {blob: 0, of: int16-be, skip: 176, unit: centi-dB, minus-infinity: -20000}
  - hear: /weave/now
    is: main.fader
    value: {blob: 0, of: uint16-be, skip: 178, taper: way}
  - hear: /weave/now
    is: main.mute
    value: {blob: 0, of: uint8, skip: 180}
`,
	}
}

// ---- 4: bank lists

// blindThreePages has its strips on pages of four, a to d, and says a page's four values at once:
// positions from 0 to 1 along a curve, switches that are 1 when the strip sounds, names, solos.
// Meters are the share of a bar from -60 to +6 dBFS behind the fader, fall by 26 dB in a second,
// and come by turns: two pages at each call.
func blindThreePages() furtherDialect {
	// The curve is 6 - 78 * (1-x)^1.7 dB, in steps of a fortieth; below the first step it closes.
	var taper blindThreeTaper
	for i := 1; i <= 40; i++ {
		x := float64(i) / 40
		dB := 6 - 78*math.Pow(1-x, 1.7)
		taper = append(taper, blindThreePoint{at: x, dB: math.Round(dB*1000) / 1000})
	}
	pages := []string{"a", "b", "c", "d"}
	four := func(from int, one func(i int) any) []any {
		var out []any
		for i := from; i < from+4; i++ {
			out = append(out, one(i))
		}
		return out
	}
	bar := func(dB float64) float32 {
		return float32(math.Max(0, math.Min(1, (dB+60)/66)))
	}
	needles := blindThreeFalling(1.3)
	calls := 0

	truth := "tapers:\n  bow: " + taper.yaml() + "\nsignals:\n"
	for p, page := range pages {
		each := fmt.Sprintf("input:%d-%d", 4*p+1, 4*p+4)
		truth += `  - hear: /page/` + page + `/rise
    is: input.fader
    value: {args: 0, each: ` + each + `, taper: bow}
  - hear: /page/` + page + `/lit
    is: input.mute
    value: {args: 0, each: ` + each + `, invert: true}
  - hear: /page/` + page + `/cue
    is: input.solo
    value: {args: 0, each: ` + each + `}
  - hear: /page/` + page + `/text
    is: input.name
    value: {args: 0, each: ` + each + `}
  - hear: /page/` + page + `/glow
    is: input.level
    tap: post-fader
    value: {args: 0, each: ` + each + `, unit: dBFS, scale: 66, offset: -60, minus-infinity: 0}
  - hear: /page/` + page + `/dip
    is: input.reduction
    value: {args: 0, each: ` + each + `, unit: dB, sign: positive}
`
	}
	truth += `  - hear: /page/subs/rise
    is: group.fader
    value: {args: 0, each: group:1-4, taper: bow}
  - hear: /page/subs/lit
    is: group.mute
    value: {args: 0, each: group:1-4, invert: true}
  - hear: /page/subs/glow
    is: group.level
    value: {args: 0, each: group:1-4, unit: dBFS, scale: 66, offset: -60, minus-infinity: 0}
  - hear: /page/subs/dip
    is: group.reduction
    value: {args: 0, each: group:1-4, unit: dB, sign: positive}
  - hear: /page/reins/rise
    is: dca.fader
    value: {args: 0, each: dca:1-4, taper: bow}
  - hear: /page/reins/lit
    is: dca.mute
    value: {args: 0, each: dca:1-4, invert: true}
  - hear: /page/end/rise
    is: main.fader
    value: {arg: 0, taper: bow}
  - hear: /page/end/lit
    is: main.mute
    value: {arg: 0, invert: true}
  - hear: /page/end/glow
    is: main.level
    value: {arg: 0, unit: dBFS, scale: 66, offset: -60, minus-infinity: 0}
`
	return furtherDialect{
		name: "blind3 pages",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			rise := func(i int) any { return float32(taper.travel(blindThreeNumber(v, t.Kind, i))) }
			lit := func(i int) any { return blindThreeBit(!v.Muted(blindThreeTopic(t.Kind, i))) }
			page, from := "/page/"+pages[t.Index/4%4], t.Index/4*4
			switch t.Kind {
			case practice.InputName:
				say(page+"/text", four(from, func(i int) any { return blindThreeName(v, i) })...)
			case practice.InputFader:
				say(page+"/rise", four(from, rise)...)
			case practice.InputMute:
				say(page+"/lit", four(from, lit)...)
			case practice.InputSolo:
				say(page+"/cue", four(from, func(i int) any { return blindThreeBit(blindThreeSolo(v, i)) })...)
			case practice.DCAFader:
				say("/page/reins/rise", four(0, rise)...)
			case practice.DCAMute:
				say("/page/reins/lit", four(0, lit)...)
			case practice.GroupFader:
				say("/page/subs/rise", four(0, rise)...)
			case practice.GroupMute:
				say("/page/subs/lit", four(0, lit)...)
			case practice.MainFader:
				say("/page/end/rise", rise(0))
			case practice.MainMute:
				say("/page/end/lit", lit(0))
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			glow := make([]any, blindThreeInputs)
			for i := range glow {
				glow[i] = bar(needles.move(blindThreeTopic(practice.InputLevel, i), blindThreeAfter(v, i)))
			}
			subs := four(0, func(i int) any {
				t := blindThreeTopic(practice.GroupLevel, i)
				return bar(needles.move(t, v.Number(t)))
			})
			t := blindThreeTopic(practice.MainLevel, 0)
			end := bar(needles.move(t, v.Number(t)))
			for p := calls % 2 * 2; p < calls%2*2+2; p++ {
				say("/page/"+pages[p]+"/glow", glow[4*p:4*p+4]...)
			}
			if calls%2 == 0 {
				say("/page/subs/glow", subs...)
				say("/page/end/glow", end)
			}
			if calls%4 == 1 {
				dip := func(i int) any { return float32(blindThreeNumber(v, practice.InputReduction, i)) }
				for p, page := range pages {
					say("/page/"+page+"/dip", four(4*p, dip)...)
				}
				say("/page/subs/dip", four(0, func(i int) any {
					return float32(blindThreeNumber(v, practice.GroupReduction, i))
				})...)
			}
			if calls%90 == 0 {
				say("/page/shown", pages[calls/90%4])
			}
		},
		truth: truth,
	}
}

// ---- 5: a TCP desk

// blindThreeSource is the desk that speaks over TCP (tcp-slip). Two digits run into the words of
// its addresses, gains are whole tenths of a dB, -1000 when closed, mutes are T and F. Each strip
// has its own meter: the linear amplitude of its RMS before the fader, inputs with odd numbers at
// one call and with even ones at the next; a compressor tells the factor by which it turns down,
// only when that has changed. There are no solos in it.
func blindThreeSource() furtherDialect {
	tenths := func(dB float64) int32 { return int32(blindThreeWhole(10*dB, -1000, 60)) }
	averages := blindThreeSlow(0.3)
	held := map[int]float32{}
	calls := 0
	return furtherDialect{
		name: "blind3 source",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			source := fmt.Sprintf("/source%02d/", t.Index+1)
			stem := fmt.Sprintf("/stem%02d/", t.Index+1)
			grip := fmt.Sprintf("/grip%02d/", t.Index+1)
			switch t.Kind {
			case practice.InputName:
				say(source+"called", v.Hall().Strip(t))
			case practice.InputFader:
				say(source+"amount", tenths(v.Number(t)))
			case practice.InputMute:
				say(source+"silent", v.Muted(t))
			case practice.DCAFader:
				say(grip+"amount", tenths(v.Number(t)))
			case practice.DCAMute:
				say(grip+"silent", v.Muted(t))
			case practice.GroupFader:
				say(stem+"amount", tenths(v.Number(t)))
			case practice.GroupMute:
				say(stem+"silent", v.Muted(t))
			case practice.MainFader:
				say("/total/amount", tenths(v.Number(t)))
			case practice.MainMute:
				say("/total/silent", v.Muted(t))
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			amplitude := func(kind practice.Kind, i int) float32 {
				t := blindThreeTopic(kind, i)
				return float32(math.Sqrt(averages.move(t, v.Number(t))))
			}
			for i := range blindThreeInputs {
				x := amplitude(practice.InputLevel, i)
				if i%2 == calls%2 {
					say(fmt.Sprintf("/source%02d/rms", i+1), x)
				}
				factor := float32(math.Pow(10, -blindThreeNumber(v, practice.InputReduction, i)/20))
				if before, known := held[i]; (!known || math.Abs(float64(factor-before)) > 0.002) && i%2 == calls%2 {
					held[i] = factor
					say(fmt.Sprintf("/source%02d/holding", i+1), factor)
				}
			}
			for i := range blindThreeGroups {
				x := amplitude(practice.GroupLevel, i)
				if calls%2 == 0 {
					say(fmt.Sprintf("/stem%02d/rms", i+1), x)
				}
			}
			total := amplitude(practice.MainLevel, 0)
			if calls%2 == 0 {
				say("/total/rms", total)
			}
			if calls%10 == 0 {
				say("/engine/load", float32(31+calls/10%7)/100, int32(calls*2400))
			}
		},
		truth: `signals:
  - hear: /source{input:01-16}/called
    is: input.name
  - hear: /source{input:01-16}/amount
    is: input.fader
    value: {arg: 0, unit: dB, scale: 0.1, minus-infinity: -1000}
  - hear: /source{input:01-16}/silent
    is: input.mute
    value: {arg: 0}
  - hear: /source{input:01-16}/rms
    is: input.level
    tap: pre-fader
    detector: rms
    value: {arg: 0, unit: amplitude}
  - hear: /source{input:01-16}/holding
    is: input.reduction
    value: {arg: 0, unit: amplitude}
  - hear: /grip{dca:01-04}/amount
    is: dca.fader
    value: {arg: 0, unit: dB, scale: 0.1, minus-infinity: -1000}
  - hear: /grip{dca:01-04}/silent
    is: dca.mute
    value: {arg: 0}
  - hear: /stem{group:01-04}/amount
    is: group.fader
    value: {arg: 0, unit: dB, scale: 0.1, minus-infinity: -1000}
  - hear: /stem{group:01-04}/silent
    is: group.mute
    value: {arg: 0}
  - hear: /stem{group:01-04}/rms
    is: group.level
    detector: rms
    value: {arg: 0, unit: amplitude}
  - hear: /total/amount
    is: main.fader
    value: {arg: 0, unit: dB, scale: 0.1, minus-infinity: -1000}
  - hear: /total/silent
    is: main.mute
    value: {arg: 0}
  - hear: /total/rms
    is: main.level
    detector: rms
    value: {arg: 0, unit: amplitude}
`,
	}
}

// ---- 6: a polled desk

// blindThreeAnswers says nothing by itself: it answers a remote that asks for the levels ten times a
// second and for everything else twice a second. One address for all strips, numbered in one row
// (inputs from 1, groups from 21, DCAs from 31); the fader in percent of its way; a switch that
// is 1 when the strip sounds. Levels are half dB counted from -110 and the highest since the last answer.
func blindThreeAnswers() furtherDialect {
	taper := blindThreeTaper{{at: 5, dB: -66}, {at: 20, dB: -42}, {at: 40, dB: -24}, {at: 60, dB: -11}, {at: 82, dB: 0}, {at: 100, dB: 6}}
	percent := func(dB float64) float32 { return float32(math.Round(10*taper.travel(dB)) / 10) }
	highest := map[practice.Topic]float64{}
	calls := 0
	return furtherDialect{
		name: "blind3 answers",
		tell: func(practice.View, practice.Topic, func(string, ...any)) {},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			rows := []struct {
				kind practice.Kind
				n    int
			}{{practice.InputLevel, blindThreeInputs}, {practice.GroupLevel, blindThreeGroups}, {practice.MainLevel, 1}}
			var levels []any
			for _, row := range rows {
				for i := range row.n {
					t := blindThreeTopic(row.kind, i)
					x := v.Number(t)
					if before, known := highest[t]; known {
						x = math.Max(x, before)
					}
					highest[t] = x
					levels = append(levels, int32(blindThreeWhole(2*(x+110), 0, 240)))
				}
			}
			if calls%2 == 0 {
				say("/answer/levels", levels...)
				clear(highest)
			}
			if calls%4 == 0 {
				var work []any
				for i := range blindThreeInputs {
					work = append(work, int32(blindThreeWhole(10*blindThreeNumber(v, practice.InputReduction, i), 0, 600)))
				}
				for i := range blindThreeGroups {
					work = append(work, int32(blindThreeWhole(10*blindThreeNumber(v, practice.GroupReduction, i), 0, 600)))
				}
				say("/answer/work", work...)
			}
			if calls%10 != 1 {
				return
			}
			sounds := func(kind practice.Kind, i int) int32 {
				return blindThreeBit(!v.Muted(blindThreeTopic(kind, i)))
			}
			for i := range blindThreeInputs {
				say("/answer/strip", int32(1+i), blindThreeName(v, i), percent(blindThreeNumber(v, practice.InputFader, i)),
					sounds(practice.InputMute, i), blindThreeBit(blindThreeSolo(v, i)))
			}
			for i := range blindThreeGroups {
				t := blindThreeTopic(practice.GroupFader, i)
				say("/answer/strip", int32(21+i), v.Hall().Strip(t), percent(v.Number(t)), sounds(practice.GroupMute, i))
			}
			for i := range blindThreeDCAs {
				t := blindThreeTopic(practice.DCAFader, i)
				say("/answer/strip", int32(31+i), v.Hall().Strip(t), percent(v.Number(t)), sounds(practice.DCAMute, i))
			}
			say("/answer/house", percent(blindThreeNumber(v, practice.MainFader, 0)), sounds(practice.MainMute, 0))
			say("/answer/uptime", int32(7200+calls/20), "ok")
		},
		truth: `tapers:
  percent: ` + taper.yaml() + `
signals:
  - hear: /answer/strip
    is: input.name
    which: {input: 1-16, arg: 0}
    value: {arg: 1}
  - hear: /answer/strip
    is: input.fader
    which: {input: 1-16, arg: 0}
    value: {arg: 2, taper: percent}
  - hear: /answer/strip
    is: input.mute
    which: {input: 1-16, arg: 0}
    value: {arg: 3, invert: true}
  - hear: /answer/strip
    is: input.solo
    which: {input: 1-16, arg: 0}
    value: {arg: 4}
  - hear: /answer/strip
    is: group.name
    which: {group: 21-24=1, arg: 0}
    value: {arg: 1}
  - hear: /answer/strip
    is: group.fader
    which: {group: 21-24=1, arg: 0}
    value: {arg: 2, taper: percent}
  - hear: /answer/strip
    is: group.mute
    which: {group: 21-24=1, arg: 0}
    value: {arg: 3, invert: true}
  - hear: /answer/strip
    is: dca.name
    which: {dca: 31-34=1, arg: 0}
    value: {arg: 1}
  - hear: /answer/strip
    is: dca.fader
    which: {dca: 31-34=1, arg: 0}
    value: {arg: 2, taper: percent}
  - hear: /answer/strip
    is: dca.mute
    which: {dca: 31-34=1, arg: 0}
    value: {arg: 3, invert: true}
  - hear: /answer/house
    is: main.fader
    value: {arg: 0, taper: percent}
  - hear: /answer/house
    is: main.mute
    value: {arg: 1, invert: true}
  - hear: /answer/levels
    is: input.level
    tap: pre-fader
    value: {args: 0, each: input:1-16, unit: dBFS, scale: 0.5, offset: -110, minus-infinity: 0}
  - hear: /answer/levels
    is: group.level
    value: {args: 16, each: group:1-4, unit: dBFS, scale: 0.5, offset: -110, minus-infinity: 0}
  - hear: /answer/levels
    is: main.level
    value: {arg: 20, unit: dBFS, scale: 0.5, offset: -110, minus-infinity: 0}
  - hear: /answer/work
    is: input.reduction
    value: {args: 0, each: input:1-16, unit: dB, scale: 0.1, sign: positive}
  - hear: /answer/work
    is: group.reduction
    value: {args: 16, each: group:1-4, unit: dB, scale: 0.1, sign: positive}
`,
	}
}

// ---- 7: addresses made otherwise

// blindThreeSeats speaks of the players by name and of their seats by letter: a gain and its two
// silencing messages (hush and speak, which carry nothing) go to the name, what is seen of a
// seat goes by a letter from a to p. Groups count from 0, DCAs are the four winds. Gains are
// linear amplitudes, levels dBFS before the fader with a floor at -96 and slow needles.
func blindThreeSeats() furtherDialect {
	player := func(name string) string {
		return strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) || unicode.IsDigit(r) {
				return r
			}
			return '-'
		}, name)
	}
	amplitude := func(dB float64) float32 { return float32(math.Pow(10, dB/20)) }
	verb := func(muted bool) string {
		if muted {
			return "/hush"
		}
		return "/speak"
	}
	winds := []string{"north", "east", "south", "west"}
	averages := blindThreeSlow(0.15)
	calls := 0
	return furtherDialect{
		name: "blind3 seats",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			switch t.Kind {
			case practice.InputName:
				say(fmt.Sprintf("/seat/%c/who", 'a'+t.Index), v.Hall().Strip(t))
			case practice.InputFader:
				say("/player/"+player(blindThreeName(v, t.Index))+"/gain", amplitude(v.Number(t)))
			case practice.InputMute:
				say("/player/" + player(blindThreeName(v, t.Index)) + verb(v.Muted(t)))
			case practice.InputSolo:
				say("/player/"+player(blindThreeName(v, t.Index))+"/alone", v.Number(t) > 0.5)
			case practice.DCAFader:
				say("/wind/"+winds[t.Index%4]+"/gain", amplitude(v.Number(t)))
			case practice.DCAMute:
				say("/wind/" + winds[t.Index%4] + verb(v.Muted(t)))
			case practice.GroupFader:
				say(fmt.Sprintf("/bench/%d/gain", t.Index), amplitude(v.Number(t)))
			case practice.GroupMute:
				say(fmt.Sprintf("/bench/%d", t.Index) + verb(v.Muted(t)))
			case practice.MainFader:
				say("/hall/gain", amplitude(v.Number(t)))
			case practice.MainMute:
				say("/hall" + verb(v.Muted(t)))
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			seen := func(kind practice.Kind, i int) float32 {
				t := blindThreeTopic(kind, i)
				return float32(math.Max(-96, 10*math.Log10(averages.move(t, v.Number(t)))))
			}
			for i := range blindThreeInputs {
				x := seen(practice.InputLevel, i)
				if calls%2 == 0 {
					say(fmt.Sprintf("/seat/%c/seen", 'a'+i), x)
				}
				if calls%4 == 1 {
					say(fmt.Sprintf("/seat/%c/drawn", 'a'+i), float32(0-blindThreeNumber(v, practice.InputReduction, i)))
				}
			}
			for i := range blindThreeGroups {
				x := seen(practice.GroupLevel, i)
				if calls%2 == 0 {
					say(fmt.Sprintf("/bench/%d/seen", i), x)
				}
			}
			if x := seen(practice.MainLevel, 0); calls%2 == 0 {
				say("/hall/seen", x)
			}
			if calls%40 == 0 {
				say("/usher/round", int32(calls/40), "quarter past")
			}
		},
		truth: `signals:
  - hear: /seat/{input:a-p}/who
    is: input.name
  - hear: /player/{input-name}/gain
    is: input.fader
    value: {arg: 0, unit: amplitude}
  - hear: /player/{input-name}/hush
    is: input.mute
    value: {bang: on}
  - hear: /player/{input-name}/speak
    is: input.mute
    value: {bang: off}
  - hear: /player/{input-name}/alone
    is: input.solo
    value: {arg: 0}
  - hear: /seat/{input:a-p}/seen
    is: input.level
    tap: pre-fader
    detector: rms
    value: {arg: 0, unit: dBFS, minus-infinity: "<= -96"}
  - hear: /seat/{input:a-p}/drawn
    is: input.reduction
    value: {arg: 0, unit: dB, sign: negative}
  - hear: /wind/{dca:north,east,south,west}/gain
    is: dca.fader
    value: {arg: 0, unit: amplitude}
  - hear: /wind/{dca:north,east,south,west}/hush
    is: dca.mute
    value: {bang: on}
  - hear: /wind/{dca:north,east,south,west}/speak
    is: dca.mute
    value: {bang: off}
  - hear: /bench/{group:0-3}/gain
    is: group.fader
    value: {arg: 0, unit: amplitude}
  - hear: /bench/{group:0-3}/hush
    is: group.mute
    value: {bang: on}
  - hear: /bench/{group:0-3}/speak
    is: group.mute
    value: {bang: off}
  - hear: /bench/{group:0-3}/seen
    is: group.level
    detector: rms
    value: {arg: 0, unit: dBFS, minus-infinity: "<= -96"}
  - hear: /hall/gain
    is: main.fader
    value: {arg: 0, unit: amplitude}
  - hear: /hall/hush
    is: main.mute
    value: {bang: on}
  - hear: /hall/speak
    is: main.mute
    value: {bang: off}
  - hear: /hall/seen
    is: main.level
    detector: rms
    value: {arg: 0, unit: dBFS, minus-infinity: "<= -96"}
`,
	}
}

// ---- 8: several of these

// blindThreeMedley grew over the years. A strip is an argument in one row from 0 (inputs, groups
// from 16, DCAs from 20) and comes after its value; gains are dB, -144 when closed; mutes are words, the
// main's fader is a text, all names come as one list. Inputs' meters are pairs of level (behind
// the fader) and reduction behind a counter, eight inputs in a message, with a tail of two more
// numbers; groups' and main's are bytes in a blob, half dB from -127.5. Levels fall by 20 dB in 1.7 s.
func blindThreeMedley() furtherDialect {
	gain := func(dB float64) float32 { return float32(math.Max(-144, dB)) }
	word := func(muted bool) string {
		if muted {
			return "CUT"
		}
		return "LIVE"
	}
	needles := blindThreeFalling(0.59)
	calls := 0
	return furtherDialect{
		name: "blind3 medley",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			row := int32(t.Index)
			switch t.Kind {
			case practice.GroupFader, practice.GroupMute:
				row += 16
			case practice.DCAFader, practice.DCAMute:
				row += 20
			}
			switch t.Kind {
			case practice.InputName:
				var names []any
				for i := range blindThreeInputs {
					names = append(names, blindThreeName(v, i))
				}
				say("/set/names", names...)
			case practice.InputFader, practice.GroupFader, practice.DCAFader:
				say("/set/gain", gain(v.Number(t)), row)
			case practice.InputMute, practice.GroupMute, practice.DCAMute:
				say("/set/state", word(v.Muted(t)), row)
			case practice.InputSolo:
				say("/set/ears", blindThreeBit(v.Number(t) > 0.5), row)
			case practice.MainFader:
				if dB := v.Number(t); dB > -100 {
					say("/set/front", fmt.Sprintf("%.1f dB", dB))
				} else {
					say("/set/front", "-inf dB")
				}
			case practice.MainMute:
				say("/set/front/state", word(v.Muted(t)))
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			for half := range 2 {
				args := []any{int32(calls)}
				for i := 8 * half; i < 8*half+8; i++ {
					level := needles.move(blindThreeTopic(practice.InputLevel, i), blindThreeAfter(v, i))
					args = append(args, float32(math.Max(-120, level)), float32(blindThreeNumber(v, practice.InputReduction, i)))
				}
				// The tail: how full the line is, and the rate.
				args = append(args, float32(12+calls%3), float32(48))
				if calls%2 == half {
					say(fmt.Sprintf("/show/%d", half), args...)
				}
			}
			half := func(kind practice.Kind, i int) byte {
				t := blindThreeTopic(kind, i)
				return byte(blindThreeWhole(2*(needles.move(t, v.Number(t))+127.5), 0, 255))
			}
			b := []byte{0xa5, byte(calls)}
			for i := range blindThreeGroups {
				b = append(b, half(practice.GroupLevel, i))
				b = append(b, byte(blindThreeWhole(2*blindThreeNumber(v, practice.GroupReduction, i), 0, 255)))
			}
			b = append(b, half(practice.MainLevel, 0), 0)
			if calls%2 == 0 {
				say("/show/sums", int32(calls), b)
			}
			if calls%20 == 7 {
				say("/show/scribble", "lamp", int32(calls/20%6))
			}
		},
		truth: `signals:
  - hear: /set/names
    is: input.name
    value: {args: 0, each: input:1-16}
  - hear: /set/gain
    is: input.fader
    which: {input: 0-15, arg: 1}
    value: {arg: 0, unit: dB, minus-infinity: "<= -144"}
  - hear: /set/gain
    is: group.fader
    which: {group: 16-19=1, arg: 1}
    value: {arg: 0, unit: dB, minus-infinity: "<= -144"}
  - hear: /set/gain
    is: dca.fader
    which: {dca: 20-23=1, arg: 1}
    value: {arg: 0, unit: dB, minus-infinity: "<= -144"}
  - hear: /set/state
    is: input.mute
    which: {input: 0-15, arg: 1}
    value: {arg: 0, words: {LIVE: off, CUT: on}}
  - hear: /set/state
    is: group.mute
    which: {group: 16-19=1, arg: 1}
    value: {arg: 0, words: {LIVE: off, CUT: on}}
  - hear: /set/state
    is: dca.mute
    which: {dca: 20-23=1, arg: 1}
    value: {arg: 0, words: {LIVE: off, CUT: on}}
  - hear: /set/ears
    is: input.solo
    which: {input: 0-15, arg: 1}
    value: {arg: 0}
  - hear: /set/front
    is: main.fader
    value: {arg: 0, unit: dB}
  - hear: /set/front/state
    is: main.mute
    value: {arg: 0, words: {LIVE: off, CUT: on}}
  - hear: /show/0
    is: input.level
    tap: post-fader
    value: {args: 1, each: input:1-8, stride: 2, unit: dBFS, minus-infinity: "<= -120"}
  - hear: /show/0
    is: input.reduction
    value: {args: 2, each: input:1-8, stride: 2, unit: dB, sign: positive}
  - hear: /show/1
    is: input.level
    tap: post-fader
    value: {args: 1, each: input:9-16, stride: 2, unit: dBFS, minus-infinity: "<= -120"}
  - hear: /show/1
    is: input.reduction
    value: {args: 2, each: input:9-16, stride: 2, unit: dB, sign: positive}
  - hear: /show/sums
    is: group.level
    value: {blob: 1, of: uint8, skip: 2, stride: 2, each: group:1-4, unit: dBFS, scale: 0.5, offset: -127.5, minus-infinity: 0}
  - hear: /show/sums
    is: group.reduction
    value: {blob: 1, of: uint8, skip: 3, stride: 2, each: group:1-4, unit: dB, scale: 0.5, sign: positive}
  - hear: /show/sums
    is: main.level
    value: {blob: 1, of: uint8, skip: 10, unit: dBFS, scale: 0.5, offset: -127.5, minus-infinity: 0}
`,
	}
}
