package survey

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"

	"pawl/daemon/practice"
)

// Eight invented desks of eight invented firms. Not one of their addresses or layouts is
// of a real desk. A position is always worked out backwards from the gain in dB, so that
// the taper of the truth gives the gain that the hall really has.

const (
	blindTwoInputs = 16
	blindTwoFour   = 4 // DCAs, and groups
)

var blindTwoNothing = math.Inf(-1)

// blindTwoTopic is the topic of strip i of a kind.
func blindTwoTopic(k practice.Kind, i int) practice.Topic { return practice.Topic{Kind: k, Index: i} }

func blindTwoGain(v practice.View, k practice.Kind, i int) float64 {
	return v.Number(blindTwoTopic(k, i))
}

func blindTwoMuted(v practice.View, k practice.Kind, i int) bool {
	return v.Muted(blindTwoTopic(k, i))
}

func blindTwoSoloed(v practice.View, i int) bool {
	return v.Number(blindTwoTopic(practice.InputSolo, i)) != 0
}

func blindTwoName(v practice.View, k practice.Kind, i int) string {
	return v.Hall().Strip(blindTwoTopic(k, i))
}

// blindTwoBehind is an input's level behind its fader and its mute.
func blindTwoBehind(v practice.View, i int) float64 {
	if blindTwoMuted(v, practice.InputMute, i) {
		return blindTwoNothing
	}
	return blindTwoGain(v, practice.InputLevel, i) + blindTwoGain(v, practice.InputFader, i)
}

func blindTwoInt(on bool) int32 {
	if on {
		return 1
	}
	return 0
}

// blindTwoCount is x rounded and kept between two bounds; minus infinity is the lower one.
func blindTwoCount(x, low, high float64) int64 {
	return int64(math.Round(math.Max(low, math.Min(high, x))))
}

func blindTwoFactor(dB float64) float64 { return math.Pow(10, dB/20) }

// blindTwoPoint is one point of a taper.
type blindTwoPoint struct{ at, dB float64 }

// blindTwoTaper is a fader's scale: straight lines in dB between the points, and a straight
// line of the gain itself above a point at minus infinity.
type blindTwoTaper []blindTwoPoint

// position is where a fader of this gain stands.
func (p blindTwoTaper) position(dB float64) float64 {
	if dB >= p[len(p)-1].dB {
		return p[len(p)-1].at
	}
	if math.IsInf(dB, -1) {
		return p[0].at
	}
	for n := 1; n < len(p); n++ {
		a, b := p[n-1], p[n]
		switch {
		case dB > b.dB || math.IsInf(b.dB, -1):
		case math.IsInf(a.dB, -1):
			return a.at + (b.at-a.at)*blindTwoFactor(dB-b.dB)
		case dB >= a.dB:
			return a.at + (b.at-a.at)*(dB-a.dB)/(b.dB-a.dB)
		}
	}
	return p[0].at
}

// text is the taper as a map has it.
func (p blindTwoTaper) text() string {
	var all []string
	for _, q := range p {
		dB := "-inf"
		if !math.IsInf(q.dB, -1) {
			dB = fmt.Sprintf("%.6g", q.dB)
		}
		all = append(all, fmt.Sprintf("[%.6g, %s]", q.at, dB))
	}
	return "[" + strings.Join(all, ", ") + "]"
}

// blindTwoFall are meters that rise at once and fall by so many dB each time they are seen.
type blindTwoFall []float64

func blindTwoFalls(n int) blindTwoFall {
	f := make(blindTwoFall, n)
	for i := range f {
		f[i] = blindTwoNothing
	}
	return f
}

func (f blindTwoFall) see(i int, now, step float64) float64 {
	f[i] = math.Max(now, f[i]-step)
	if f[i] < -160 {
		f[i] = blindTwoNothing
	}
	return f[i]
}

// blindTwoMean are meters of the mean power, in which each sight counts for a share.
type blindTwoMean []float64

func (m blindTwoMean) see(i int, now, share float64) float64 {
	m[i] += share * (math.Pow(10, now/10) - m[i])
	if m[i] < 1e-16 {
		m[i] = 0
	}
	return m[i]
}

// blindTwoHold are meters that stay at the highest for so many sights and then fall.
type blindTwoHold struct {
	top  []float64
	left []int
}

func (h *blindTwoHold) see(i int, now float64, sights int, step float64) float64 {
	switch {
	case now >= h.top[i]:
		h.top[i], h.left[i] = now, sights
	case h.left[i] > 0:
		h.left[i]--
	default:
		h.top[i] = math.Max(now, h.top[i]-step)
	}
	return h.top[i]
}

func blind2() []furtherDialect {
	return []furtherDialect{
		blindTwoText(),
		blindTwoBlobs(),
		blindTwoInterleaved(),
		blindTwoBanks(),
		blindTwoTCP(),
		blindTwoPolled(),
		blindTwoOtherwise(),
		blindTwoMixed(),
	}
}

// 1. Text. A theatre desk from the north: one address for each strip, with a word that says
// what and a text that says how much, in the desk's own language and with a decimal comma.
// A closed fader is "-inf dB", a switch is a word. The meters are lists of texts ten times a second,
// slow ones (mean power), before the fader, and stop at -90.
func blindTwoText() furtherDialect {
	comma := func(dB float64, sign bool) string {
		dB = math.Round(dB*10)/10 + 0 // no "-0,0"
		form := "%.1f"
		if sign && dB > 0 {
			form = "%+.1f"
		}
		return strings.Replace(fmt.Sprintf(form, dB), ".", ",", 1)
	}
	gain := func(dB float64) string {
		if math.IsInf(dB, -1) {
			return "-inf dB"
		}
		return comma(dB, true) + " dB"
	}
	level := func(dB float64) string { return comma(math.Max(dB, -90), false) }
	word := func(on bool, yes, no string) string {
		if on {
			return yes
		}
		return no
	}
	place := func(t practice.Topic) string {
		switch t.Kind {
		case practice.DCAFader, practice.DCAMute:
			return fmt.Sprintf("/ohjain/%d", t.Index+1)
		case practice.GroupFader, practice.GroupMute:
			return "/ryhma/" + string(rune('A'+t.Index))
		case practice.MainFader, practice.MainMute:
			return "/paa"
		}
		return fmt.Sprintf("/kanava/%d", t.Index+1)
	}
	colours := []string{"sininen", "vihrea", "ruskea", "harmaa", "keltainen"}
	calls := 0
	mean := make(blindTwoMean, blindTwoInputs)
	return furtherDialect{
		name: "blind two, text",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			switch t.Kind {
			case practice.InputName:
				say(place(t), "nimi", v.Hall().Strip(t))
				say(place(t), "vari", colours[t.Index%len(colours)])
			case practice.InputFader, practice.DCAFader, practice.GroupFader, practice.MainFader:
				say(place(t), "taso", gain(v.Number(t)))
			case practice.InputMute, practice.DCAMute, practice.GroupMute, practice.MainMute:
				say(place(t), "portti", word(v.Muted(t), "kiinni", "auki"))
			case practice.InputSolo:
				say(place(t), "kuuntelu", word(blindTwoSoloed(v, t.Index), "kuuluu", "ei"))
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			for i := range blindTwoInputs {
				mean.see(i, blindTwoGain(v, practice.InputLevel, i), 0.3)
			}
			if calls%20 == 1 {
				s := 19*3600 + 24*60 + calls/20
				say("/kello", fmt.Sprintf("%02d.%02d.%02d", s/3600%24, s/60%60, s%60))
			}
			if calls%2 != 0 {
				return
			}
			var in, held, out []any
			for i := range blindTwoInputs {
				in = append(in, level(10*math.Log10(mean[i])))
				held = append(held, comma(blindTwoGain(v, practice.InputReduction, i), false))
			}
			for i := range blindTwoFour {
				out = append(out, level(blindTwoGain(v, practice.GroupLevel, i)))
			}
			for i := range blindTwoFour {
				out = append(out, comma(blindTwoGain(v, practice.GroupReduction, i), false))
			}
			out = append(out, level(blindTwoGain(v, practice.MainLevel, 0)))
			say("/mittari/tulo", in...)
			say("/mittari/lahto", out...)
			if calls%4 == 0 {
				say("/mittari/puristus", held...)
			}
		},
		truth: `signals:
  - hear: /kanava/{input:1-16}
    is: input.fader
    when: {arg: 0, is: taso}
    value: {arg: 1, unit: dB}
  - hear: /kanava/{input:1-16}
    is: input.mute
    when: {arg: 0, is: portti}
    value: {arg: 1, words: {kiinni: on, auki: off}}
  - hear: /kanava/{input:1-16}
    is: input.solo
    when: {arg: 0, is: kuuntelu}
    value: {arg: 1, words: {kuuluu: on, ei: off}}
  - hear: /kanava/{input:1-16}
    is: input.name
    when: {arg: 0, is: nimi}
    value: {arg: 1}
  - hear: /ohjain/{dca:1-4}
    is: dca.fader
    when: {arg: 0, is: taso}
    value: {arg: 1, unit: dB}
  - hear: /ohjain/{dca:1-4}
    is: dca.mute
    when: {arg: 0, is: portti}
    value: {arg: 1, words: {kiinni: on, auki: off}}
  - hear: /ryhma/{group:A-D}
    is: group.fader
    when: {arg: 0, is: taso}
    value: {arg: 1, unit: dB}
  - hear: /ryhma/{group:A-D}
    is: group.mute
    when: {arg: 0, is: portti}
    value: {arg: 1, words: {kiinni: on, auki: off}}
  - hear: /paa
    is: main.fader
    when: {arg: 0, is: taso}
    value: {arg: 1, unit: dB}
  - hear: /paa
    is: main.mute
    when: {arg: 0, is: portti}
    value: {arg: 1, words: {kiinni: on, auki: off}}
  - hear: /mittari/tulo
    is: input.level
    tap: pre-fader
    detector: rms
    value: {args: 0, each: input:1-16, unit: dBFS, minus-infinity: "<= -90"}
  - hear: /mittari/puristus
    is: input.reduction
    value: {args: 0, each: input:1-16, unit: dB, sign: positive}
  - hear: /mittari/lahto
    is: group.level
    value: {args: 0, each: group:1-4, unit: dBFS, minus-infinity: "<= -90"}
  - hear: /mittari/lahto
    is: group.reduction
    value: {args: 4, each: group:1-4, unit: dB, sign: positive}
  - hear: /mittari/lahto
    is: main.level
    value: {arg: 8, unit: dBFS, minus-infinity: "<= -90"}
`,
	}
}

// 2. Blobs. The desk's signal processor as it is: gains are fixed-point coefficients
// (8.24 bits, 1.0 is unity) of all strips of a kind behind a count of edits, switches are
// bytes that say what passes, meters are 16-bit envelopes with the groups before the inputs
// (behind the fader, quick to rise and falling 30 dB in a second), and a compressor is the factor that it
// multiplies by. Only the sum is an ordinary number.
func blindTwoBlobs() furtherDialect {
	calls, edits := 0, uint32(0)
	fall := blindTwoFalls(blindTwoInputs)
	gains := func(v practice.View, k practice.Kind, n int) []byte {
		edits++
		b := binary.BigEndian.AppendUint32(nil, edits)
		for i := range n {
			b = binary.BigEndian.AppendUint32(b, uint32(blindTwoCount(blindTwoFactor(blindTwoGain(v, k, i))*(1<<24), 0, math.MaxInt32)))
		}
		return b
	}
	passes := func(v practice.View, k practice.Kind, n int) []byte {
		b := make([]byte, n)
		for i := range b {
			b[i] = byte(blindTwoInt(!blindTwoMuted(v, k, i)))
		}
		return b
	}
	envelope := func(b []byte, dB float64) []byte {
		return binary.BigEndian.AppendUint16(b, uint16(blindTwoCount(blindTwoFactor(dB)*32768, 0, 65535)))
	}
	return furtherDialect{
		name: "blind two, blobs",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			switch t.Kind {
			case practice.InputFader:
				say("/core/coef/sources", gains(v, practice.InputFader, blindTwoInputs))
			case practice.DCAFader:
				say("/core/coef/masters", gains(v, practice.DCAFader, blindTwoFour))
			case practice.GroupFader:
				say("/core/coef/stems", gains(v, practice.GroupFader, blindTwoFour))
			case practice.MainFader:
				say("/core/coef/sum", float32(blindTwoFactor(v.Number(t))))
			case practice.InputMute:
				say("/core/pass/sources", passes(v, practice.InputMute, blindTwoInputs))
			case practice.DCAMute:
				say("/core/pass/masters", passes(v, practice.DCAMute, blindTwoFour))
			case practice.GroupMute:
				say("/core/pass/stems", passes(v, practice.GroupMute, blindTwoFour))
			case practice.MainMute:
				say("/core/pass/sum", blindTwoInt(!v.Muted(t)))
			case practice.InputSolo:
				b := make([]byte, blindTwoInputs)
				for i := range b {
					b[i] = byte(blindTwoInt(blindTwoSoloed(v, i)))
				}
				say("/core/listen/sources", b)
			case practice.InputName:
				var all []any
				for i := range blindTwoInputs {
					all = append(all, blindTwoName(v, practice.InputName, i))
				}
				say("/core/labels", all...)
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			b := binary.BigEndian.AppendUint32(nil, uint32(calls)*2400) // the samples since the start
			for i := range blindTwoFour {
				b = envelope(b, blindTwoGain(v, practice.GroupLevel, i))
			}
			for i := range blindTwoInputs {
				b = envelope(b, fall.see(i, blindTwoBehind(v, i), 1.5))
			}
			b = append(b, 0, 0, 0x5a, byte(calls))
			say("/core/env", b, float32(blindTwoFactor(blindTwoGain(v, practice.MainLevel, 0))))
			if calls%2 == 0 {
				var g []byte
				for i := range blindTwoInputs {
					g = binary.BigEndian.AppendUint16(g, uint16(blindTwoCount(blindTwoFactor(-blindTwoGain(v, practice.InputReduction, i))*65535, 1, 65535)))
				}
				for i := range blindTwoFour {
					g = binary.BigEndian.AppendUint16(g, uint16(blindTwoCount(blindTwoFactor(-blindTwoGain(v, practice.GroupReduction, i))*65535, 1, 65535)))
				}
				say("/core/vca", g)
			}
			if calls%40 == 1 {
				say("/core/load", float32(0.41+0.03*math.Sin(float64(calls)/90)), int32(48000))
			}
		},
		truth: `signals:
  - hear: /core/coef/sources
    is: input.fader
    value: {blob: 0, of: int32-be, skip: 4, each: input:1-16, unit: amplitude, scale: 1/16777216}
  - hear: /core/coef/masters
    is: dca.fader
    value: {blob: 0, of: int32-be, skip: 4, each: dca:1-4, unit: amplitude, scale: 1/16777216}
  - hear: /core/coef/stems
    is: group.fader
    value: {blob: 0, of: int32-be, skip: 4, each: group:1-4, unit: amplitude, scale: 1/16777216}
  - hear: /core/coef/sum
    is: main.fader
    value: {arg: 0, unit: amplitude}
  - hear: /core/pass/sources
    is: input.mute
    value: {blob: 0, of: uint8, each: input:1-16, invert: true}
  - hear: /core/pass/masters
    is: dca.mute
    value: {blob: 0, of: uint8, each: dca:1-4, invert: true}
  - hear: /core/pass/stems
    is: group.mute
    value: {blob: 0, of: uint8, each: group:1-4, invert: true}
  - hear: /core/pass/sum
    is: main.mute
    value: {arg: 0, invert: true}
  - hear: /core/listen/sources
    is: input.solo
    value: {blob: 0, of: uint8, each: input:1-16}
  - hear: /core/labels
    is: input.name
    value: {args: 0, each: input:1-16}
  - hear: /core/env
    is: input.level
    tap: post-fader
    value: {blob: 0, of: uint16-be, skip: 12, each: input:1-16, unit: amplitude, scale: 1/32768}
  - hear: /core/env
    is: group.level
    value: {blob: 0, of: uint16-be, skip: 4, each: group:1-4, unit: amplitude, scale: 1/32768}
  - hear: /core/env
    is: main.level
    value: {arg: 1, unit: amplitude}
  - hear: /core/vca
    is: input.reduction
    value: {blob: 0, of: uint16-be, each: input:1-16, unit: amplitude, scale: 1/65535}
  - hear: /core/vca
    is: group.reduction
    value: {blob: 0, of: uint16-be, skip: 32, each: group:1-4, unit: amplitude, scale: 1/65535}
`,
	}
}

// 3. Interleaved. Whatever changes, the whole panel is told as one list: for each input its
// fader (14 bits), whether it sounds, whether it is listened to; then the DCAs and groups in
// pairs, the main, and a version that means nothing. The meters are one blob of little-endian
// twentieths of a dB, the main before it as a number: level, held peak and reduction of each input
// (before the fader), level and reduction of each group, a sum to check by.
func blindTwoInterleaved() furtherDialect {
	throw := blindTwoTaper{{0, blindTwoNothing}, {700, -66}, {2300, -46}, {5200, -28}, {8900, -12}, {12600, 0}, {16383, 6}}
	place := func(v practice.View, k practice.Kind, i int) int32 {
		return int32(math.Round(throw.position(blindTwoGain(v, k, i))))
	}
	twentieth := func(dB float64) int16 {
		if dB < -150 {
			return math.MinInt16
		}
		return int16(blindTwoCount(dB*20, -3000, 3000))
	}
	calls, edits := 0, int32(0)
	hold := &blindTwoHold{top: blindTwoFalls(blindTwoInputs), left: make([]int, blindTwoInputs)}
	return furtherDialect{
		name: "blind two, interleaved",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			switch t.Kind {
			case practice.InputName:
				say("/surface/plate", int32(t.Index+1), v.Hall().Strip(t), int32(t.Index*5%8))
			case practice.InputFader, practice.InputMute, practice.InputSolo, practice.DCAFader, practice.DCAMute,
				practice.GroupFader, practice.GroupMute, practice.MainFader, practice.MainMute:
				edits++
				all := []any{edits}
				for i := range blindTwoInputs {
					all = append(all, place(v, practice.InputFader, i), blindTwoInt(!blindTwoMuted(v, practice.InputMute, i)),
						blindTwoInt(blindTwoSoloed(v, i)))
				}
				for i := range blindTwoFour {
					all = append(all, place(v, practice.DCAFader, i), blindTwoInt(!blindTwoMuted(v, practice.DCAMute, i)))
				}
				for i := range blindTwoFour {
					all = append(all, place(v, practice.GroupFader, i), blindTwoInt(!blindTwoMuted(v, practice.GroupMute, i)))
				}
				all = append(all, place(v, practice.MainFader, 0), blindTwoInt(!blindTwoMuted(v, practice.MainMute, 0)), "v3")
				say("/surface/state", all...)
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			b := []byte{0x51, 0x1d}
			b = binary.LittleEndian.AppendUint32(b, uint32(calls))
			put := func(x int16) { b = binary.LittleEndian.AppendUint16(b, uint16(x)) }
			for i := range blindTwoInputs {
				now := blindTwoGain(v, practice.InputLevel, i)
				put(twentieth(now))
				put(twentieth(hold.see(i, now, 30, 1)))
				put(twentieth(blindTwoGain(v, practice.InputReduction, i)))
			}
			for i := range blindTwoFour {
				put(twentieth(blindTwoGain(v, practice.GroupLevel, i)))
				put(twentieth(blindTwoGain(v, practice.GroupReduction, i)))
			}
			sum := int16(0)
			for _, x := range b {
				sum += int16(x)
			}
			put(sum)
			say("/surface/needles", int32(twentieth(blindTwoGain(v, practice.MainLevel, 0))), b)
			if calls%60 == 30 {
				say("/surface/power", float32(11.9+0.1*math.Sin(float64(calls)/300)), float32(5.02), int32(1))
			}
		},
		truth: `tapers:
  throw: ` + throw.text() + `
signals:
  - hear: /surface/state
    is: input.fader
    value: {args: 1, each: input:1-16, stride: 3, taper: throw}
  - hear: /surface/state
    is: input.mute
    value: {args: 2, each: input:1-16, stride: 3, invert: true}
  - hear: /surface/state
    is: input.solo
    value: {args: 3, each: input:1-16, stride: 3}
  - hear: /surface/state
    is: dca.fader
    value: {args: 49, each: dca:1-4, stride: 2, taper: throw}
  - hear: /surface/state
    is: dca.mute
    value: {args: 50, each: dca:1-4, stride: 2, invert: true}
  - hear: /surface/state
    is: group.fader
    value: {args: 57, each: group:1-4, stride: 2, taper: throw}
  - hear: /surface/state
    is: group.mute
    value: {args: 58, each: group:1-4, stride: 2, invert: true}
  - hear: /surface/state
    is: main.fader
    value: {arg: 65, taper: throw}
  - hear: /surface/state
    is: main.mute
    value: {arg: 66, invert: true}
  - hear: /surface/plate
    is: input.name
    which: {input: 1-16, arg: 0}
    value: {arg: 1}
  - hear: /surface/needles
    is: input.level
    tap: pre-fader
    value: {blob: 1, of: int16-le, skip: 6, stride: 6, each: input:1-16, unit: dBFS, scale: 0.05, minus-infinity: -32768}
  - hear: /surface/needles
    is: input.peak
    tap: pre-fader
    detector: peak
    value: {blob: 1, of: int16-le, skip: 8, stride: 6, each: input:1-16, unit: dBFS, scale: 0.05, minus-infinity: -32768}
  - hear: /surface/needles
    is: input.reduction
    value: {blob: 1, of: int16-le, skip: 10, stride: 6, each: input:1-16, unit: dB, scale: 0.05, sign: positive}
  - hear: /surface/needles
    is: group.level
    value: {blob: 1, of: int16-le, skip: 102, stride: 4, each: group:1-4, unit: dBFS, scale: 0.05, minus-infinity: -32768}
  - hear: /surface/needles
    is: group.reduction
    value: {blob: 1, of: int16-le, skip: 104, stride: 4, each: group:1-4, unit: dB, scale: 0.05, sign: positive}
  - hear: /surface/needles
    is: main.level
    value: {arg: 0, unit: dBFS, scale: 0.05, minus-infinity: -32768}
`,
	}
}

// 4. Bank lists. The desk is built of modules with four faders each, and a module tells all
// of its four at once: thousandths of the travel with a dead end at the bottom, cuts, cues, tags.
// DCAs and groups are a module each and the main is half a one. Module after module
// tells its meters (each 5 times a second): four levels behind the fader, which fall 20 dB in a second
// and end at -80, then the four compressors, below zero.
func blindTwoBanks() furtherDialect {
	travel := blindTwoTaper{{0, blindTwoNothing}, {15, blindTwoNothing}, {90, -60}, {260, -36}, {480, -18}, {780, 0}, {1000, 6}}
	quad := func(i int) string { return "/quad/" + string(rune('a'+i/4)) }
	four := func(from int, one func(i int) any) []any {
		var all []any
		for i := range 4 {
			all = append(all, one(from+i))
		}
		return all
	}
	travels := func(v practice.View, k practice.Kind, from int) []any {
		return four(from, func(i int) any { return int32(math.Round(travel.position(blindTwoGain(v, k, i)))) })
	}
	cuts := func(v practice.View, k practice.Kind, from int) []any {
		return four(from, func(i int) any { return blindTwoInt(blindTwoMuted(v, k, i)) })
	}
	level := func(dB float64) float32 { return float32(math.Max(dB, -80)) }
	held := func(v practice.View, k practice.Kind, from int) []any {
		return four(from, func(i int) any { return float32(0 - blindTwoGain(v, k, i)) })
	}
	calls := 0
	fall := blindTwoFalls(blindTwoInputs)
	var truth strings.Builder
	fmt.Fprintf(&truth, "tapers:\n  travel: %s\nsignals:\n", travel.text())
	entry := func(hear, is, more, value string) {
		fmt.Fprintf(&truth, "  - hear: %s\n    is: %s\n%s    value: {%s}\n", hear, is, more, value)
	}
	for i := 0; i < blindTwoInputs; i += 4 {
		each := fmt.Sprintf("each: input:%d-%d", i+1, i+4)
		entry(quad(i)+"/travel", "input.fader", "", "args: 0, "+each+", taper: travel")
		entry(quad(i)+"/cut", "input.mute", "", "args: 0, "+each)
		entry(quad(i)+"/cue", "input.solo", "", "args: 0, "+each)
		entry(quad(i)+"/tags", "input.name", "", "args: 0, "+each)
		entry(quad(i)+"/bars", "input.level", "    tap: post-fader\n", "args: 0, "+each+`, unit: dBFS, minus-infinity: "<= -80"`)
		entry(quad(i)+"/bars", "input.reduction", "", "args: 4, "+each+", unit: dB, sign: negative")
	}
	entry("/quad/reins/travel", "dca.fader", "", "args: 0, each: dca:1-4, taper: travel")
	entry("/quad/reins/cut", "dca.mute", "", "args: 0, each: dca:1-4")
	entry("/quad/folds/travel", "group.fader", "", "args: 0, each: group:1-4, taper: travel")
	entry("/quad/folds/cut", "group.mute", "", "args: 0, each: group:1-4")
	entry("/quad/folds/bars", "group.level", "", `args: 0, each: group:1-4, unit: dBFS, minus-infinity: "<= -80"`)
	entry("/quad/folds/bars", "group.reduction", "", "args: 4, each: group:1-4, unit: dB, sign: negative")
	entry("/half/house", "main.fader", "", "arg: 0, taper: travel")
	entry("/half/house", "main.mute", "", "arg: 1")
	entry("/half/house/bar", "main.level", "", `arg: 0, unit: dBFS, minus-infinity: "<= -80"`)
	return furtherDialect{
		name: "blind two, bank lists",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			from := t.Index / 4 * 4
			switch t.Kind {
			case practice.InputFader:
				say(quad(from)+"/travel", travels(v, t.Kind, from)...)
			case practice.InputMute:
				say(quad(from)+"/cut", cuts(v, t.Kind, from)...)
			case practice.InputSolo:
				say(quad(from)+"/cue", four(from, func(i int) any { return blindTwoInt(blindTwoSoloed(v, i)) })...)
			case practice.InputName:
				say(quad(from)+"/tags", four(from, func(i int) any { return blindTwoName(v, practice.InputName, i) })...)
			case practice.DCAFader:
				say("/quad/reins/travel", travels(v, t.Kind, 0)...)
			case practice.DCAMute:
				say("/quad/reins/cut", cuts(v, t.Kind, 0)...)
			case practice.GroupFader:
				say("/quad/folds/travel", travels(v, t.Kind, 0)...)
			case practice.GroupMute:
				say("/quad/folds/cut", cuts(v, t.Kind, 0)...)
			case practice.MainFader, practice.MainMute:
				say("/half/house", int32(math.Round(travel.position(blindTwoGain(v, practice.MainFader, 0)))),
					blindTwoInt(blindTwoMuted(v, practice.MainMute, 0)))
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			for i := range blindTwoInputs {
				fall.see(i, blindTwoBehind(v, i), 1)
			}
			from := calls % 4 * 4
			bars := four(from, func(i int) any { return level(fall[i]) })
			say(quad(from)+"/bars", append(bars, held(v, practice.InputReduction, from)...)...)
			if calls%2 == 0 {
				bars := four(0, func(i int) any { return level(blindTwoGain(v, practice.GroupLevel, i)) })
				say("/quad/folds/bars", append(bars, held(v, practice.GroupReduction, 0)...)...)
			} else {
				say("/half/house/bar", level(blindTwoGain(v, practice.MainLevel, 0)))
			}
			if calls%30 == 0 { // which lamps of a module are warm, and how often it was asked
				m := calls / 30 % 4
				say("/module/"+string(rune('a'+m))+"/health", float32(31+m), int32(calls), "ok")
			}
		},
		truth: truth.String(),
	}
}

// 5. A TCP desk: OSC 1.0 in a stream, each packet behind its size (tcp-length); nothing else differs.
// One address for all that has a number: the value first, then a word, then the number of
// the strip in one row (inputs 1 to 16, DCAs 31 to 34, groups 41 to 44). Gains are dB, -96 is closed;
// switches are true or false. The meters, 10 times a second, are told before and behind the
// fader; -144 is nothing. A compressor is told below zero, and only of those at work, with one 0 after.
// A beat says that the desk is there.
func blindTwoTCP() furtherDialect {
	row := map[practice.Kind]int{
		practice.DCAFader: 31, practice.DCAMute: 31,
		practice.GroupFader: 41, practice.GroupMute: 41,
	}
	node := func(t practice.Topic) int32 {
		if n, ok := row[t.Kind]; ok {
			return int32(n + t.Index)
		}
		return int32(1 + t.Index)
	}
	gain := func(dB float64) float32 { return float32(math.Max(dB, -96)) }
	level := func(dB float64) float32 { return float32(math.Max(dB, -144)) }
	calls := 0
	atWork := make([]bool, 45)
	return furtherDialect{
		name: "blind two, TCP (tcp-length)",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			switch t.Kind {
			case practice.InputName:
				say("/now", v.Hall().Strip(t), "title", node(t))
			case practice.InputFader, practice.DCAFader, practice.GroupFader:
				say("/now", gain(v.Number(t)), "gain", node(t))
			case practice.InputMute, practice.DCAMute, practice.GroupMute:
				say("/now", v.Muted(t), "hush", node(t))
			case practice.InputSolo:
				say("/now", blindTwoSoloed(v, t.Index), "ears", node(t))
			case practice.MainFader:
				say("/now/house", gain(v.Number(t)), "gain")
			case practice.MainMute:
				say("/now/house", v.Muted(t), "hush")
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			if calls%20 == 1 {
				say("/beat", int32(calls/20))
			}
			if calls%200 == 2 { // the titles of what has no topic of its own
				for i := range blindTwoFour {
					say("/now", blindTwoName(v, practice.DCAFader, i), "title", int32(31+i))
					say("/now", blindTwoName(v, practice.GroupFader, i), "title", int32(41+i))
				}
			}
			if calls%2 != 0 {
				return
			}
			squeeze := func(k practice.Kind, i, n int) {
				r := blindTwoGain(v, k, i)
				if r < 0.05 {
					r = 0
				}
				if r > 0 || atWork[n] {
					say("/now", float32(0-r), "squeeze", int32(n))
				}
				atWork[n] = r > 0
			}
			for i := range blindTwoInputs {
				say("/now", level(blindTwoGain(v, practice.InputLevel, i)), "before", int32(1+i))
				say("/now", level(blindTwoBehind(v, i)), "behind", int32(1+i))
				squeeze(practice.InputReduction, i, 1+i)
			}
			for i := range blindTwoFour {
				say("/now", level(blindTwoGain(v, practice.GroupLevel, i)), "behind", int32(41+i))
				squeeze(practice.GroupReduction, i, 41+i)
			}
			say("/now/house", level(blindTwoGain(v, practice.MainLevel, 0)), "behind")
		},
		truth: `signals:
  - hear: /now
    is: input.fader
    when: {arg: 1, is: gain}
    which: {input: 1-16, arg: 2}
    value: {arg: 0, unit: dB, minus-infinity: "<= -96"}
  - hear: /now
    is: dca.fader
    when: {arg: 1, is: gain}
    which: {dca: 31-34=1, arg: 2}
    value: {arg: 0, unit: dB, minus-infinity: "<= -96"}
  - hear: /now
    is: group.fader
    when: {arg: 1, is: gain}
    which: {group: 41-44=1, arg: 2}
    value: {arg: 0, unit: dB, minus-infinity: "<= -96"}
  - hear: /now
    is: input.mute
    when: {arg: 1, is: hush}
    which: {input: 1-16, arg: 2}
    value: {arg: 0}
  - hear: /now
    is: dca.mute
    when: {arg: 1, is: hush}
    which: {dca: 31-34=1, arg: 2}
    value: {arg: 0}
  - hear: /now
    is: group.mute
    when: {arg: 1, is: hush}
    which: {group: 41-44=1, arg: 2}
    value: {arg: 0}
  - hear: /now
    is: input.solo
    when: {arg: 1, is: ears}
    which: {input: 1-16, arg: 2}
    value: {arg: 0}
  - hear: /now
    is: input.name
    when: {arg: 1, is: title}
    which: {input: 1-16, arg: 2}
    value: {arg: 0}
  - hear: /now
    is: dca.name
    when: {arg: 1, is: title}
    which: {dca: 31-34=1, arg: 2}
    value: {arg: 0}
  - hear: /now
    is: group.name
    when: {arg: 1, is: title}
    which: {group: 41-44=1, arg: 2}
    value: {arg: 0}
  - hear: /now
    is: input.level
    tap: pre-fader
    when: {arg: 1, is: before}
    which: {input: 1-16, arg: 2}
    value: {arg: 0, unit: dBFS, minus-infinity: "<= -144"}
  - hear: /now
    is: input.level
    tap: post-fader
    when: {arg: 1, is: behind}
    which: {input: 1-16, arg: 2}
    value: {arg: 0, unit: dBFS, minus-infinity: "<= -144"}
  - hear: /now
    is: group.level
    when: {arg: 1, is: behind}
    which: {group: 41-44=1, arg: 2}
    value: {arg: 0, unit: dBFS, minus-infinity: "<= -144"}
  - hear: /now
    is: input.reduction
    when: {arg: 1, is: squeeze}
    which: {input: 1-16, arg: 2}
    value: {arg: 0, unit: dB, sign: negative}
  - hear: /now
    is: group.reduction
    when: {arg: 1, is: squeeze}
    which: {group: 41-44=1, arg: 2}
    value: {arg: 0, unit: dB, sign: negative}
  - hear: /now/house
    is: main.fader
    when: {arg: 1, is: gain}
    value: {arg: 0, unit: dB, minus-infinity: "<= -96"}
  - hear: /now/house
    is: main.mute
    when: {arg: 1, is: hush}
    value: {arg: 0}
  - hear: /now/house
    is: main.level
    when: {arg: 1, is: behind}
    value: {arg: 0, unit: dBFS, minus-infinity: "<= -144"}
  - hear: /beat
    is: desk.alive
`,
	}
}

// 6. A polled desk: an old installed mixer behind a bridge, which asks it round and round and
// tells what it is answered. A fader is the byte of an attenuator in half dB (243 is unity, 255 is +6, 0 is off), a
// switch is 0 or 127, an input's meter is how many of its 40 lamps of 1.5 dB are lit, a group's and the
// main's how many of 12 lamps that are not evenly spaced. What kind comes first in the address,
// then a letter with the padded number of the strip. It has no compressors in its inputs.
func blindTwoPolled() furtherDialect {
	lamps := []float64{-50, -40, -32, -26, -21, -17, -13, -10, -7, -4, -2, 0}
	words := "0: -inf"
	for n, dB := range lamps {
		words += fmt.Sprintf(", %d: %g", n+1, dB)
	}
	lit := func(dB float64) int32 {
		n := 0
		for n < len(lamps) && dB >= lamps[n] {
			n++
		}
		return int32(n)
	}
	byteOf := func(dB float64) int32 {
		if math.IsInf(dB, -1) {
			return 0
		}
		return int32(blindTwoCount(2*(dB+121.5), 0, 255))
	}
	seven := func(on bool) int32 { return 127 * blindTwoInt(on) }
	calls := 0
	fall := blindTwoFalls(blindTwoInputs + blindTwoFour + 1)
	return furtherDialect{
		name: "blind two, polled",
		tell: func(practice.View, practice.Topic, func(string, ...any)) {},
		meters: func(v practice.View, say func(string, ...any)) {
			at := calls
			calls++
			for i := range blindTwoInputs {
				fall.see(i, blindTwoGain(v, practice.InputLevel, i), 0.75)
			}
			for i := range blindTwoFour {
				fall.see(blindTwoInputs+i, blindTwoGain(v, practice.GroupLevel, i), 0.75)
			}
			fall.see(blindTwoInputs+blindTwoFour, blindTwoGain(v, practice.MainLevel, 0), 0.75)
			if at%3 == 0 {
				for i := range blindTwoInputs {
					say(fmt.Sprintf("/poll/lamps/i%02d", i+1), int32(blindTwoCount(math.Floor((fall[i]+60)/1.5), 0, 40)))
				}
				for i := range blindTwoFour {
					say(fmt.Sprintf("/poll/lamps/g%02d", i+1), lit(fall[blindTwoInputs+i]))
				}
				say("/poll/lamps/sum", lit(fall[blindTwoInputs+blindTwoFour]))
			}
			if at%8 == 0 {
				for i := range blindTwoInputs {
					say(fmt.Sprintf("/poll/att/i%02d", i+1), byteOf(blindTwoGain(v, practice.InputFader, i)))
					say(fmt.Sprintf("/poll/off/i%02d", i+1), seven(blindTwoMuted(v, practice.InputMute, i)))
					say(fmt.Sprintf("/poll/phones/i%02d", i+1), seven(blindTwoSoloed(v, i)))
				}
				for i := range blindTwoFour {
					say(fmt.Sprintf("/poll/att/r%02d", i+1), byteOf(blindTwoGain(v, practice.DCAFader, i)))
					say(fmt.Sprintf("/poll/off/r%02d", i+1), seven(blindTwoMuted(v, practice.DCAMute, i)))
					say(fmt.Sprintf("/poll/att/g%02d", i+1), byteOf(blindTwoGain(v, practice.GroupFader, i)))
					say(fmt.Sprintf("/poll/off/g%02d", i+1), seven(blindTwoMuted(v, practice.GroupMute, i)))
					say(fmt.Sprintf("/poll/limit/g%02d", i+1), int32(blindTwoCount(10*blindTwoGain(v, practice.GroupReduction, i), 0, 600)))
				}
				say("/poll/att/sum", byteOf(blindTwoGain(v, practice.MainFader, 0)))
				say("/poll/off/sum", seven(blindTwoMuted(v, practice.MainMute, 0)))
				say("/poll/round", int32(at/8), int32(0), int32(17+at%5))
			}
			if at%100 == 0 {
				for i := range blindTwoInputs {
					say(fmt.Sprintf("/poll/lcd/i%02d", i+1), blindTwoName(v, practice.InputName, i))
				}
				for i := range blindTwoFour {
					say(fmt.Sprintf("/poll/lcd/g%02d", i+1), blindTwoName(v, practice.GroupFader, i))
					say(fmt.Sprintf("/poll/lcd/r%02d", i+1), blindTwoName(v, practice.DCAFader, i))
				}
			}
		},
		truth: `signals:
  - hear: /poll/att/i{input:01-16}
    is: input.fader
    value: {arg: 0, unit: dB, scale: 0.5, offset: -121.5, minus-infinity: 0}
  - hear: /poll/att/r{dca:01-04}
    is: dca.fader
    value: {arg: 0, unit: dB, scale: 0.5, offset: -121.5, minus-infinity: 0}
  - hear: /poll/att/g{group:01-04}
    is: group.fader
    value: {arg: 0, unit: dB, scale: 0.5, offset: -121.5, minus-infinity: 0}
  - hear: /poll/att/sum
    is: main.fader
    value: {arg: 0, unit: dB, scale: 0.5, offset: -121.5, minus-infinity: 0}
  - hear: /poll/off/i{input:01-16}
    is: input.mute
    value: {arg: 0}
  - hear: /poll/off/r{dca:01-04}
    is: dca.mute
    value: {arg: 0}
  - hear: /poll/off/g{group:01-04}
    is: group.mute
    value: {arg: 0}
  - hear: /poll/off/sum
    is: main.mute
    value: {arg: 0}
  - hear: /poll/phones/i{input:01-16}
    is: input.solo
    value: {arg: 0}
  - hear: /poll/lcd/i{input:01-16}
    is: input.name
  - hear: /poll/lcd/r{dca:01-04}
    is: dca.name
  - hear: /poll/lcd/g{group:01-04}
    is: group.name
  - hear: /poll/lamps/i{input:01-16}
    is: input.level
    tap: pre-fader
    value: {arg: 0, unit: dBFS, scale: 1.5, offset: -60, minus-infinity: 0}
  - hear: /poll/lamps/g{group:01-04}
    is: group.level
    value: {arg: 0, words: {` + words + `}}
  - hear: /poll/lamps/sum
    is: main.level
    value: {arg: 0, words: {` + words + `}}
  - hear: /poll/limit/g{group:01-04}
    is: group.reduction
    value: {arg: 0, unit: dB, scale: 0.1, sign: positive}
`,
	}
}

// 7. Addresses made otherwise: by where the hand finds the thing. The inputs are the fields of an upper
// and a lower deck of eight, the DCAs are the colours of their knobs, the groups are letters, and the
// main is the hall. A slide is 0 to 1 along a formula (6 dB less 72 times a power of what is left of the travel),
// shut off below a fiftieth. A mute is two addresses without arguments. A meter is the mean square (1 is full
// scale), behind the fader, slow. Everything carries the seconds since the start after its value.
func blindTwoOtherwise() furtherDialect {
	place := func(dB float64) float32 {
		p := 1 - math.Pow(math.Max(0, 6-dB)/72, 1/1.8)
		if !(p >= 0.02) {
			return 0
		}
		return float32(math.Min(p, 1))
	}
	var slide blindTwoTaper
	for n := 1; n <= 50; n++ {
		x := float64(n) / 50
		slide = append(slide, blindTwoPoint{x, 6 - 72*math.Pow(1-x, 1.8)})
	}
	decks := []string{"upper", "lower"}
	knobs := []string{"red", "amber", "green", "blue"}
	paints := []string{"chalk", "moss", "rust", "slate", "straw"}
	at := func(t practice.Topic) string {
		switch t.Kind {
		case practice.DCAFader, practice.DCAMute:
			return "/knob/" + knobs[t.Index]
		case practice.GroupFader, practice.GroupMute, practice.GroupLevel, practice.GroupReduction:
			return "/stem/" + string(rune('A'+t.Index))
		case practice.MainFader, practice.MainMute, practice.MainLevel:
			return "/hall"
		}
		return fmt.Sprintf("/%s/%d", decks[t.Index/8], 1+t.Index%8)
	}
	calls := 0
	mean := make(blindTwoMean, blindTwoInputs)
	seconds := func() float32 { return float32(calls) / 20 }
	var truth strings.Builder
	fmt.Fprintf(&truth, "tapers:\n  slide: %s\nsignals:\n", slide.text())
	entry := func(hear, is, more, value string) {
		fmt.Fprintf(&truth, "  - hear: %s\n    is: %s\n%s    value: {%s}\n", hear, is, more, value)
	}
	for _, s := range []struct{ at, is string }{
		{"/upper/{input:1-8}", "input"}, {"/lower/{input:1-8=9}", "input"},
		{"/knob/{dca:red,amber,green,blue}", "dca"}, {"/stem/{group:A-D}", "group"}, {"/hall", "main"},
	} {
		entry(s.at+"/slide", s.is+".fader", "", `arg: 0, taper: slide, minus-infinity: "< 0.02"`)
		entry(s.at+"/close", s.is+".mute", "", "bang: on")
		entry(s.at+"/open", s.is+".mute", "", "bang: off")
		switch s.is {
		case "input":
			entry(s.at+"/plate", "input.name", "", "arg: 0")
			entry(s.at+"/ear", "input.solo", "", "arg: 0")
			entry(s.at+"/heat", "input.level", "    tap: post-fader\n    detector: rms\n", "arg: 0, unit: power")
			entry(s.at+"/grip", "input.reduction", "", "arg: 0, unit: dB, sign: positive")
		case "group":
			entry(s.at+"/heat", "group.level", "", "arg: 0, unit: power")
			entry(s.at+"/grip", "group.reduction", "", "arg: 0, unit: dB, sign: positive")
		case "main":
			entry(s.at+"/heat", "main.level", "", "arg: 0, unit: power")
		}
	}
	return furtherDialect{
		name: "blind two, addresses made otherwise",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			switch t.Kind {
			case practice.InputName:
				say(at(t)+"/plate", v.Hall().Strip(t), seconds())
				say(at(t)+"/paint", paints[t.Index%len(paints)])
			case practice.InputFader, practice.DCAFader, practice.GroupFader, practice.MainFader:
				say(at(t)+"/slide", place(v.Number(t)), seconds())
			case practice.InputMute, practice.DCAMute, practice.GroupMute, practice.MainMute:
				if v.Muted(t) {
					say(at(t) + "/close")
				} else {
					say(at(t) + "/open")
				}
			case practice.InputSolo:
				say(at(t)+"/ear", float32(blindTwoInt(blindTwoSoloed(v, t.Index))), seconds())
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			for i := range blindTwoInputs {
				mean.see(i, blindTwoBehind(v, i), 0.2)
			}
			switch calls % 3 { // the upper deck, the lower one, the rest
			case 0, 1:
				for i := calls % 3 * 8; i < calls%3*8+8; i++ {
					say(at(blindTwoTopic(practice.InputLevel, i))+"/heat", float32(mean[i]), seconds())
					say(at(blindTwoTopic(practice.InputLevel, i))+"/grip", float32(blindTwoGain(v, practice.InputReduction, i)), seconds())
				}
			case 2:
				for i := range blindTwoFour {
					t := blindTwoTopic(practice.GroupLevel, i)
					say(at(t)+"/heat", float32(math.Pow(10, v.Number(t)/10)), seconds())
					say(at(t)+"/grip", float32(blindTwoGain(v, practice.GroupReduction, i)), seconds())
				}
				say("/hall/heat", float32(math.Pow(10, blindTwoGain(v, practice.MainLevel, 0)/10)), seconds())
			}
			if calls%50 == 0 {
				say("/room/lamp", float32(0.5+0.2*math.Sin(float64(calls)/400)), seconds())
			}
		},
		truth: truth.String(),
	}
}

// 8. A mixture, as a desk is after four owners. An input's line (percent of a cubic travel, solo, colour,
// name) is one message, its number counts from 00; the mutes of all inputs are bits of one number; a DCA is told as text; the
// groups are not told on a change at all but every second, in a list of hundredths of a dB; the main is an "on" switch
// and a percentage. The inputs' meters are a blob of signed bytes, level and (below zero) reduction in turn, with the
// groups as its tail; the groups' reduction is text and the main's meter an amplitude.
func blindTwoMixed() furtherDialect {
	cube := blindTwoTaper{{0, blindTwoNothing}}
	for dB := -84.0; dB <= 6; dB++ { // so near to one another that straight lines will do; below, in a straight line to nothing
		cube = append(cube, blindTwoPoint{math.Round(1e5*math.Pow(10, (dB-6)/60)) / 1e5, dB})
	}
	percent := func(v practice.View, k practice.Kind, i int) float32 {
		return float32(100 * cube.position(blindTwoGain(v, k, i)))
	}
	point := func(dB float64) string {
		if dB < -100 {
			return "-inf dB"
		}
		return fmt.Sprintf("%.2f dB", math.Round(dB*100)/100+0)
	}
	signed := func(dB float64) byte { return byte(int8(blindTwoCount(dB, -128, 127))) }
	mask := func(v practice.View, k practice.Kind, n int) int32 {
		bits := int32(0)
		for i := range n {
			bits |= blindTwoInt(blindTwoMuted(v, k, i)) << i
		}
		return bits
	}
	calls := 0
	fall := blindTwoFalls(blindTwoInputs)
	return furtherDialect{
		name: "blind two, a mixture",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			switch t.Kind {
			case practice.InputName, practice.InputFader, practice.InputSolo:
				say(fmt.Sprintf("/line/%02d", t.Index), percent(v, practice.InputFader, t.Index),
					blindTwoInt(blindTwoSoloed(v, t.Index)), int32(t.Index*7%12), blindTwoName(v, practice.InputName, t.Index))
			case practice.InputMute:
				say("/cuts/lines", mask(v, practice.InputMute, blindTwoInputs))
			case practice.GroupMute:
				say("/cuts/pots", mask(v, practice.GroupMute, blindTwoFour))
			case practice.DCAFader, practice.DCAMute:
				state := "OPEN"
				if blindTwoMuted(v, practice.DCAMute, t.Index) {
					state = "HELD"
				}
				say(fmt.Sprintf("/hold/%d", t.Index), state, point(blindTwoGain(v, practice.DCAFader, t.Index)))
			case practice.MainFader, practice.MainMute:
				say("/exit", blindTwoInt(!blindTwoMuted(v, practice.MainMute, 0)), percent(v, practice.MainFader, 0))
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			calls++
			b := []byte{byte(calls), 2}
			for i := range blindTwoInputs {
				b = append(b, signed(fall.see(i, blindTwoGain(v, practice.InputLevel, i), 2.5)),
					signed(0-blindTwoGain(v, practice.InputReduction, i)))
			}
			for i := range blindTwoFour {
				b = append(b, signed(blindTwoGain(v, practice.GroupLevel, i)))
			}
			say("/glass", "lines+pots", b)
			if calls%4 == 0 {
				var held []any
				for i := range blindTwoFour {
					held = append(held, fmt.Sprintf("%.1f", math.Round(-10*blindTwoGain(v, practice.GroupReduction, i))/10+0))
				}
				say("/glass/pots", held...)
			}
			if calls%2 == 0 {
				say("/glass/exit", float32(blindTwoFactor(blindTwoGain(v, practice.MainLevel, 0))))
			}
			if calls%20 == 1 {
				var list []any
				for i := range blindTwoFour {
					list = append(list, int32(blindTwoCount(100*blindTwoGain(v, practice.GroupFader, i), -10000, 600)))
				}
				say("/pots", list...)
				say("/stamp", fmt.Sprintf("day %d", calls/20/86400), int32(calls/20), "idle")
			}
		},
		truth: `tapers:
  cube: ` + cube.text() + `
signals:
  - hear: /line/{input:00-15}
    is: input.fader
    value: {arg: 0, taper: cube, scale: 1/100}
  - hear: /line/{input:00-15}
    is: input.solo
    value: {arg: 1}
  - hear: /line/{input:00-15}
    is: input.name
    value: {arg: 3}
  - hear: /cuts/lines
    is: input.mute
    value: {bits: input:1-16}
  - hear: /cuts/pots
    is: group.mute
    value: {bits: group:1-4}
  - hear: /hold/{dca:0-3}
    is: dca.mute
    value: {arg: 0, words: {HELD: on, OPEN: off}}
  - hear: /hold/{dca:0-3}
    is: dca.fader
    value: {arg: 1, unit: dB}
  - hear: /pots
    is: group.fader
    value: {args: 0, each: group:1-4, unit: centi-dB, minus-infinity: "<= -10000"}
  - hear: /exit
    is: main.mute
    value: {arg: 0, invert: true}
  - hear: /exit
    is: main.fader
    value: {arg: 1, taper: cube, scale: 1/100}
  - hear: /glass
    is: input.level
    tap: pre-fader
    value: {blob: 1, of: int8, skip: 2, stride: 2, each: input:1-16, unit: dBFS, minus-infinity: -128}
  - hear: /glass
    is: input.reduction
    value: {blob: 1, of: int8, skip: 3, stride: 2, each: input:1-16, unit: dB, sign: negative}
  - hear: /glass
    is: group.level
    value: {blob: 1, of: int8, skip: 34, each: group:1-4, unit: dBFS, minus-infinity: -128}
  - hear: /glass/pots
    is: group.reduction
    value: {args: 0, each: group:1-4, unit: dB, sign: negative}
  - hear: /glass/exit
    is: main.level
    value: {arg: 0, unit: amplitude}
`,
	}
}
