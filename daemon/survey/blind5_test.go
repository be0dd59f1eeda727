package survey

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"unicode"

	"pawl/daemon/practice"
)

// blind5 are eight desks made by somebody who has not seen the guesser. Every address and layout
// is invented. Each call makes desks anew: some keep a counter or the needle of a meter.
//
//	1 text         volumes, switches and meters written for people
//	2 blobs        meters and switches as bytes, faders as a 10-bit converter has them
//	3 interleaved  a list for each strip, and one blob of several meters a strip, with a tail
//	4 bank lists   pages of eight
//	5 TCP desk     German addresses, hundredths of a dB, an on switch; this one speaks over TCP
//	6 polled       nothing on a change, answers only
//	7 otherwise    inputs by name, DCAs by letter, groups from 0, gain as a factor, lamps as meters
//	8 mixed        text, a list of switches, an interleaved blob, one address that says what
func blind5() []furtherDialect {
	return []furtherDialect{
		blindFiveText(),
		blindFiveBlobs(),
		blindFiveInterleaved(),
		blindFiveBanks(),
		blindFiveTCP(),
		blindFivePolled(),
		blindFiveNamed(),
		blindFiveMixed(),
	}
}

const (
	blindFiveInputs = 16
	blindFiveDCAs   = 4
	blindFiveGroups = 4
)

var blindFiveNothing = math.Inf(-1)

// blindFiveNumber is the value of one topic.
func blindFiveNumber(v practice.View, k practice.Kind, i int) float64 {
	return v.Number(practice.Topic{Kind: k, Index: i})
}

// blindFiveMuted is 1 for a mute switch that is in.
func blindFiveMuted(v practice.View, k practice.Kind, i int) int32 {
	return blindFiveBit(v.Muted(practice.Topic{Kind: k, Index: i}))
}

// blindFiveSolo is 1 for an input that is listened to.
func blindFiveSolo(v practice.View, i int) int32 {
	return blindFiveBit(blindFiveNumber(v, practice.InputSolo, i) != 0)
}

func blindFiveBit(on bool) int32 {
	if on {
		return 1
	}
	return 0
}

// blindFiveName is the name of the strip that a fader, a mute or a name is of.
func blindFiveName(v practice.View, k practice.Kind, i int) string {
	return v.Hall().Strip(practice.Topic{Kind: k, Index: i})
}

// blindFiveBehind is the level of an input after its fader and its mute.
func blindFiveBehind(v practice.View, i int) float64 {
	if v.Muted(practice.Topic{Kind: practice.InputMute, Index: i}) {
		return blindFiveNothing
	}
	return blindFiveNumber(v, practice.InputLevel, i) + blindFiveNumber(v, practice.InputFader, i)
}

// blindFiveFloor keeps what is told of a level from falling below a floor.
func blindFiveFloor(db, floor float64) float64 {
	return math.Max(db, floor)
}

// blindFiveWhole rounds and keeps within bounds; minus infinity is the lower.
func blindFiveWhole(x, low, high float64) float64 {
	return math.Min(math.Max(math.Round(x), low), high)
}

// blindFiveAmplitude is the factor of a gain.
func blindFiveAmplitude(db float64) float64 {
	return math.Pow(10, db/20)
}

// blindFivePoint is a point of a fader's scale.
type blindFivePoint struct{ at, db float64 }

// blindFiveTaper is a fader's scale; the first point is closed.
type blindFiveTaper []blindFivePoint

// position is where the fader stands for a gain.
func (s blindFiveTaper) position(db float64) float64 {
	if math.IsInf(db, -1) {
		return s[0].at
	}
	for n := 1; n < len(s); n++ {
		low, high := s[n-1], s[n]
		if db > high.db {
			continue
		}
		if math.IsInf(low.db, -1) {
			return low.at + (high.at-low.at)*math.Pow(10, (db-high.db)/20)
		}
		return low.at + (high.at-low.at)*(db-low.db)/(high.db-low.db)
	}
	return s[len(s)-1].at
}

// text is the scale as a map writes it.
func (s blindFiveTaper) text() string {
	points := make([]string, 0, len(s))
	for _, p := range s {
		if math.IsInf(p.db, -1) {
			points = append(points, fmt.Sprintf("[%g, -inf]", p.at))
			continue
		}
		points = append(points, fmt.Sprintf("[%.6g, %.6g]", p.at, p.db))
	}
	return "[" + strings.Join(points, ", ") + "]"
}

// blindFiveNeedles are meters that keep where their needles stood.
type blindFiveNeedles map[practice.Topic]float64

// fall follows upwards at once and falls by so many dB a call.
func (n blindFiveNeedles) fall(k practice.Kind, i int, db, step float64) float64 {
	t := practice.Topic{Kind: k, Index: i}
	if was, known := n[t]; known && was-step > db {
		db = was - step
	}
	if db < -150 {
		db = blindFiveNothing
	}
	n[t] = db
	return db
}

// lean goes a part of the way to the new power.
func (n blindFiveNeedles) lean(k practice.Kind, i int, db, part float64) float64 {
	t := practice.Topic{Kind: k, Index: i}
	power := math.Pow(10, db/10)
	if was, known := n[t]; known {
		power = was + part*(power-was)
	}
	n[t] = power
	return 10 * math.Log10(power)
}

// 1. Text. Whoever made this wanted to read everything in a terminal: tenths of a dB with the unit,
// "on" and "off". Its meters come at half the rate, as 16 short strings; a title carries its colour.

func blindFiveTenths(db float64) string {
	if math.IsInf(db, -1) || db < -120 {
		return "-inf"
	}
	text := fmt.Sprintf("%.1f", db)
	if text == "-0.0" {
		return "0.0"
	}
	return text
}

func blindFiveOnOff(bit int32) string {
	if bit != 0 {
		return "on"
	}
	return "off"
}

func blindFiveText() furtherDialect {
	colours := []string{"blue", "blue", "green", "amber", "white"}
	calls := 0
	return furtherDialect{
		name: "blind5 text",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {
			n := t.Index + 1
			switch t.Kind {
			case practice.InputName:
				say(fmt.Sprintf("/strip/%d/title", n), blindFiveName(v, t.Kind, t.Index), colours[t.Index%len(colours)])
			case practice.InputFader:
				say(fmt.Sprintf("/strip/%d/volume", n), blindFiveTenths(v.Number(t))+" dB")
			case practice.InputMute:
				say(fmt.Sprintf("/strip/%d/mute", n), blindFiveOnOff(blindFiveMuted(v, t.Kind, t.Index)))
			case practice.InputSolo:
				say(fmt.Sprintf("/strip/%d/solo", n), blindFiveOnOff(blindFiveSolo(v, t.Index)))
			case practice.DCAFader:
				say(fmt.Sprintf("/vca/%d/volume", n), blindFiveTenths(v.Number(t))+" dB")
			case practice.DCAMute:
				say(fmt.Sprintf("/vca/%d/mute", n), blindFiveOnOff(blindFiveMuted(v, t.Kind, t.Index)))
			case practice.GroupFader:
				say(fmt.Sprintf("/sub/%d/volume", n), blindFiveTenths(v.Number(t))+" dB")
			case practice.GroupMute:
				say(fmt.Sprintf("/sub/%d/mute", n), blindFiveOnOff(blindFiveMuted(v, t.Kind, t.Index)))
			case practice.MainFader:
				say("/output/volume", blindFiveTenths(v.Number(t))+" dB")
			case practice.MainMute:
				say("/output/mute", blindFiveOnOff(blindFiveMuted(v, t.Kind, t.Index)))
			}
		},
		meters: func(v practice.View, say func(address string, args ...any)) {
			calls++
			if calls%20 == 0 {
				s := calls / 20
				say("/time", fmt.Sprintf("%02d:%02d:%02d", 19+s/3600, s/60%60, s%60))
			}
			if calls%2 != 0 {
				return
			}
			row := func(k practice.Kind, count int) []any {
				out := make([]any, count)
				for i := range out {
					out[i] = blindFiveTenths(blindFiveNumber(v, k, i))
				}
				return out
			}
			say("/vu/strips", row(practice.InputLevel, blindFiveInputs)...)
			say("/vu/squeeze", row(practice.InputReduction, blindFiveInputs)...)
			say("/vu/subs", row(practice.GroupLevel, blindFiveGroups)...)
			say("/vu/output", row(practice.MainLevel, 1)...)
		},
		truth: `signals:
  - hear: /strip/{input:1-16}/title
    is: input.name
    value: {arg: 0}
  - hear: /strip/{input:1-16}/volume
    is: input.fader
    value: {arg: 0, unit: dB}
  - hear: /strip/{input:1-16}/mute
    is: input.mute
    value: {arg: 0}
  - hear: /strip/{input:1-16}/solo
    is: input.solo
    value: {arg: 0}
  - hear: /vca/{dca:1-4}/volume
    is: dca.fader
    value: {arg: 0, unit: dB}
  - hear: /vca/{dca:1-4}/mute
    is: dca.mute
    value: {arg: 0}
  - hear: /sub/{group:1-4}/volume
    is: group.fader
    value: {arg: 0, unit: dB}
  - hear: /sub/{group:1-4}/mute
    is: group.mute
    value: {arg: 0}
  - hear: /output/volume
    is: main.fader
    value: {arg: 0, unit: dB}
  - hear: /output/mute
    is: main.mute
    value: {arg: 0}
  - hear: /vu/strips
    is: input.level
    tap: pre-fader
    value: {args: 0, each: input:1-16, unit: dBFS}
  - hear: /vu/squeeze
    is: input.reduction
    value: {args: 0, each: input:1-16, unit: dB, sign: positive}
  - hear: /vu/subs
    is: group.level
    value: {args: 0, each: group:1-4, unit: dBFS}
  - hear: /vu/output
    is: main.level
    value: {arg: 0, unit: dBFS}
`,
	}
}

// 2. Blobs. Meters are bytes of half a dB above -120, behind a two-byte counter; needles rise at once
// and fall 24 dB a second. All mutes go out in one blob whenever one changes. Faders are what a
// 10-bit converter reads, with the number of the strip as the first argument.

func blindFiveBlobs() furtherDialect {
	scale := blindFiveTaper{
		{0, blindFiveNothing}, {48, -66}, {150, -48}, {260, -36}, {372, -25.5}, {486, -16.5},
		{610, -9}, {740, -3.5}, {836, 0}, {930, 3}, {1023, 6},
	}
	needles := blindFiveNeedles{}
	counter := uint16(0)
	position := func(v practice.View, t practice.Topic) int32 {
		return int32(math.Round(scale.position(v.Number(t))))
	}
	half := func(db float64) byte {
		return byte(blindFiveWhole((db+120)*2, 0, 255))
	}
	return furtherDialect{
		name: "blind5 blobs",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {
			n := int32(t.Index + 1)
			switch t.Kind {
			case practice.InputName:
				say("/tag", n, blindFiveName(v, t.Kind, t.Index))
			case practice.InputFader:
				say("/knob/input", n, position(v, t))
			case practice.DCAFader:
				say("/knob/vca", n, position(v, t))
			case practice.GroupFader:
				say("/knob/group", n, position(v, t))
			case practice.MainFader:
				say("/knob/main", position(v, t))
			case practice.InputMute, practice.DCAMute, practice.GroupMute:
				b := make([]byte, 0, blindFiveInputs+blindFiveDCAs+blindFiveGroups)
				for i := range blindFiveInputs {
					b = append(b, byte(blindFiveMuted(v, practice.InputMute, i)))
				}
				for i := range blindFiveDCAs {
					b = append(b, byte(blindFiveMuted(v, practice.DCAMute, i)))
				}
				for i := range blindFiveGroups {
					b = append(b, byte(blindFiveMuted(v, practice.GroupMute, i)))
				}
				say("/switches/mute", b)
			case practice.MainMute:
				say("/switches/mainmute", blindFiveMuted(v, t.Kind, 0))
			case practice.InputSolo:
				b := make([]byte, blindFiveInputs)
				for i := range b {
					b[i] = byte(blindFiveSolo(v, i))
				}
				say("/switches/solo", b)
			}
		},
		meters: func(v practice.View, say func(address string, args ...any)) {
			counter++
			b := binary.BigEndian.AppendUint16(nil, counter)
			r := []byte{}
			for i := range blindFiveInputs {
				b = append(b, half(needles.fall(practice.InputLevel, i, blindFiveNumber(v, practice.InputLevel, i), 1.2)))
				r = append(r, byte(blindFiveWhole(4*blindFiveNumber(v, practice.InputReduction, i), 0, 255)))
			}
			for i := range blindFiveGroups {
				b = append(b, half(needles.fall(practice.GroupLevel, i, blindFiveNumber(v, practice.GroupLevel, i), 1.2)))
				r = append(r, byte(blindFiveWhole(4*blindFiveNumber(v, practice.GroupReduction, i), 0, 255)))
			}
			main := half(needles.fall(practice.MainLevel, 0, blindFiveNumber(v, practice.MainLevel, 0), 1.2))
			say("/bars", b)
			say("/bars/main", int32(main))
			say("/bars/reduction", r)
		},
		truth: "tapers:\n  converter: " + scale.text() + `
signals:
  - hear: /tag
    is: input.name
    which: {input: 1-16, arg: 0}
    value: {arg: 1}
  - hear: /knob/input
    is: input.fader
    which: {input: 1-16, arg: 0}
    value: {arg: 1, taper: converter}
  - hear: /knob/vca
    is: dca.fader
    which: {dca: 1-4, arg: 0}
    value: {arg: 1, taper: converter}
  - hear: /knob/group
    is: group.fader
    which: {group: 1-4, arg: 0}
    value: {arg: 1, taper: converter}
  - hear: /knob/main
    is: main.fader
    value: {arg: 0, taper: converter}
  - hear: /switches/mute
    is: input.mute
    value: {blob: 0, of: uint8, each: input:1-16}
  - hear: /switches/mute
    is: dca.mute
    value: {blob: 0, of: uint8, skip: 16, each: dca:1-4}
  - hear: /switches/mute
    is: group.mute
    value: {blob: 0, of: uint8, skip: 20, each: group:1-4}
  - hear: /switches/mainmute
    is: main.mute
    value: {arg: 0}
  - hear: /switches/solo
    is: input.solo
    value: {blob: 0, of: uint8, each: input:1-16}
  - hear: /bars
    is: input.level
    tap: pre-fader
    value: {blob: 0, of: uint8, skip: 2, each: input:1-16, unit: dBFS, scale: 0.5, offset: -120, minus-infinity: 0}
  - hear: /bars
    is: group.level
    value: {blob: 0, of: uint8, skip: 18, each: group:1-4, unit: dBFS, scale: 0.5, offset: -120, minus-infinity: 0}
  - hear: /bars/main
    is: main.level
    value: {arg: 0, unit: dBFS, scale: 0.5, offset: -120, minus-infinity: 0}
  - hear: /bars/reduction
    is: input.reduction
    value: {blob: 0, of: uint8, each: input:1-16, unit: dB, scale: 0.25, sign: positive}
  - hear: /bars/reduction
    is: group.reduction
    value: {blob: 0, of: uint8, skip: 16, each: group:1-4, unit: dB, scale: 0.25, sign: positive}
`,
	}
}

// 3. Interleaved. A strip is one list (fader, mute, solo, name, a colour), told whole at each change.
// The meters are one blob: a frame number; of each input the level before and behind the fader, the
// reduction below 0 and a word of lamps; of each group two values; a sum over the bytes. The main
// stands behind the blob.

func blindFiveInterleaved() furtherDialect {
	scale := blindFiveTaper{
		{0, blindFiveNothing}, {0.06, -70}, {0.22, -42}, {0.48, -18}, {0.72, 0}, {0.86, 3}, {1, 6},
	}
	frame := uint32(0)
	position := func(v practice.View, k practice.Kind, i int) float32 {
		return float32(scale.position(blindFiveNumber(v, k, i)))
	}
	centi := func(b []byte, db float64) []byte {
		return binary.BigEndian.AppendUint16(b, uint16(int16(blindFiveWhole(100*db, -12000, 3000))))
	}
	return furtherDialect{
		name: "blind5 interleaved",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {
			i := t.Index
			switch t.Kind {
			case practice.InputName, practice.InputFader, practice.InputMute, practice.InputSolo:
				say(fmt.Sprintf("/channel/%d", i+1), position(v, practice.InputFader, i),
					blindFiveMuted(v, practice.InputMute, i), blindFiveSolo(v, i),
					blindFiveName(v, practice.InputName, i), int32(3+i/4))
			case practice.DCAFader, practice.DCAMute:
				say(fmt.Sprintf("/control/%d", i+1), position(v, practice.DCAFader, i),
					blindFiveMuted(v, practice.DCAMute, i), blindFiveName(v, practice.DCAFader, i), int32(9))
			case practice.GroupFader, practice.GroupMute:
				say(fmt.Sprintf("/bus/%d", i+1), position(v, practice.GroupFader, i),
					blindFiveMuted(v, practice.GroupMute, i), blindFiveName(v, practice.GroupFader, i), int32(11))
			case practice.MainFader, practice.MainMute:
				say("/mains", position(v, practice.MainFader, 0), blindFiveMuted(v, practice.MainMute, 0))
			}
		},
		meters: func(v practice.View, say func(address string, args ...any)) {
			frame++
			b := binary.BigEndian.AppendUint32(nil, frame)
			for i := range blindFiveInputs {
				level := blindFiveNumber(v, practice.InputLevel, i)
				b = centi(b, level)
				b = centi(b, blindFiveBehind(v, i))
				b = centi(b, -blindFiveNumber(v, practice.InputReduction, i))
				b = binary.BigEndian.AppendUint16(b, uint16(blindFiveBit(level > -50)|blindFiveBit(level > -3)<<1))
			}
			for i := range blindFiveGroups {
				b = centi(b, blindFiveNumber(v, practice.GroupLevel, i))
				b = centi(b, -blindFiveNumber(v, practice.GroupReduction, i))
			}
			sum := uint32(0)
			for _, x := range b {
				sum += uint32(x)
			}
			b = binary.BigEndian.AppendUint32(b, sum)
			say("/metering", b, float32(blindFiveFloor(blindFiveNumber(v, practice.MainLevel, 0), -120)))
		},
		truth: "tapers:\n  travel: " + scale.text() + `
signals:
  - hear: /channel/{input:1-16}
    is: input.fader
    value: {arg: 0, taper: travel}
  - hear: /channel/{input:1-16}
    is: input.mute
    value: {arg: 1}
  - hear: /channel/{input:1-16}
    is: input.solo
    value: {arg: 2}
  - hear: /channel/{input:1-16}
    is: input.name
    value: {arg: 3}
  - hear: /control/{dca:1-4}
    is: dca.fader
    value: {arg: 0, taper: travel}
  - hear: /control/{dca:1-4}
    is: dca.mute
    value: {arg: 1}
  - hear: /control/{dca:1-4}
    is: dca.name
    value: {arg: 2}
  - hear: /bus/{group:1-4}
    is: group.fader
    value: {arg: 0, taper: travel}
  - hear: /bus/{group:1-4}
    is: group.mute
    value: {arg: 1}
  - hear: /bus/{group:1-4}
    is: group.name
    value: {arg: 2}
  - hear: /mains
    is: main.fader
    value: {arg: 0, taper: travel}
  - hear: /mains
    is: main.mute
    value: {arg: 1}
  - hear: /metering
    is: input.level
    tap: pre-fader
    value: {blob: 0, of: int16-be, skip: 4, stride: 8, each: input:1-16, unit: centi-dB, minus-infinity: "<= -12000"}
  - hear: /metering
    is: input.level
    tap: post-fader
    value: {blob: 0, of: int16-be, skip: 6, stride: 8, each: input:1-16, unit: centi-dB, minus-infinity: "<= -12000"}
  - hear: /metering
    is: input.reduction
    value: {blob: 0, of: int16-be, skip: 8, stride: 8, each: input:1-16, unit: centi-dB, sign: negative}
  - hear: /metering
    is: group.level
    value: {blob: 0, of: int16-be, skip: 132, stride: 4, each: group:1-4, unit: centi-dB, minus-infinity: "<= -12000"}
  - hear: /metering
    is: group.reduction
    value: {blob: 0, of: int16-be, skip: 134, stride: 4, each: group:1-4, unit: centi-dB, sign: negative}
  - hear: /metering
    is: main.level
    value: {arg: 1, unit: dBFS, minus-infinity: "<= -120"}
`,
	}
}

// 4. Bank lists. Pages of eight faders, as on the surface: a and b are the inputs, c the groups and
// then the DCAs, m the main. Faders are a percentage of the travel after a formula. The meters are
// sample values from 0 to 32767 behind the fader, with needles that lean after the power.

func blindFiveBanks() furtherDialect {
	formula := func(db float64) float64 { // percent; gain goes as the travel to 2.5
		return 100 * math.Pow(10, (db-6)/50)
	}
	scale := blindFiveTaper{{0, blindFiveNothing}}
	for p := 1.0; p < 97; p *= 1.06 {
		scale = append(scale, blindFivePoint{p, 6 + 50*math.Log10(p/100)})
	}
	scale = append(scale, blindFivePoint{100, 6})
	needles := blindFiveNeedles{}
	calls := 0
	page := func(i int) (string, int) { // the page of an input, and its first
		if i < 8 {
			return "a", 0
		}
		return "b", 8
	}
	percent := func(v practice.View, k practice.Kind, i int) float32 {
		return float32(formula(blindFiveNumber(v, k, i)))
	}
	sample := func(v practice.View, k practice.Kind, i int, db float64) int32 {
		return int32(blindFiveWhole(32767*blindFiveAmplitude(needles.lean(k, i, db, 0.28)), 0, 32767))
	}
	return furtherDialect{
		name: "blind5 bank lists",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {
			list := []any{}
			switch t.Kind {
			case practice.InputName, practice.InputFader, practice.InputMute, practice.InputSolo:
				letter, first := page(t.Index)
				what := ""
				for i := first; i < first+8; i++ {
					switch t.Kind {
					case practice.InputName:
						what, list = "scribble", append(list, blindFiveName(v, practice.InputName, i))
					case practice.InputFader:
						what, list = "faders", append(list, percent(v, practice.InputFader, i))
					case practice.InputMute:
						what, list = "cuts", append(list, blindFiveMuted(v, practice.InputMute, i))
					case practice.InputSolo:
						what, list = "listen", append(list, blindFiveSolo(v, i))
					}
				}
				say("/page/"+letter+"/"+what, list...)
			case practice.GroupFader, practice.DCAFader:
				for i := range blindFiveGroups {
					list = append(list, percent(v, practice.GroupFader, i))
				}
				for i := range blindFiveDCAs {
					list = append(list, percent(v, practice.DCAFader, i))
				}
				say("/page/c/faders", list...)
			case practice.GroupMute, practice.DCAMute:
				for i := range blindFiveGroups {
					list = append(list, blindFiveMuted(v, practice.GroupMute, i))
				}
				for i := range blindFiveDCAs {
					list = append(list, blindFiveMuted(v, practice.DCAMute, i))
				}
				say("/page/c/cuts", list...)
			case practice.MainFader:
				say("/page/m/faders", percent(v, practice.MainFader, 0))
			case practice.MainMute:
				say("/page/m/cuts", blindFiveMuted(v, practice.MainMute, 0))
			}
		},
		meters: func(v practice.View, say func(address string, args ...any)) {
			calls++
			for _, first := range []int{0, 8} {
				list := []any{}
				for i := first; i < first+8; i++ {
					list = append(list, sample(v, practice.InputLevel, i, blindFiveBehind(v, i)))
				}
				letter, _ := page(first)
				say("/page/"+letter+"/meters", list...)
			}
			list := []any{}
			for i := range blindFiveGroups {
				list = append(list, sample(v, practice.GroupLevel, i, blindFiveNumber(v, practice.GroupLevel, i)))
			}
			say("/page/c/meters", list...)
			say("/page/m/meters", sample(v, practice.MainLevel, 0, blindFiveNumber(v, practice.MainLevel, 0)))
			if calls%60 == 0 { // how warm the desk is and how fast its fan turns
				say("/housekeeping", float32(41.5+0.5*float64(calls/60%3)), int32(1180+calls/60%7*10))
			}
		},
		truth: "tapers:\n  percent: " + scale.text() + `
signals:
  - hear: /page/a/scribble
    is: input.name
    value: {args: 0, each: input:1-8}
  - hear: /page/b/scribble
    is: input.name
    value: {args: 0, each: input:9-16}
  - hear: /page/a/faders
    is: input.fader
    value: {args: 0, each: input:1-8, taper: percent}
  - hear: /page/b/faders
    is: input.fader
    value: {args: 0, each: input:9-16, taper: percent}
  - hear: /page/a/cuts
    is: input.mute
    value: {args: 0, each: input:1-8}
  - hear: /page/b/cuts
    is: input.mute
    value: {args: 0, each: input:9-16}
  - hear: /page/a/listen
    is: input.solo
    value: {args: 0, each: input:1-8}
  - hear: /page/b/listen
    is: input.solo
    value: {args: 0, each: input:9-16}
  - hear: /page/c/faders
    is: group.fader
    value: {args: 0, each: group:1-4, taper: percent}
  - hear: /page/c/faders
    is: dca.fader
    value: {args: 4, each: dca:1-4, taper: percent}
  - hear: /page/c/cuts
    is: group.mute
    value: {args: 0, each: group:1-4}
  - hear: /page/c/cuts
    is: dca.mute
    value: {args: 4, each: dca:1-4}
  - hear: /page/m/faders
    is: main.fader
    value: {arg: 0, taper: percent}
  - hear: /page/m/cuts
    is: main.mute
    value: {arg: 0}
  - hear: /page/a/meters
    is: input.level
    tap: post-fader
    value: {args: 0, each: input:1-8, unit: amplitude, scale: 1/32767}
  - hear: /page/b/meters
    is: input.level
    tap: post-fader
    value: {args: 0, each: input:9-16, unit: amplitude, scale: 1/32767}
  - hear: /page/c/meters
    is: group.level
    value: {args: 0, each: group:1-4, unit: amplitude, scale: 1/32767}
  - hear: /page/m/meters
    is: main.level
    value: {arg: 0, unit: amplitude, scale: 1/32767}
`,
	}
}

// 5. This is the TCP desk (transport: tcp-slip); nothing else differs. A German firm: numbers padded
// with zeros, faders in hundredths of a dB with -32768 for closed, and switches that say that the
// strip is on. Each strip has a meter of its own with level and reduction, at half the rate. It says
// twice in three seconds that it lives.

func blindFiveTCP() furtherDialect {
	calls := 0
	centi := func(v practice.View, t practice.Topic) int32 {
		db := v.Number(t)
		if math.IsInf(db, -1) || db < -140 {
			return -32768
		}
		return int32(math.Round(100 * db))
	}
	level := func(v practice.View, k practice.Kind, i int) float32 {
		return float32(blindFiveFloor(blindFiveNumber(v, k, i), -110))
	}
	return furtherDialect{
		name: "blind5 TCP",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {
			n := t.Index + 1
			switch t.Kind {
			case practice.InputName:
				say(fmt.Sprintf("/kanal/%02d/name", n), blindFiveName(v, t.Kind, t.Index))
			case practice.InputFader:
				say(fmt.Sprintf("/kanal/%02d/regler", n), centi(v, t))
			case practice.InputMute:
				say(fmt.Sprintf("/kanal/%02d/ein", n), 1-blindFiveMuted(v, t.Kind, t.Index))
			case practice.InputSolo:
				say(fmt.Sprintf("/kanal/%02d/solo", n), blindFiveSolo(v, t.Index))
			case practice.DCAFader:
				say(fmt.Sprintf("/leitregler/%02d/regler", n), centi(v, t))
			case practice.DCAMute:
				say(fmt.Sprintf("/leitregler/%02d/ein", n), 1-blindFiveMuted(v, t.Kind, t.Index))
			case practice.GroupFader:
				say(fmt.Sprintf("/gruppe/%02d/regler", n), centi(v, t))
			case practice.GroupMute:
				say(fmt.Sprintf("/gruppe/%02d/ein", n), 1-blindFiveMuted(v, t.Kind, t.Index))
			case practice.MainFader:
				say("/summe/regler", centi(v, t))
			case practice.MainMute:
				say("/summe/ein", 1-blindFiveMuted(v, t.Kind, t.Index))
			}
		},
		meters: func(v practice.View, say func(address string, args ...any)) {
			calls++
			if calls%30 == 0 {
				say("/lebt", int32(calls/30))
			}
			if calls%2 == 0 {
				return
			}
			for i := range blindFiveInputs {
				say(fmt.Sprintf("/kanal/%02d/pegel", i+1), level(v, practice.InputLevel, i),
					float32(blindFiveNumber(v, practice.InputReduction, i)))
			}
			for i := range blindFiveGroups {
				say(fmt.Sprintf("/gruppe/%02d/pegel", i+1), level(v, practice.GroupLevel, i),
					float32(blindFiveNumber(v, practice.GroupReduction, i)))
			}
			say("/summe/pegel", level(v, practice.MainLevel, 0))
		},
		truth: `signals:
  - hear: /kanal/{input:01-16}/name
    is: input.name
    value: {arg: 0}
  - hear: /kanal/{input:01-16}/regler
    is: input.fader
    value: {arg: 0, unit: centi-dB, minus-infinity: -32768}
  - hear: /kanal/{input:01-16}/ein
    is: input.mute
    value: {arg: 0, invert: true}
  - hear: /kanal/{input:01-16}/solo
    is: input.solo
    value: {arg: 0}
  - hear: /leitregler/{dca:01-04}/regler
    is: dca.fader
    value: {arg: 0, unit: centi-dB, minus-infinity: -32768}
  - hear: /leitregler/{dca:01-04}/ein
    is: dca.mute
    value: {arg: 0, invert: true}
  - hear: /gruppe/{group:01-04}/regler
    is: group.fader
    value: {arg: 0, unit: centi-dB, minus-infinity: -32768}
  - hear: /gruppe/{group:01-04}/ein
    is: group.mute
    value: {arg: 0, invert: true}
  - hear: /summe/regler
    is: main.fader
    value: {arg: 0, unit: centi-dB, minus-infinity: -32768}
  - hear: /summe/ein
    is: main.mute
    value: {arg: 0, invert: true}
  - hear: /kanal/{input:01-16}/pegel
    is: input.level
    tap: pre-fader
    value: {arg: 0, unit: dBFS, minus-infinity: "<= -110"}
  - hear: /kanal/{input:01-16}/pegel
    is: input.reduction
    value: {arg: 1, unit: dB, sign: positive}
  - hear: /gruppe/{group:01-04}/pegel
    is: group.level
    value: {arg: 0, unit: dBFS, minus-infinity: "<= -110"}
  - hear: /gruppe/{group:01-04}/pegel
    is: group.reduction
    value: {arg: 1, unit: dB, sign: positive}
  - hear: /summe/pegel
    is: main.level
    value: {arg: 0, unit: dBFS, minus-infinity: "<= -110"}
  - hear: /lebt
    is: desk.alive
`,
	}
}

// 6. Polled. Nothing is said on a change; what is heard are the answers to somebody else's polling:
// levels ten times a second, everything twice a second. Each answer ends with the number of the
// question. Faders are notches of a quarter dB above -90, 0 is closed; meters 256ths of a dB.

func blindFivePolled() furtherDialect {
	calls := 0
	question := int32(400)
	notch := func(db float64) int32 {
		return int32(blindFiveWhole((db+90)*4, 0, 384))
	}
	fine := func(db float64) int32 {
		return int32(blindFiveWhole(256*db, -32768, 32767))
	}
	return furtherDialect{
		name: "blind5 polled",
		tell: func(practice.View, practice.Topic, func(address string, args ...any)) {},
		meters: func(v practice.View, say func(address string, args ...any)) {
			calls++
			answer := func(address string, value any) {
				question++
				say(address, value, question)
			}
			if calls%2 == 0 {
				for i := range blindFiveInputs {
					answer(fmt.Sprintf("/answer/mic/%d/meter", i+1), fine(blindFiveNumber(v, practice.InputLevel, i)))
					answer(fmt.Sprintf("/answer/mic/%d/comp", i+1), fine(-blindFiveNumber(v, practice.InputReduction, i)))
				}
				for i := range blindFiveGroups {
					answer(fmt.Sprintf("/answer/mix/%d/meter", i+1), fine(blindFiveNumber(v, practice.GroupLevel, i)))
				}
				answer("/answer/stereo/meter", fine(blindFiveNumber(v, practice.MainLevel, 0)))
			}
			if calls%10 != 1 {
				return
			}
			for i := range blindFiveInputs {
				at := fmt.Sprintf("/answer/mic/%d/", i+1)
				answer(at+"text", blindFiveName(v, practice.InputName, i))
				answer(at+"fader", notch(blindFiveNumber(v, practice.InputFader, i)))
				answer(at+"mute", blindFiveMuted(v, practice.InputMute, i))
				answer(at+"solo", blindFiveSolo(v, i))
			}
			for i := range blindFiveDCAs {
				at := fmt.Sprintf("/answer/remote/%d/", i+1)
				answer(at+"fader", notch(blindFiveNumber(v, practice.DCAFader, i)))
				answer(at+"mute", blindFiveMuted(v, practice.DCAMute, i))
			}
			for i := range blindFiveGroups {
				at := fmt.Sprintf("/answer/mix/%d/", i+1)
				answer(at+"fader", notch(blindFiveNumber(v, practice.GroupFader, i)))
				answer(at+"mute", blindFiveMuted(v, practice.GroupMute, i))
			}
			answer("/answer/stereo/fader", notch(blindFiveNumber(v, practice.MainFader, 0)))
			answer("/answer/stereo/mute", blindFiveMuted(v, practice.MainMute, 0))
			answer("/answer/uptime", int32(3600+calls/20))
		},
		truth: `signals:
  - hear: /answer/mic/{input:1-16}/text
    is: input.name
    value: {arg: 0}
  - hear: /answer/mic/{input:1-16}/fader
    is: input.fader
    value: {arg: 0, unit: dB, scale: 0.25, offset: -90, minus-infinity: 0}
  - hear: /answer/mic/{input:1-16}/mute
    is: input.mute
    value: {arg: 0}
  - hear: /answer/mic/{input:1-16}/solo
    is: input.solo
    value: {arg: 0}
  - hear: /answer/remote/{dca:1-4}/fader
    is: dca.fader
    value: {arg: 0, unit: dB, scale: 0.25, offset: -90, minus-infinity: 0}
  - hear: /answer/remote/{dca:1-4}/mute
    is: dca.mute
    value: {arg: 0}
  - hear: /answer/mix/{group:1-4}/fader
    is: group.fader
    value: {arg: 0, unit: dB, scale: 0.25, offset: -90, minus-infinity: 0}
  - hear: /answer/mix/{group:1-4}/mute
    is: group.mute
    value: {arg: 0}
  - hear: /answer/stereo/fader
    is: main.fader
    value: {arg: 0, unit: dB, scale: 0.25, offset: -90, minus-infinity: 0}
  - hear: /answer/stereo/mute
    is: main.mute
    value: {arg: 0}
  - hear: /answer/mic/{input:1-16}/meter
    is: input.level
    tap: pre-fader
    value: {arg: 0, unit: dB/256, minus-infinity: -32768}
  - hear: /answer/mic/{input:1-16}/comp
    is: input.reduction
    value: {arg: 0, unit: dB/256, sign: negative}
  - hear: /answer/mix/{group:1-4}/meter
    is: group.level
    value: {arg: 0, unit: dB/256, minus-infinity: -32768}
  - hear: /answer/stereo/meter
    is: main.level
    value: {arg: 0, unit: dB/256, minus-infinity: -32768}
`,
	}
}

// 7. Otherwise. The inputs go by their names, the DCAs by letters, the groups from 0 on. A gain is a
// factor, 1 is unity. A meter is how many of 40 lamps are lit, 1.5 dB apart, behind the fader; it is
// told when that changes, and all of them once a second. Names are listed by number, from 0 on.

// blindFiveWord is a name as it stands in an address.
func blindFiveWord(name string) string {
	word := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return '_'
	}, strings.TrimSpace(name))
	if word == "" {
		return "_"
	}
	return word
}

func blindFiveNamed() furtherDialect {
	calls := 0
	lit := map[string]int32{}
	seat := func(v practice.View, i int) string {
		return "/seat/" + blindFiveWord(blindFiveName(v, practice.InputName, i))
	}
	lamps := func(db float64) int32 {
		return int32(blindFiveWhole((db+60)/1.5, 0, 40))
	}
	return furtherDialect{
		name: "blind5 otherwise",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {
			letter := string(rune('A' + t.Index))
			gain := func() float32 { return float32(blindFiveAmplitude(v.Number(t))) }
			switch t.Kind {
			case practice.InputName:
				say("/seats", int32(t.Index), blindFiveName(v, t.Kind, t.Index))
			case practice.InputFader:
				say(seat(v, t.Index)+"/gain", gain())
			case practice.InputMute:
				say(seat(v, t.Index)+"/mute", blindFiveMuted(v, t.Kind, t.Index))
			case practice.InputSolo:
				say(seat(v, t.Index)+"/solo", blindFiveSolo(v, t.Index))
			case practice.DCAFader:
				say("/lever/"+letter+"/gain", gain())
			case practice.DCAMute:
				say("/lever/"+letter+"/mute", blindFiveMuted(v, t.Kind, t.Index))
			case practice.GroupFader:
				say(fmt.Sprintf("/stem/%d/gain", t.Index), gain())
			case practice.GroupMute:
				say(fmt.Sprintf("/stem/%d/mute", t.Index), blindFiveMuted(v, t.Kind, t.Index))
			case practice.MainFader:
				say("/house/gain", gain())
			case practice.MainMute:
				say("/house/mute", blindFiveMuted(v, t.Kind, t.Index))
			}
		},
		meters: func(v practice.View, say func(address string, args ...any)) {
			calls++
			show := func(address string, db float64) {
				now := lamps(db)
				if was, known := lit[address]; known && was == now && calls%20 != 0 {
					return
				}
				lit[address] = now
				say(address, now)
			}
			for i := range blindFiveInputs {
				show(seat(v, i)+"/lamps", blindFiveBehind(v, i))
			}
			for i := range blindFiveGroups {
				show(fmt.Sprintf("/stem/%d/lamps", i), blindFiveNumber(v, practice.GroupLevel, i))
			}
			show("/house/lamps", blindFiveNumber(v, practice.MainLevel, 0))
			if calls%10 == 0 { // the light over the desk breathes
				say("/lamp/glow", float32(0.6+0.1*math.Sin(float64(calls)/40)))
			}
		},
		truth: `signals:
  - hear: /seats
    is: input.name
    which: {input: 0-15, arg: 0}
    value: {arg: 1}
  - hear: /seat/{input-name}/gain
    is: input.fader
    value: {arg: 0, unit: amplitude}
  - hear: /seat/{input-name}/mute
    is: input.mute
    value: {arg: 0}
  - hear: /seat/{input-name}/solo
    is: input.solo
    value: {arg: 0}
  - hear: /lever/{dca:A-D}/gain
    is: dca.fader
    value: {arg: 0, unit: amplitude}
  - hear: /lever/{dca:A-D}/mute
    is: dca.mute
    value: {arg: 0}
  - hear: /stem/{group:0-3}/gain
    is: group.fader
    value: {arg: 0, unit: amplitude}
  - hear: /stem/{group:0-3}/mute
    is: group.mute
    value: {arg: 0}
  - hear: /house/gain
    is: main.fader
    value: {arg: 0, unit: amplitude}
  - hear: /house/mute
    is: main.mute
    value: {arg: 0}
  - hear: /seat/{input-name}/lamps
    is: input.level
    tap: post-fader
    value: {arg: 0, unit: dBFS, scale: 1.5, offset: -60, minus-infinity: 0}
  - hear: /stem/{group:0-3}/lamps
    is: group.level
    value: {arg: 0, unit: dBFS, scale: 1.5, offset: -60, minus-infinity: 0}
  - hear: /house/lamps
    is: main.level
    value: {arg: 0, unit: dBFS, scale: 1.5, offset: -60, minus-infinity: 0}
`,
	}
}

// 8. Mixed. One address for edits says what it is about, then which strip (inputs, DCAs and groups in
// one row from 0 on), then the value; a fader is text with a comma. The switches of the whole desk are
// one list, 1 is live. The stream is a blob of level and gain factor of each input, lowest byte
// first, then the groups and the main as floats.

func blindFiveMixed() furtherDialect {
	ticks := int32(0)
	row := func(t practice.Topic) int32 {
		switch t.Kind {
		case practice.DCAFader:
			return int32(blindFiveInputs + t.Index)
		case practice.GroupFader:
			return int32(blindFiveInputs + blindFiveDCAs + t.Index)
		}
		return int32(t.Index)
	}
	comma := func(db float64) string {
		if math.IsInf(db, -1) {
			return "-inf"
		}
		return strings.Replace(fmt.Sprintf("%+.2f dB", db), ".", ",", 1)
	}
	level := func(v practice.View, k practice.Kind, i int) float32 {
		return float32(blindFiveFloor(blindFiveNumber(v, k, i), -144))
	}
	return furtherDialect{
		name: "blind5 mixed",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {
			switch t.Kind {
			case practice.InputName:
				say("/edit", "name", row(t), blindFiveName(v, t.Kind, t.Index))
			case practice.InputFader, practice.DCAFader, practice.GroupFader:
				say("/edit", "fader", row(t), comma(v.Number(t)))
			case practice.MainFader:
				say("/edit", "master", int32(0), comma(v.Number(t)))
			case practice.InputSolo:
				say("/edit", "solo", row(t), blindFiveSolo(v, t.Index))
			case practice.InputMute, practice.DCAMute, practice.GroupMute, practice.MainMute:
				list := []any{}
				for _, bank := range []struct {
					kind  practice.Kind
					count int
				}{
					{practice.InputMute, blindFiveInputs}, {practice.DCAMute, blindFiveDCAs},
					{practice.GroupMute, blindFiveGroups}, {practice.MainMute, 1},
				} {
					for i := range bank.count {
						list = append(list, 1-blindFiveMuted(v, bank.kind, i))
					}
				}
				say("/live", list...)
			}
		},
		meters: func(v practice.View, say func(address string, args ...any)) {
			ticks++
			b := binary.LittleEndian.AppendUint32(nil, uint32(ticks))
			for i := range blindFiveInputs {
				factor := float32(blindFiveAmplitude(-blindFiveNumber(v, practice.InputReduction, i)))
				b = binary.LittleEndian.AppendUint32(b, math.Float32bits(level(v, practice.InputLevel, i)))
				b = binary.LittleEndian.AppendUint32(b, math.Float32bits(factor))
			}
			args := []any{b}
			for i := range blindFiveGroups {
				args = append(args, level(v, practice.GroupLevel, i))
			}
			args = append(args, level(v, practice.MainLevel, 0))
			say("/stream", args...)
			if ticks%40 == 0 { // which pages the two screens show
				say("/screens", "mix", ticks/40%5)
			}
		},
		truth: `signals:
  - hear: /edit
    is: input.name
    when: {arg: 0, is: name}
    which: {input: 0-15, arg: 1}
    value: {arg: 2}
  - hear: /edit
    is: input.fader
    when: {arg: 0, is: fader}
    which: {input: 0-15, arg: 1}
    value: {arg: 2, unit: dB}
  - hear: /edit
    is: dca.fader
    when: {arg: 0, is: fader}
    which: {dca: 16-19=1, arg: 1}
    value: {arg: 2, unit: dB}
  - hear: /edit
    is: group.fader
    when: {arg: 0, is: fader}
    which: {group: 20-23=1, arg: 1}
    value: {arg: 2, unit: dB}
  - hear: /edit
    is: main.fader
    when: {arg: 0, is: master}
    value: {arg: 2, unit: dB}
  - hear: /edit
    is: input.solo
    when: {arg: 0, is: solo}
    which: {input: 0-15, arg: 1}
    value: {arg: 2}
  - hear: /live
    is: input.mute
    value: {args: 0, each: input:1-16, invert: true}
  - hear: /live
    is: dca.mute
    value: {args: 16, each: dca:1-4, invert: true}
  - hear: /live
    is: group.mute
    value: {args: 20, each: group:1-4, invert: true}
  - hear: /live
    is: main.mute
    value: {arg: 24, invert: true}
  - hear: /stream
    is: input.level
    tap: pre-fader
    value: {blob: 0, of: float32-le, skip: 4, stride: 8, each: input:1-16, unit: dBFS, minus-infinity: "<= -144"}
  - hear: /stream
    is: input.reduction
    value: {blob: 0, of: float32-le, skip: 8, stride: 8, each: input:1-16, unit: amplitude}
  - hear: /stream
    is: group.level
    value: {args: 1, each: group:1-4, unit: dBFS, minus-infinity: "<= -144"}
  - hear: /stream
    is: main.level
    value: {arg: 5, unit: dBFS, minus-infinity: "<= -144"}
`,
	}
}
