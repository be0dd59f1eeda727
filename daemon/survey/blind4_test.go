package survey

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"sync"
	"sync/atomic"

	"pawl/daemon/practice"
)

// Eight desks of eight small firms that never met. Every address and layout is invented.
func blind4() []furtherDialect {
	return []furtherDialect{
		blindFourText(),
		blindFourBlobs(),
		blindFourInterleaved(),
		blindFourBanks(),
		blindFourRows(),
		blindFourPolled(),
		blindFourNamed(),
		blindFourMerged(),
	}
}

// ---- helpers ----

func blindFourTopic(kind practice.Kind, i int) practice.Topic {
	return practice.Topic{Kind: kind, Index: i}
}

func blindFourInt(on bool) int32 {
	if on {
		return 1
	}
	return 0
}

// blindFourMuted says whether a switch of mute is down.
func blindFourMuted(v practice.View, kind practice.Kind, i int) bool {
	return v.Muted(blindFourTopic(kind, i))
}

func blindFourSolo(v practice.View, i int) bool {
	return v.Number(blindFourTopic(practice.InputSolo, i)) != 0
}

func blindFourNumber(v practice.View, kind practice.Kind, i int) float64 {
	return v.Number(blindFourTopic(kind, i))
}

func blindFourName(v practice.View, kind practice.Kind, i int) string {
	return v.Hall().Strip(blindFourTopic(kind, i))
}

// blindFourBehind is an input's level behind its fader and its mute.
func blindFourBehind(v practice.View, i int) float64 {
	if blindFourMuted(v, practice.InputMute, i) {
		return math.Inf(-1)
	}
	return blindFourNumber(v, practice.InputLevel, i) + blindFourNumber(v, practice.InputFader, i)
}

// blindFourWithin rounds to a whole number between two bounds; minus infinity is the lower one.
func blindFourWithin(x, low, high float64) float64 {
	if !(x > low) {
		return low
	}
	return math.Min(math.Round(x), high)
}

func blindFourAmplitude(dB float64) float64 { return math.Pow(10, dB/20) }

// blindFourPoint is one point of a fader's scale.
type blindFourPoint struct{ at, dB float64 }

// blindFourPosition finds where on a scale a gain stands: straight lines of dB between points,
// below the first one that has a gain a straight line of amplitude down to a point at minus infinity.
func blindFourPosition(scale []blindFourPoint, dB float64) float64 {
	if !(dB > scale[0].dB) {
		return scale[0].at
	}
	for k := 1; k < len(scale); k++ {
		a, b := scale[k-1], scale[k]
		if dB > b.dB {
			continue
		}
		if math.IsInf(a.dB, -1) {
			return a.at + (b.at-a.at)*blindFourAmplitude(dB-b.dB)
		}
		return a.at + (b.at-a.at)*(dB-a.dB)/(b.dB-a.dB)
	}
	return scale[len(scale)-1].at
}

// blindFourNeedle gives meters some weight: of the way to the new value it goes rise upwards and
// fall downwards with each step, in dB, and it lies on its pin at floor.
type blindFourNeedle struct {
	mu                sync.Mutex
	rise, fall, floor float64
	at                map[int]float64
}

func (n *blindFourNeedle) step(i int, dB float64) float64 {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.at == nil {
		n.at = map[int]float64{}
	}
	dB = math.Max(dB, n.floor)
	was, known := n.at[i]
	if !known {
		was = n.floor
	}
	part := n.rise
	if dB < was {
		part = n.fall
	}
	now := was + (dB-was)*part
	if now < n.floor+0.05 {
		now = n.floor
	}
	n.at[i] = now
	return now
}

// blindFourHold rises at once and comes down by so many dB with each step.
type blindFourHold struct {
	mu          sync.Mutex
	drop, floor float64
	at          map[int]float64
}

func (h *blindFourHold) step(i int, dB float64) float64 {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.at == nil {
		h.at = map[int]float64{}
	}
	was, known := h.at[i]
	if !known {
		was = h.floor
	}
	now := math.Max(math.Max(dB, was-h.drop), h.floor)
	h.at[i] = now
	return now
}

// ---- 1: numbers as text ----

// A maker of chart recorders. Whatever changes is an entry in the log: it has a serial number
// first and then the figure as it would be printed, with its sign and its unit. Readings are no
// entries and have no serial number. The needles are as slow as those on paper.
func blindFourText() furtherDialect {
	var serial, turn atomic.Int64
	needle := &blindFourNeedle{rise: 0.5, fall: 0.35, floor: -99.9}
	figure := func(dB float64) string {
		if math.IsInf(dB, -1) {
			return "-inf dB"
		}
		return fmt.Sprintf("%+.2f dB", dB)
	}
	cut := func(on bool) string {
		if on {
			return "CUT"
		}
		return "THRU"
	}
	return furtherDialect{
		name: "blind4 text",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {
			entry := func(address, text string) {
				say(address, fmt.Sprintf("%06d", serial.Add(1)%1000000), text)
			}
			switch t.Kind {
			case practice.InputName:
				entry(fmt.Sprintf("/bay/pen%02d/legend", t.Index+1), v.Hall().Strip(t))
			case practice.InputFader:
				entry(fmt.Sprintf("/bay/pen%02d/setting", t.Index+1), figure(v.Number(t)))
			case practice.InputMute:
				entry(fmt.Sprintf("/bay/pen%02d/relay", t.Index+1), cut(v.Muted(t)))
			case practice.InputSolo:
				text := "REST"
				if v.Number(t) != 0 {
					text = "AUDITION"
				}
				entry(fmt.Sprintf("/bay/pen%02d/headset", t.Index+1), text)
			case practice.DCAFader:
				entry(fmt.Sprintf("/bay/gang%d/setting", t.Index+1), figure(v.Number(t)))
			case practice.DCAMute:
				entry(fmt.Sprintf("/bay/gang%d/relay", t.Index+1), cut(v.Muted(t)))
			case practice.GroupFader:
				entry(fmt.Sprintf("/bay/sum%d/setting", t.Index+1), figure(v.Number(t)))
			case practice.GroupMute:
				entry(fmt.Sprintf("/bay/sum%d/relay", t.Index+1), cut(v.Muted(t)))
			case practice.MainFader:
				entry("/bay/total/setting", figure(v.Number(t)))
			case practice.MainMute:
				entry("/bay/total/relay", cut(v.Muted(t)))
			}
		},
		meters: func(v practice.View, say func(address string, args ...any)) {
			c := int(turn.Add(1) - 1)
			reading := func(dB float64) string { return fmt.Sprintf("%+.1f dB", dB) }
			for i := c % 4; i < 16; i += 4 {
				say(fmt.Sprintf("/bay/pen%02d/reading", i+1),
					reading(needle.step(i, blindFourNumber(v, practice.InputLevel, i))),
					fmt.Sprintf("%.1f", blindFourNumber(v, practice.InputReduction, i)))
			}
			if c%4 == 2 {
				for i := range 4 {
					say(fmt.Sprintf("/bay/sum%d/reading", i+1),
						reading(needle.step(100+i, blindFourNumber(v, practice.GroupLevel, i))),
						fmt.Sprintf("%.1f", blindFourNumber(v, practice.GroupReduction, i)))
				}
				say("/bay/total/reading", reading(needle.step(200, blindFourNumber(v, practice.MainLevel, 0))))
			}
			if c%20 == 7 {
				s := c/20 + 50400
				say("/bay/paper", fmt.Sprintf("%02d:%02d:%02d", s/3600%24, s/60%60, s%60), fmt.Sprintf("%d mm", c/8))
			}
			if c%100 == 11 {
				say("/bay/oven", fmt.Sprintf("%.1f", 41.2+0.3*math.Sin(float64(c)/300)))
			}
		},
		truth: `signals:
  - hear: /bay/pen{input:01-16}/legend
    is: input.name
    value: {arg: 1}
  - hear: /bay/pen{input:01-16}/setting
    is: input.fader
    value: {arg: 1, unit: dB}
  - hear: /bay/pen{input:01-16}/relay
    is: input.mute
    value: {arg: 1, words: {CUT: on, THRU: off}}
  - hear: /bay/pen{input:01-16}/headset
    is: input.solo
    value: {arg: 1, words: {AUDITION: on, REST: off}}
  - hear: /bay/gang{dca:1-4}/setting
    is: dca.fader
    value: {arg: 1, unit: dB}
  - hear: /bay/gang{dca:1-4}/relay
    is: dca.mute
    value: {arg: 1, words: {CUT: on, THRU: off}}
  - hear: /bay/sum{group:1-4}/setting
    is: group.fader
    value: {arg: 1, unit: dB}
  - hear: /bay/sum{group:1-4}/relay
    is: group.mute
    value: {arg: 1, words: {CUT: on, THRU: off}}
  - hear: /bay/total/setting
    is: main.fader
    value: {arg: 1, unit: dB}
  - hear: /bay/total/relay
    is: main.mute
    value: {arg: 1, words: {CUT: on, THRU: off}}
  - hear: /bay/pen{input:01-16}/reading
    is: input.level
    tap: pre-fader
    value: {arg: 0, unit: dBFS, minus-infinity: "<= -99.9"}
  - hear: /bay/pen{input:01-16}/reading
    is: input.reduction
    value: {arg: 1, unit: dB, sign: positive}
  - hear: /bay/sum{group:1-4}/reading
    is: group.level
    value: {arg: 0, unit: dBFS, minus-infinity: "<= -99.9"}
  - hear: /bay/sum{group:1-4}/reading
    is: group.reduction
    value: {arg: 1, unit: dB, sign: positive}
  - hear: /bay/total/reading
    is: main.level
    value: {arg: 0, unit: dBFS, minus-infinity: "<= -99.9"}
`,
	}
}

// ---- 2: blobs ----

// An engineer from telephone exchanges. Frames have a mark, a sequence number and a length, and
// whatever changes sends its whole frame again. A pad is a number of 1/32 dB, and a line that is
// barred is a bit. A level is a byte: so many halves of a dB under overload, 255 for an idle line.
func blindFourBlobs() furtherDialect {
	var sequence, turn atomic.Int64
	needle := &blindFourNeedle{rise: 0.45, fall: 0.3, floor: -127.5}
	pad := func(dB float64) int16 {
		if math.IsInf(dB, -1) {
			return -32768
		}
		return int16(blindFourWithin(dB*32, -32000, 32000))
	}
	code := func(dB float64) byte { return byte(255 - blindFourWithin(255+2*dB, 0, 255)) }
	quarter := func(dB float64) byte { return byte(blindFourWithin(dB*4, 0, 255)) }
	frame := func(mark byte, length byte, pads []int16) []byte {
		b := []byte{mark, byte(sequence.Add(1)), length, 0}
		for _, p := range pads {
			b = binary.BigEndian.AppendUint16(b, uint16(p))
		}
		return b
	}
	return furtherDialect{
		name: "blind4 blobs",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {
			switch t.Kind {
			case practice.InputName:
				say("/exch/directory", int32(201+t.Index), v.Hall().Strip(t), "LOCAL")
			case practice.InputFader:
				var pads []int16
				for i := range 16 {
					pads = append(pads, pad(blindFourNumber(v, practice.InputFader, i)))
				}
				say("/exch/pads", frame(0x5a, 16, pads))
			case practice.InputMute:
				var mask int32
				for i := range 16 {
					mask |= blindFourInt(blindFourMuted(v, practice.InputMute, i)) << i
				}
				say("/exch/barred", mask)
			case practice.DCAFader, practice.GroupFader:
				var pads []int16
				for i := range 4 {
					pads = append(pads, pad(blindFourNumber(v, practice.DCAFader, i)))
				}
				for i := range 4 {
					pads = append(pads, pad(blindFourNumber(v, practice.GroupFader, i)))
				}
				say("/exch/trunks", frame(0x5b, 8, pads))
			case practice.MainFader:
				say("/exch/office", int32(sequence.Add(1)&255), int32(pad(v.Number(t))))
			case practice.DCAMute, practice.GroupMute, practice.MainMute:
				var mask int32
				for i := range 4 {
					mask |= blindFourInt(blindFourMuted(v, practice.DCAMute, i)) << i
					mask |= blindFourInt(blindFourMuted(v, practice.GroupMute, i)) << (4 + i)
				}
				mask |= blindFourInt(blindFourMuted(v, practice.MainMute, 0)) << 8
				say("/exch/seized", mask)
			}
		},
		meters: func(v practice.View, say func(address string, args ...any)) {
			c := int(turn.Add(1) - 1)
			if c%2 == 0 {
				b := []byte{0x5c, byte(c / 2), 20, 0, 0, 0}
				for i := range 16 {
					b = append(b, code(needle.step(i, blindFourNumber(v, practice.InputLevel, i))))
				}
				for i := range 4 {
					b = append(b, code(needle.step(100+i, blindFourNumber(v, practice.GroupLevel, i))))
				}
				say("/exch/speech", b, int32(code(needle.step(200, blindFourNumber(v, practice.MainLevel, 0)))))
			}
			if c%4 == 1 {
				b := []byte{0x5d, byte(c / 4)}
				for i := range 16 {
					b = append(b, quarter(blindFourNumber(v, practice.InputReduction, i)))
				}
				for i := range 4 {
					b = append(b, quarter(blindFourNumber(v, practice.GroupReduction, i)))
				}
				say("/exch/limiters", b)
			}
			if c%5 == 3 {
				say("/exch/sync", int32(c/5), int32(c*160&0x7fff))
			}
			if c%60 == 31 {
				say("/exch/battery", float32(50.4+0.1*math.Sin(float64(c)/90)))
			}
		},
		truth: `signals:
  - hear: /exch/directory
    is: input.name
    which: {input: 201-216=1, arg: 0}
    value: {arg: 1}
  - hear: /exch/pads
    is: input.fader
    value: {blob: 0, of: int16-be, skip: 4, each: input:1-16, unit: dB, scale: 1/32, minus-infinity: -32768}
  - hear: /exch/barred
    is: input.mute
    value: {arg: 0, bits: input:1-16}
  - hear: /exch/trunks
    is: dca.fader
    value: {blob: 0, of: int16-be, skip: 4, each: dca:1-4, unit: dB, scale: 1/32, minus-infinity: -32768}
  - hear: /exch/trunks
    is: group.fader
    value: {blob: 0, of: int16-be, skip: 12, each: group:1-4, unit: dB, scale: 1/32, minus-infinity: -32768}
  - hear: /exch/office
    is: main.fader
    value: {arg: 1, unit: dB, scale: 1/32, minus-infinity: -32768}
  - hear: /exch/seized
    is: dca.mute
    value: {arg: 0, bits: dca:1-4}
  - hear: /exch/seized
    is: group.mute
    value: {arg: 0, bits: group:1-4, bit: 4}
  - hear: /exch/seized
    is: main.mute
    value: {arg: 0, bit: 8}
  - hear: /exch/speech
    is: input.level
    tap: pre-fader
    value: {blob: 0, of: uint8, skip: 6, each: input:1-16, unit: dBFS, scale: -0.5, minus-infinity: 255}
  - hear: /exch/speech
    is: group.level
    value: {blob: 0, of: uint8, skip: 22, each: group:1-4, unit: dBFS, scale: -0.5, minus-infinity: 255}
  - hear: /exch/speech
    is: main.level
    value: {arg: 1, unit: dBFS, scale: -0.5, minus-infinity: 255}
  - hear: /exch/limiters
    is: input.reduction
    value: {blob: 0, of: uint8, skip: 2, each: input:1-16, unit: dB, scale: 0.25}
  - hear: /exch/limiters
    is: group.reduction
    value: {blob: 0, of: uint8, skip: 18, each: group:1-4, unit: dB, scale: 0.25}
`,
	}
}

// ---- 3: interleaved ----

// Two people from computer games. The needles are an array of structures, as they lie in the
// memory of the machine: level, peak, reduction and the frame of a little picture for every
// player, then two numbers for every team, then a checksum. What changes is told as a list of
// everybody with what he has: name, power, alive, in the spotlight. Power is the cube root of
// amplitude, and who is alive is not muted.
func blindFourInterleaved() furtherDialect {
	var tick, turn atomic.Int64
	peaks := &blindFourHold{drop: 0.9, floor: -200}
	power := func(dB float64) float32 {
		return float32(math.Min(1, math.Cbrt(blindFourAmplitude(dB-6))))
	}
	peak := func(dB float64) float64 {
		if dB <= peaks.floor {
			return 0
		}
		return blindFourAmplitude(dB)
	}
	alive := func(v practice.View, kind practice.Kind, i int) int32 {
		return 1 - blindFourInt(blindFourMuted(v, kind, i))
	}
	return furtherDialect{
		name: "blind4 interleaved",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {
			switch t.Kind {
			case practice.InputName, practice.InputFader, practice.InputMute, practice.InputSolo:
				args := []any{int32(16)}
				for i := range 16 {
					args = append(args, blindFourName(v, practice.InputName, i),
						power(blindFourNumber(v, practice.InputFader, i)),
						alive(v, practice.InputMute, i), blindFourInt(blindFourSolo(v, i)))
				}
				say("/world/players", append(args, int32(tick.Add(1)))...)
			case practice.DCAFader, practice.DCAMute:
				var args []any
				for i := range 4 {
					args = append(args, blindFourName(v, practice.DCAFader, i),
						power(blindFourNumber(v, practice.DCAFader, i)), alive(v, practice.DCAMute, i))
				}
				say("/world/squads", append(args, int32(tick.Add(1)))...)
			case practice.GroupFader, practice.GroupMute:
				var args []any
				for i := range 4 {
					args = append(args, blindFourName(v, practice.GroupFader, i),
						power(blindFourNumber(v, practice.GroupFader, i)), alive(v, practice.GroupMute, i))
				}
				say("/world/teams", append(args, int32(tick.Add(1)))...)
			case practice.MainFader, practice.MainMute:
				say("/world/boss", power(blindFourNumber(v, practice.MainFader, 0)), alive(v, practice.MainMute, 0))
			}
		},
		meters: func(v practice.View, say func(address string, args ...any)) {
			c := int(turn.Add(1) - 1)
			put := func(b []byte, x float64) []byte {
				return binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(x)))
			}
			b := binary.LittleEndian.AppendUint32(nil, uint32(c))
			b = binary.LittleEndian.AppendUint32(b, 0x4d415453)
			for i := range 16 {
				level := blindFourNumber(v, practice.InputLevel, i)
				b = put(b, blindFourAmplitude(level))
				b = put(b, peak(peaks.step(i, level+3)))
				b = put(b, 0-blindFourNumber(v, practice.InputReduction, i))
				b = binary.LittleEndian.AppendUint32(b, uint32((c+5*i)%24))
			}
			for i := range 4 {
				b = put(b, blindFourAmplitude(blindFourNumber(v, practice.GroupLevel, i)))
				b = put(b, 0-blindFourNumber(v, practice.GroupReduction, i))
			}
			sum := uint32(2166136261)
			for _, x := range b {
				sum = (sum ^ uint32(x)) * 16777619
			}
			say("/world/frame", binary.LittleEndian.AppendUint32(b, sum))
			say("/world/boss/roar", float32(blindFourAmplitude(blindFourNumber(v, practice.MainLevel, 0))))
			if c%20 == 9 {
				say("/world/fps", float32(59.94+0.4*math.Sin(float64(c))), int32(c/20))
			}
			if c%50 == 17 {
				say("/world/weather", []string{"fog", "clear", "drizzle"}[c/50%3])
			}
		},
		truth: `tapers:
  cube: [[0, -inf], {at: 1, dB: 6, power: 3}]
signals:
  - hear: /world/players
    is: input.name
    value: {args: 1, each: input:1-16, stride: 4}
  - hear: /world/players
    is: input.fader
    value: {args: 2, each: input:1-16, stride: 4, taper: cube}
  - hear: /world/players
    is: input.mute
    value: {args: 3, each: input:1-16, stride: 4, invert: true}
  - hear: /world/players
    is: input.solo
    value: {args: 4, each: input:1-16, stride: 4}
  - hear: /world/squads
    is: dca.name
    value: {args: 0, each: dca:1-4, stride: 3}
  - hear: /world/squads
    is: dca.fader
    value: {args: 1, each: dca:1-4, stride: 3, taper: cube}
  - hear: /world/squads
    is: dca.mute
    value: {args: 2, each: dca:1-4, stride: 3, invert: true}
  - hear: /world/teams
    is: group.name
    value: {args: 0, each: group:1-4, stride: 3}
  - hear: /world/teams
    is: group.fader
    value: {args: 1, each: group:1-4, stride: 3, taper: cube}
  - hear: /world/teams
    is: group.mute
    value: {args: 2, each: group:1-4, stride: 3, invert: true}
  - hear: /world/boss
    is: main.fader
    value: {arg: 0, taper: cube}
  - hear: /world/boss
    is: main.mute
    value: {arg: 1, invert: true}
  - hear: /world/frame
    is: input.level
    tap: pre-fader
    value: {blob: 0, of: float32-le, skip: 8, stride: 16, each: input:1-16, unit: amplitude}
  - hear: /world/frame
    is: input.peak
    tap: pre-fader
    detector: peak
    value: {blob: 0, of: float32-le, skip: 12, stride: 16, each: input:1-16, unit: amplitude}
  - hear: /world/frame
    is: input.reduction
    value: {blob: 0, of: float32-le, skip: 16, stride: 16, each: input:1-16, unit: dB, sign: negative}
  - hear: /world/frame
    is: group.level
    value: {blob: 0, of: float32-le, skip: 264, stride: 8, each: group:1-4, unit: amplitude}
  - hear: /world/frame
    is: group.reduction
    value: {blob: 0, of: float32-le, skip: 268, stride: 8, each: group:1-4, unit: dB, sign: negative}
  - hear: /world/boss/roar
    is: main.level
    value: {arg: 0, unit: amplitude}
`,
	}
}

// ---- 4: bank lists ----

// A maker of dimmers for the stage. Strips come in packs of six, the third of which has two
// spares; a message holds one pack, and when faders move it begins with the seconds that the
// move takes. Faders are per cent on a curve of points. What glows is what comes out, so the
// needles stand behind fader and mute, from 0 to 255 over 60 dB and as slow as a filament.
func blindFourBanks() furtherDialect {
	var turn atomic.Int64
	needle := &blindFourNeedle{rise: 0.55, fall: 0.4, floor: -61}
	curve := []blindFourPoint{{0, math.Inf(-1)}, {5, -62}, {18, -41}, {40, -20}, {72.5, 0}, {100, 6}}
	percent := func(dB float64) float32 { return float32(math.Round(blindFourPosition(curve, dB)*10) / 10) }
	glow := func(dB float64) int32 { return int32(blindFourWithin((dB+60)*255/60, 0, 255)) }
	pack := func(p int, spare any, of func(i int) any) []any {
		var args []any
		for i := 6 * p; i < 6*p+6; i++ {
			if i < 16 {
				args = append(args, of(i))
			} else {
				args = append(args, spare)
			}
		}
		return args
	}
	four := func(of func(i int) any) []any { return []any{of(0), of(1), of(2), of(3)} }
	return furtherDialect{
		name: "blind4 banks",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {
			p := t.Index / 6
			fade := []any{float32(0.2)}
			dim := func(kind practice.Kind) func(i int) any {
				return func(i int) any { return percent(blindFourNumber(v, kind, i)) }
			}
			dark := func(kind practice.Kind) func(i int) any {
				return func(i int) any { return blindFourInt(blindFourMuted(v, kind, i)) }
			}
			switch t.Kind {
			case practice.InputName:
				say(fmt.Sprintf("/pack/%d/label", p+1),
					pack(p, "-", func(i int) any { return blindFourName(v, practice.InputName, i) })...)
			case practice.InputFader:
				say(fmt.Sprintf("/pack/%d/dim", p+1), append(fade, pack(p, float32(0), dim(practice.InputFader))...)...)
			case practice.InputMute:
				say(fmt.Sprintf("/pack/%d/dark", p+1), pack(p, int32(1), dark(practice.InputMute))...)
			case practice.InputSolo:
				say(fmt.Sprintf("/pack/%d/follow", p+1),
					pack(p, int32(0), func(i int) any { return blindFourInt(blindFourSolo(v, i)) })...)
			case practice.DCAFader:
				say("/masters/dim", append(fade, four(dim(practice.DCAFader))...)...)
			case practice.DCAMute:
				say("/masters/dark", four(dark(practice.DCAMute))...)
			case practice.GroupFader:
				say("/subs/dim", append(fade, four(dim(practice.GroupFader))...)...)
			case practice.GroupMute:
				say("/subs/dark", four(dark(practice.GroupMute))...)
			case practice.MainFader:
				say("/grand/dim", append(fade, percent(v.Number(t)))...)
			case practice.MainMute:
				say("/grand/dark", blindFourInt(v.Muted(t)))
			}
		},
		meters: func(v practice.View, say func(address string, args ...any)) {
			c := int(turn.Add(1) - 1)
			p := c % 3
			say(fmt.Sprintf("/pack/%d/glow", p+1),
				pack(p, int32(0), func(i int) any { return glow(needle.step(i, blindFourBehind(v, i))) })...)
			if p == 1 {
				say("/subs/glow", four(func(i int) any {
					return glow(needle.step(100+i, blindFourNumber(v, practice.GroupLevel, i)))
				})...)
				say("/subs/choke", four(func(i int) any {
					return int32(blindFourWithin(10*blindFourNumber(v, practice.GroupReduction, i), 0, 255))
				})...)
			}
			if p == 2 {
				say("/grand/glow", glow(needle.step(200, blindFourNumber(v, practice.MainLevel, 0))))
			}
			if c%40 == 13 {
				say("/house/amps", float32(11.5+math.Sin(float64(c)/70)), float32(12.1), float32(9.8+0.5*math.Cos(float64(c)/50)))
			}
			if c%20 == 19 {
				say("/house/watch", int32(c/20/60), int32(c/20%60))
			}
		},
		truth: `tapers:
  dimmer: [[0, -inf], [5, -62], [18, -41], [40, -20], [72.5, 0], [100, 6]]
signals:
  - hear: /pack/1/label
    is: input.name
    value: {args: 0, each: input:1-6}
  - hear: /pack/2/label
    is: input.name
    value: {args: 0, each: input:7-12}
  - hear: /pack/3/label
    is: input.name
    value: {args: 0, each: input:13-16}
  - hear: /pack/1/dim
    is: input.fader
    value: {args: 1, each: input:1-6, taper: dimmer}
  - hear: /pack/2/dim
    is: input.fader
    value: {args: 1, each: input:7-12, taper: dimmer}
  - hear: /pack/3/dim
    is: input.fader
    value: {args: 1, each: input:13-16, taper: dimmer}
  - hear: /pack/1/dark
    is: input.mute
    value: {args: 0, each: input:1-6}
  - hear: /pack/2/dark
    is: input.mute
    value: {args: 0, each: input:7-12}
  - hear: /pack/3/dark
    is: input.mute
    value: {args: 0, each: input:13-16}
  - hear: /pack/1/follow
    is: input.solo
    value: {args: 0, each: input:1-6}
  - hear: /pack/2/follow
    is: input.solo
    value: {args: 0, each: input:7-12}
  - hear: /pack/3/follow
    is: input.solo
    value: {args: 0, each: input:13-16}
  - hear: /masters/dim
    is: dca.fader
    value: {args: 1, each: dca:1-4, taper: dimmer}
  - hear: /masters/dark
    is: dca.mute
    value: {args: 0, each: dca:1-4}
  - hear: /subs/dim
    is: group.fader
    value: {args: 1, each: group:1-4, taper: dimmer}
  - hear: /subs/dark
    is: group.mute
    value: {args: 0, each: group:1-4}
  - hear: /grand/dim
    is: main.fader
    value: {arg: 1, taper: dimmer}
  - hear: /grand/dark
    is: main.mute
    value: {arg: 0}
  - hear: /pack/1/glow
    is: input.level
    tap: post-fader
    value: {args: 0, each: input:1-6, unit: dBFS, scale: 4/17, offset: -60, minus-infinity: 0}
  - hear: /pack/2/glow
    is: input.level
    tap: post-fader
    value: {args: 0, each: input:7-12, unit: dBFS, scale: 4/17, offset: -60, minus-infinity: 0}
  - hear: /pack/3/glow
    is: input.level
    tap: post-fader
    value: {args: 0, each: input:13-16, unit: dBFS, scale: 4/17, offset: -60, minus-infinity: 0}
  - hear: /subs/glow
    is: group.level
    value: {args: 0, each: group:1-4, unit: dBFS, scale: 4/17, offset: -60, minus-infinity: 0}
  - hear: /subs/choke
    is: group.reduction
    value: {args: 0, each: group:1-4, unit: dB, scale: 0.1}
  - hear: /grand/glow
    is: main.level
    value: {arg: 0, unit: dBFS, scale: 4/17, offset: -60, minus-infinity: 0}
`,
	}
}

// ---- 5: the TCP desk ----

// THIS IS THE TCP DESK. An engineer from databases, who wants nothing lost and nothing rounded
// unseen. A change is a row that was put: the number of its log entry, the key of the row, the
// column, the value. Inputs, DCAs and groups lie in one table, by their keys. All gains are whole
// thousandths of a dB, and the smallest whole number of all is null. The needles are columns.
func blindFourRows() furtherDialect {
	var entry, turn atomic.Int64
	milli := func(dB, floor float64) int32 {
		if !(dB > floor) {
			return math.MinInt32
		}
		return int32(math.Round(dB * 1000))
	}
	return furtherDialect{
		name: "blind4 TCP",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {
			put := func(key int, column string, value any) {
				say("/store/strip/put", int32(entry.Add(1)), int32(key+t.Index), column, value)
			}
			switch t.Kind {
			case practice.InputName:
				put(1001, "title", v.Hall().Strip(t))
				if t.Index == 0 { // the small tables' titles come with the first row
					for i := range 4 {
						say("/store/strip/put", int32(entry.Add(1)), int32(2001+i), "title", blindFourName(v, practice.DCAFader, i))
						say("/store/strip/put", int32(entry.Add(1)), int32(3001+i), "title", blindFourName(v, practice.GroupFader, i))
					}
				}
			case practice.InputFader:
				put(1001, "gain", milli(v.Number(t), math.Inf(-1)))
			case practice.InputMute:
				put(1001, "enabled", 1-blindFourInt(v.Muted(t)))
			case practice.InputSolo:
				put(1001, "isolated", blindFourInt(v.Number(t) != 0))
			case practice.DCAFader:
				put(2001, "gain", milli(v.Number(t), math.Inf(-1)))
			case practice.DCAMute:
				put(2001, "enabled", 1-blindFourInt(v.Muted(t)))
			case practice.GroupFader:
				put(3001, "gain", milli(v.Number(t), math.Inf(-1)))
			case practice.GroupMute:
				put(3001, "enabled", 1-blindFourInt(v.Muted(t)))
			case practice.MainFader:
				say("/store/mix/put", int32(entry.Add(1)), "gain", milli(v.Number(t), math.Inf(-1)))
			case practice.MainMute:
				say("/store/mix/put", int32(entry.Add(1)), "enabled", 1-blindFourInt(v.Muted(t)))
			}
		},
		meters: func(v practice.View, say func(address string, args ...any)) {
			c := int(turn.Add(1) - 1)
			switch c % 2 {
			case 0:
				args := []any{int32(entry.Load()), int32(16)}
				for i := range 16 {
					args = append(args, milli(blindFourNumber(v, practice.InputLevel, i), -144))
				}
				say("/store/strip/column/level", args...)
				say("/store/mix/sample", int32(entry.Load()), milli(blindFourNumber(v, practice.MainLevel, 0), -144))
			case 1:
				args := []any{int32(entry.Load()), int32(16)}
				for i := range 16 {
					args = append(args, int32(math.Round(1000*blindFourNumber(v, practice.InputReduction, i))))
				}
				say("/store/strip/column/squeeze", args...)
				args = []any{int32(entry.Load())}
				for i := range 4 {
					args = append(args, int32(3001+i), milli(blindFourNumber(v, practice.GroupLevel, i), -144),
						int32(math.Round(1000*blindFourNumber(v, practice.GroupReduction, i))))
				}
				say("/store/strip/range", args...)
			}
			if c%30 == 4 {
				say("/store/checkpoint", int32(entry.Load()), int32(c/30), "clean")
			}
			if c%70 == 23 {
				say("/store/cache", float32(0.97+0.01*math.Sin(float64(c)/40)), int32(4096))
			}
		},
		truth: `signals:
  - hear: /store/strip/put
    is: input.name
    when: {arg: 2, is: title}
    which: {input: 1001-1016=1, arg: 1}
    value: {arg: 3}
  - hear: /store/strip/put
    is: dca.name
    when: {arg: 2, is: title}
    which: {dca: 2001-2004=1, arg: 1}
    value: {arg: 3}
  - hear: /store/strip/put
    is: group.name
    when: {arg: 2, is: title}
    which: {group: 3001-3004=1, arg: 1}
    value: {arg: 3}
  - hear: /store/strip/put
    is: input.fader
    when: {arg: 2, is: gain}
    which: {input: 1001-1016=1, arg: 1}
    value: {arg: 3, unit: dB, scale: 0.001, minus-infinity: -2147483648}
  - hear: /store/strip/put
    is: input.mute
    when: {arg: 2, is: enabled}
    which: {input: 1001-1016=1, arg: 1}
    value: {arg: 3, invert: true}
  - hear: /store/strip/put
    is: input.solo
    when: {arg: 2, is: isolated}
    which: {input: 1001-1016=1, arg: 1}
    value: {arg: 3}
  - hear: /store/strip/put
    is: dca.fader
    when: {arg: 2, is: gain}
    which: {dca: 2001-2004=1, arg: 1}
    value: {arg: 3, unit: dB, scale: 0.001, minus-infinity: -2147483648}
  - hear: /store/strip/put
    is: dca.mute
    when: {arg: 2, is: enabled}
    which: {dca: 2001-2004=1, arg: 1}
    value: {arg: 3, invert: true}
  - hear: /store/strip/put
    is: group.fader
    when: {arg: 2, is: gain}
    which: {group: 3001-3004=1, arg: 1}
    value: {arg: 3, unit: dB, scale: 0.001, minus-infinity: -2147483648}
  - hear: /store/strip/put
    is: group.mute
    when: {arg: 2, is: enabled}
    which: {group: 3001-3004=1, arg: 1}
    value: {arg: 3, invert: true}
  - hear: /store/mix/put
    is: main.fader
    when: {arg: 1, is: gain}
    value: {arg: 2, unit: dB, scale: 0.001, minus-infinity: -2147483648}
  - hear: /store/mix/put
    is: main.mute
    when: {arg: 1, is: enabled}
    value: {arg: 2, invert: true}
  - hear: /store/strip/column/level
    is: input.level
    tap: pre-fader
    value: {args: 2, each: input:1-16, count: {arg: 1}, unit: dBFS, scale: 0.001, minus-infinity: -2147483648}
  - hear: /store/strip/column/squeeze
    is: input.reduction
    value: {args: 2, each: input:1-16, count: {arg: 1}, unit: dB, scale: 0.001}
  - hear: /store/strip/range
    is: group.level
    value: {args: 2, each: group:1-4, stride: 3, unit: dBFS, scale: 0.001, minus-infinity: -2147483648}
  - hear: /store/strip/range
    is: group.reduction
    value: {args: 3, each: group:1-4, stride: 3, unit: dB, scale: 0.001}
  - hear: /store/mix/sample
    is: main.level
    value: {arg: 1, unit: dBFS, scale: 0.001, minus-infinity: -2147483648}
`,
	}
}

// ---- 6: the polled desk ----

// A firm that automates waterworks. It scans its points four times a second and says nothing in
// between. A set point is what a 12 bit converter makes of a slider whose travel is even in dB; a
// level is a current loop, 4 to 20 mA for -80 to 0 dBFS, and under 4 mA there is nothing on the
// wire. Bit 3 of the status is a trip, bit 6 says that somebody attends to the point alone; of the
// others, bit 0 is health and bit 1 turns over with each scan.
func blindFourPolled() furtherDialect {
	var turn atomic.Int64
	needle := &blindFourNeedle{rise: 0.9, fall: 0.6, floor: -90}
	set := func(dB float64) int32 {
		if dB < -72 {
			return 12
		}
		return int32(blindFourWithin(400+(dB+72)*3695/78, 400, 4095))
	}
	loop := func(dB float64) float32 {
		if dB <= -80 {
			return 3.6
		}
		return float32(math.Min(20+dB/5, 20.8))
	}
	return furtherDialect{
		name: "blind4 polled",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {},
		meters: func(v practice.View, say func(address string, args ...any)) {
			c := int(turn.Add(1) - 1)
			status := func(tripped, attended bool) int32 {
				return 1 | int32(c/5%2)<<1 | blindFourInt(tripped)<<3 | blindFourInt(attended)<<6
			}
			switch c % 5 {
			case 0:
				for i := range 16 {
					say(fmt.Sprintf("/plant/FT%d", 101+i),
						status(blindFourMuted(v, practice.InputMute, i), blindFourSolo(v, i)),
						set(blindFourNumber(v, practice.InputFader, i)),
						loop(needle.step(i, blindFourNumber(v, practice.InputLevel, i))),
						float32(blindFourNumber(v, practice.InputReduction, i)))
				}
			case 2:
				for i := range 4 {
					say(fmt.Sprintf("/plant/SV%d", 201+i),
						status(blindFourMuted(v, practice.DCAMute, i), false),
						set(blindFourNumber(v, practice.DCAFader, i)))
				}
				for i := range 4 {
					say(fmt.Sprintf("/plant/GT%d", 301+i),
						status(blindFourMuted(v, practice.GroupMute, i), false),
						set(blindFourNumber(v, practice.GroupFader, i)),
						loop(needle.step(100+i, blindFourNumber(v, practice.GroupLevel, i))),
						float32(blindFourNumber(v, practice.GroupReduction, i)))
				}
				say("/plant/XT401",
					status(blindFourMuted(v, practice.MainMute, 0), false),
					set(blindFourNumber(v, practice.MainFader, 0)),
					loop(needle.step(200, blindFourNumber(v, practice.MainLevel, 0))))
			}
			if c%40 == 3 {
				for i := range 16 {
					say("/plant/tag", int32(101+i), "FT", blindFourName(v, practice.InputName, i))
				}
			}
			if c%20 == 4 {
				say("/plant/watchdog", int32(c/20&1))
			}
			if c%20 == 14 {
				say("/plant/sump", float32(1.8+0.2*math.Sin(float64(c)/200)), int32(c/20))
			}
		},
		truth: `tapers:
  slider: [[400, -72], [4095, 6]]
signals:
  - hear: /plant/FT{input:101-116=1}
    is: input.mute
    value: {arg: 0, bit: 3}
  - hear: /plant/FT{input:101-116=1}
    is: input.solo
    value: {arg: 0, bit: 6}
  - hear: /plant/FT{input:101-116=1}
    is: input.fader
    value: {arg: 1, taper: slider, minus-infinity: "< 400"}
  - hear: /plant/FT{input:101-116=1}
    is: input.level
    tap: pre-fader
    value: {arg: 2, unit: dBFS, scale: 5, offset: -100, minus-infinity: "< 4"}
  - hear: /plant/FT{input:101-116=1}
    is: input.reduction
    value: {arg: 3, unit: dB}
  - hear: /plant/SV{dca:201-204=1}
    is: dca.mute
    value: {arg: 0, bit: 3}
  - hear: /plant/SV{dca:201-204=1}
    is: dca.fader
    value: {arg: 1, taper: slider, minus-infinity: "< 400"}
  - hear: /plant/GT{group:301-304=1}
    is: group.mute
    value: {arg: 0, bit: 3}
  - hear: /plant/GT{group:301-304=1}
    is: group.fader
    value: {arg: 1, taper: slider, minus-infinity: "< 400"}
  - hear: /plant/GT{group:301-304=1}
    is: group.level
    value: {arg: 2, unit: dBFS, scale: 5, offset: -100, minus-infinity: "< 4"}
  - hear: /plant/GT{group:301-304=1}
    is: group.reduction
    value: {arg: 3, unit: dB}
  - hear: /plant/XT401
    is: main.mute
    value: {arg: 0, bit: 3}
  - hear: /plant/XT401
    is: main.fader
    value: {arg: 1, taper: slider, minus-infinity: "< 400"}
  - hear: /plant/XT401
    is: main.level
    value: {arg: 2, unit: dBFS, scale: 5, offset: -100, minus-infinity: "< 4"}
  - hear: /plant/tag
    is: input.name
    which: {input: 101-116=1, arg: 0}
    value: {arg: 2}
  - hear: /plant/watchdog
    is: desk.alive
`,
	}
}

// ---- 7: addresses made otherwise ----

// A cooperative of instrument makers, who find numbers rude. A player is addressed by his name,
// the families by letters, the choirs by what is on the table; only the seats have numbers, and
// the first of them is 0. Loudness is amplitude, 1 as it comes. Who rests and who plays is said by
// saying so. What is heard is heard behind the fader; what is held is the factor that remains.
func blindFourNamed() furtherDialect {
	var turn atomic.Int64
	needle := &blindFourNeedle{rise: 0.8, fall: 0.45, floor: -110}
	choirs := []string{"bread", "salt", "honey", "oil"}
	player := func(v practice.View, i int) string {
		return "/player/" + strings.Map(func(r rune) rune {
			switch {
			case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
				return r
			}
			return '_'
		}, strings.ToLower(blindFourName(v, practice.InputName, i)))
	}
	loudness := func(dB float64) float32 { return float32(blindFourAmplitude(dB)) }
	heard := func(dB float64) float32 {
		if dB <= -110 {
			return 0
		}
		return float32(blindFourAmplitude(dB))
	}
	return furtherDialect{
		name: "blind4 named",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {
			rest := func(who string) {
				if v.Muted(t) {
					say(who + "/rests")
				} else {
					say(who + "/plays")
				}
			}
			switch t.Kind {
			case practice.InputName:
				say(fmt.Sprintf("/seat/%d/taken-by", t.Index), v.Hall().Strip(t))
			case practice.InputFader:
				say(player(v, t.Index)+"/loudness", loudness(v.Number(t)))
			case practice.InputMute:
				rest(player(v, t.Index))
			case practice.InputSolo:
				say(player(v, t.Index)+"/alone", v.Number(t) != 0)
			case practice.DCAFader:
				say("/family/"+string(rune('A'+t.Index))+"/loudness", loudness(v.Number(t)))
			case practice.DCAMute:
				rest("/family/" + string(rune('A'+t.Index)))
			case practice.GroupFader:
				say("/choir/"+choirs[t.Index]+"/loudness", loudness(v.Number(t)))
			case practice.GroupMute:
				rest("/choir/" + choirs[t.Index])
			case practice.MainFader:
				say("/everyone/loudness", loudness(v.Number(t)))
			case practice.MainMute:
				rest("/everyone")
			}
		},
		meters: func(v practice.View, say func(address string, args ...any)) {
			c := int(turn.Add(1) - 1)
			if c%2 == 0 {
				for i := range 16 {
					say(player(v, i)+"/heard", heard(needle.step(i, blindFourBehind(v, i))))
				}
				say("/everyone/heard", heard(needle.step(200, blindFourNumber(v, practice.MainLevel, 0))))
			}
			if c%4 == 1 {
				for i := range 16 {
					say(player(v, i)+"/held", loudness(-blindFourNumber(v, practice.InputReduction, i)))
				}
			}
			if c%4 == 3 {
				for i := range 4 {
					say("/choir/"+choirs[i]+"/heard", heard(needle.step(100+i, blindFourNumber(v, practice.GroupLevel, i))))
					say("/choir/"+choirs[i]+"/held", loudness(-blindFourNumber(v, practice.GroupReduction, i)))
				}
			}
			if c%10 == 5 {
				say("/hearth/breath", float32(0.5+0.5*math.Sin(float64(c)/25)))
			}
			if c%120 == 61 {
				say("/hearth/verse", []string{"the kettle sings", "the door is open", "snow on the step"}[c/120%3])
			}
		},
		truth: `signals:
  - hear: /seat/{input:0-15}/taken-by
    is: input.name
    value: {arg: 0}
  - hear: /player/{input-name}/loudness
    is: input.fader
    value: {arg: 0, unit: amplitude}
  - hear: /player/{input-name}/rests
    is: input.mute
    value: {bang: on}
  - hear: /player/{input-name}/plays
    is: input.mute
    value: {bang: off}
  - hear: /player/{input-name}/alone
    is: input.solo
    value: {arg: 0}
  - hear: /family/{dca:A-D}/loudness
    is: dca.fader
    value: {arg: 0, unit: amplitude}
  - hear: /family/{dca:A-D}/rests
    is: dca.mute
    value: {bang: on}
  - hear: /family/{dca:A-D}/plays
    is: dca.mute
    value: {bang: off}
  - hear: /choir/{group:bread,salt,honey,oil}/loudness
    is: group.fader
    value: {arg: 0, unit: amplitude}
  - hear: /choir/{group:bread,salt,honey,oil}/rests
    is: group.mute
    value: {bang: on}
  - hear: /choir/{group:bread,salt,honey,oil}/plays
    is: group.mute
    value: {bang: off}
  - hear: /everyone/loudness
    is: main.fader
    value: {arg: 0, unit: amplitude}
  - hear: /everyone/rests
    is: main.mute
    value: {bang: on}
  - hear: /everyone/plays
    is: main.mute
    value: {bang: off}
  - hear: /player/{input-name}/heard
    is: input.level
    tap: post-fader
    value: {arg: 0, unit: amplitude}
  - hear: /player/{input-name}/held
    is: input.reduction
    value: {arg: 0, unit: amplitude}
  - hear: /choir/{group:bread,salt,honey,oil}/heard
    is: group.level
    value: {arg: 0, unit: amplitude}
  - hear: /choir/{group:bread,salt,honey,oil}/held
    is: group.reduction
    value: {arg: 0, unit: amplitude}
  - hear: /everyone/heard
    is: main.level
    value: {arg: 0, unit: amplitude}
`,
	}
}

// ---- 8: several of these at once ----

// Two firms that became one: a house of radio continuity and one of film dubbing, and neither
// would give up its habits. Strips are told by number from 0, with gains as text; mutes are a list
// in which 1 is sounding, with a revision at its end; the DCAs have letters and a curve of their
// own; the buses are pairs in a blob; the programme is text again. Needles are a blob of threes in
// hundredths, the smaller ends first, with the buses behind; the programme's are volume units,
// 0 of which are -18 dBFS.
func blindFourMerged() furtherDialect {
	var revision, turn atomic.Int64
	needle := &blindFourNeedle{rise: 0.65, fall: 0.25, floor: -80}
	peaks := &blindFourHold{drop: 0.6, floor: -200}
	var curve []blindFourPoint
	var points []string
	for k := 1; k <= 50; k++ { // 6 dB at the top, less by 74 times the missing travel to the power of 1.7
		p := blindFourPoint{float64(k) / 50, math.Round(1000*(6-74*math.Pow(1-float64(k)/50, 1.7))) / 1000}
		curve = append(curve, p)
		points = append(points, fmt.Sprintf("[%.2f, %.3f]", p.at, p.dB))
	}
	letter := func(dB float64) float32 {
		if dB < curve[0].dB {
			return 0
		}
		return float32(blindFourPosition(curve, dB))
	}
	text := func(dB float64) string {
		if math.IsInf(dB, -1) {
			return "-inf"
		}
		return fmt.Sprintf("%.1f", dB)
	}
	hundredths := func(dB float64) int16 {
		if !(dB > -144) {
			return -32768
		}
		return int16(blindFourWithin(100*dB, -14400, 32767))
	}
	return furtherDialect{
		name: "blind4 merged",
		tell: func(v practice.View, t practice.Topic, say func(address string, args ...any)) {
			switch t.Kind {
			case practice.InputName:
				say("/desk/fact", "title", int32(t.Index), v.Hall().Strip(t))
			case practice.InputFader:
				say("/desk/fact", "send", int32(t.Index), text(v.Number(t)))
			case practice.InputSolo:
				state := "out"
				if v.Number(t) != 0 {
					state = "cue"
				}
				say("/desk/fact", "cans", int32(t.Index), state)
			case practice.InputMute:
				var args []any
				for i := range 16 {
					args = append(args, 1-blindFourInt(blindFourMuted(v, practice.InputMute, i)))
				}
				say("/desk/open", append(args, int32(revision.Add(1)))...)
			case practice.DCAFader, practice.DCAMute:
				say("/reel/"+string(rune('P'+t.Index)),
					blindFourInt(blindFourMuted(v, practice.DCAMute, t.Index)), "sync",
					letter(blindFourNumber(v, practice.DCAFader, t.Index)))
			case practice.GroupFader, practice.GroupMute:
				b := []byte{byte(revision.Add(1)), 4}
				for i := range 4 {
					b = binary.BigEndian.AppendUint16(b, uint16(hundredths(blindFourNumber(v, practice.GroupFader, i))))
					b = binary.BigEndian.AppendUint16(b, uint16(blindFourInt(blindFourMuted(v, practice.GroupMute, i))))
				}
				say("/stems", append(b, 0xff, 0xff))
			case practice.MainFader:
				say("/programme/send", text(v.Number(t)))
			case practice.MainMute:
				state := "FEED"
				if v.Muted(t) {
					state = "SLUG"
				}
				say("/programme/state", state)
			}
		},
		meters: func(v practice.View, say func(address string, args ...any)) {
			c := int(turn.Add(1) - 1)
			if c%2 == 1 {
				put := func(b []byte, x int16) []byte { return binary.LittleEndian.AppendUint16(b, uint16(x)) }
				var b []byte
				for i := range 16 {
					level := blindFourNumber(v, practice.InputLevel, i)
					b = put(b, hundredths(level))
					b = put(b, int16(blindFourWithin(-100*blindFourNumber(v, practice.InputReduction, i), -10000, 0)))
					b = put(b, hundredths(peaks.step(i, level+2)))
				}
				for i := range 4 {
					b = put(b, hundredths(blindFourNumber(v, practice.GroupLevel, i)))
				}
				for i := range 4 {
					b = put(b, int16(blindFourWithin(-100*blindFourNumber(v, practice.GroupReduction, i), -10000, 0)))
				}
				say("/needles", int32(c/2), b)
			}
			if c%3 == 0 {
				say("/programme/vu", float32(needle.step(0, blindFourNumber(v, practice.MainLevel, 0))+18))
			}
			if c%5 == 2 {
				f := c / 5 * 6
				say("/reel/code", int32(10+f/86400), int32(f/1440%60), int32(f/24%60), int32(f%24))
			}
			if c%150 == 33 {
				say("/desk/slate", "take "+fmt.Sprint(1+c/150))
			}
		},
		truth: `tapers:
  reel: [` + strings.Join(points, ", ") + `]
signals:
  - hear: /desk/fact
    is: input.name
    when: {arg: 0, is: title}
    which: {input: 0-15, arg: 1}
    value: {arg: 2}
  - hear: /desk/fact
    is: input.fader
    when: {arg: 0, is: send}
    which: {input: 0-15, arg: 1}
    value: {arg: 2, unit: dB}
  - hear: /desk/fact
    is: input.solo
    when: {arg: 0, is: cans}
    which: {input: 0-15, arg: 1}
    value: {arg: 2, words: {cue: on, out: off}}
  - hear: /desk/open
    is: input.mute
    value: {args: 0, each: input:1-16, invert: true}
  - hear: /reel/{dca:P-S}
    is: dca.mute
    value: {arg: 0}
  - hear: /reel/{dca:P-S}
    is: dca.fader
    value: {arg: 2, taper: reel, minus-infinity: "< 0.01"}
  - hear: /stems
    is: group.fader
    value: {blob: 0, of: int16-be, skip: 2, stride: 4, each: group:1-4, unit: centi-dB, minus-infinity: -32768}
  - hear: /stems
    is: group.mute
    value: {blob: 0, of: int16-be, skip: 4, stride: 4, each: group:1-4}
  - hear: /programme/send
    is: main.fader
    value: {arg: 0, unit: dB}
  - hear: /programme/state
    is: main.mute
    value: {arg: 0, words: {SLUG: on, FEED: off}}
  - hear: /needles
    is: input.level
    tap: pre-fader
    value: {blob: 1, of: int16-le, skip: 0, stride: 6, each: input:1-16, unit: centi-dB, minus-infinity: -32768}
  - hear: /needles
    is: input.reduction
    value: {blob: 1, of: int16-le, skip: 2, stride: 6, each: input:1-16, unit: centi-dB, sign: negative}
  - hear: /needles
    is: input.peak
    tap: pre-fader
    detector: peak
    value: {blob: 1, of: int16-le, skip: 4, stride: 6, each: input:1-16, unit: centi-dB, minus-infinity: -32768}
  - hear: /needles
    is: group.level
    value: {blob: 1, of: int16-le, skip: 96, each: group:1-4, unit: centi-dB, minus-infinity: -32768}
  - hear: /needles
    is: group.reduction
    value: {blob: 1, of: int16-le, skip: 104, each: group:1-4, unit: centi-dB, sign: negative}
  - hear: /programme/vu
    is: main.level
    value: {arg: 0, unit: dBFS, offset: -18}
`,
	}
}
