package survey

import (
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"strings"

	"pawl/daemon/practice"
)

// blind are eight desks of eight firms, made without knowledge of the program that guesses.
func blind() []furtherDialect {
	return []furtherDialect{
		blindText(),
		blindBlobs(),
		blindInterleaved(),
		blindBanks(),
		blindTCP(),
		blindPolled(),
		blindNamed(),
		blindMixed(),
	}
}

// ---- what several of them need

// blindPoint is one point of a fader's scale: a position as the desk counts it, and dB.
type blindPoint struct{ at, db float64 }

// blindScale is a fader's scale, rising, straight between its points; under a point at minus
// infinity the gain rises in a straight line, as in the map.
type blindScale []blindPoint

// position is where the fader stands for a gain; what is under the lowest point is the lowest point.
func (s blindScale) position(db float64) float64 {
	last := s[len(s)-1]
	if db >= last.db {
		return last.at
	}
	if math.IsInf(db, -1) || db < s[0].db {
		return s[0].at
	}
	for i := 1; i < len(s); i++ {
		lo, hi := s[i-1], s[i]
		if db > hi.db {
			continue
		}
		if math.IsInf(hi.db, -1) {
			continue
		}
		if math.IsInf(lo.db, -1) {
			return lo.at + (hi.at-lo.at)*math.Pow(10, (db-hi.db)/20)
		}
		return lo.at + (hi.at-lo.at)*(db-lo.db)/(hi.db-lo.db)
	}
	return last.at
}

// yaml writes the scale as a taper of a map.
func (s blindScale) yaml() string {
	var out []string
	for _, p := range s {
		db := "-inf"
		if !math.IsInf(p.db, -1) {
			db = strconv.FormatFloat(p.db, 'f', -1, 64)
		}
		out = append(out, "["+strconv.FormatFloat(p.at, 'f', -1, 64)+", "+db+"]")
	}
	return "[" + strings.Join(out, ", ") + "]"
}

func blindRound(x float64, places int) float64 {
	p := math.Pow(10, float64(places))
	return math.Round(x*p) / p
}

func blindSwitch(on bool) int32 {
	if on {
		return 1
	}
	return 0
}

func blindMuted(v practice.View, k practice.Kind, i int) bool {
	return v.Muted(practice.Topic{Kind: k, Index: i})
}

func blindNumber(v practice.View, k practice.Kind, i int) float64 {
	return v.Number(practice.Topic{Kind: k, Index: i})
}

func blindSoloed(v practice.View, i int) bool {
	return blindNumber(v, practice.InputSolo, i) > 0.5
}

func blindName(v practice.View, k practice.Kind, i int) string {
	return v.Hall().Strip(practice.Topic{Kind: k, Index: i})
}

// blindAfter is the level of an input behind its own fader and mute.
func blindAfter(v practice.View, i int) float64 {
	if blindMuted(v, practice.InputMute, i) {
		return math.Inf(-1)
	}
	level, gain := blindNumber(v, practice.InputLevel, i), blindNumber(v, practice.InputFader, i)
	if math.IsInf(level, -1) || math.IsInf(gain, -1) {
		return math.Inf(-1)
	}
	return level + gain
}

// blindWhole is x as the nearest whole number between low and high; minus infinity is low.
func blindWhole(x, low, high float64) int32 {
	if math.IsNaN(x) || x < low {
		return int32(low)
	}
	if x > high {
		return int32(high)
	}
	return int32(math.Round(x))
}

func blindAmplitude(db float64) float64 { return math.Pow(10, db/20) }

// ---- 1. A firm from the theatre: everything is text for people, decimals with a comma.

func blindText() furtherDialect {
	gain := func(db float64) string {
		if math.IsInf(db, -1) || db < -99.95 {
			return "-inf dB"
		}
		return strings.Replace(fmt.Sprintf("%.1f dB", db), ".", ",", 1)
	}
	bar := func(db float64) string {
		if math.IsInf(db, -1) || db < -90 {
			return "-inf"
		}
		return strings.Replace(fmt.Sprintf("%.1f", db), ".", ",", 1)
	}
	// What the little screen draws; it is told beside the gain, and nobody can do much with it.
	throw := blindScale{{0, math.Inf(-1)}, {20, -40}, {50, -15}, {80, 0}, {100, 6}}
	heard := func(muted bool) string {
		if muted {
			return "silent"
		}
		return "heard"
	}
	inks := []string{"amber", "plum", "moss", "slate", "coral"}
	n := 0
	return furtherDialect{
		name: "blind text",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			volume := func(address string) {
				db := v.Number(t)
				say(address+"/volume", fmt.Sprintf("%.0f %%", throw.position(db)), gain(db))
			}
			line, trim, sum := fmt.Sprintf("/line/%d", t.Index+1), fmt.Sprintf("/trim/%d", t.Index+1), fmt.Sprintf("/sum/%d", t.Index+1)
			switch t.Kind {
			case practice.InputName:
				say(line+"/title", v.Hall().Strip(t))
				say(line+"/paint", inks[t.Index%len(inks)])
			case practice.InputFader:
				volume(line)
			case practice.InputMute:
				say(line+"/state", heard(v.Muted(t)))
			case practice.InputSolo:
				if blindSoloed(v, t.Index) {
					say(line+"/phones", "on")
				} else {
					say(line+"/phones", "off")
				}
			case practice.DCAFader:
				volume(trim)
			case practice.DCAMute:
				say(trim+"/state", heard(v.Muted(t)))
			case practice.GroupFader:
				volume(sum)
			case practice.GroupMute:
				say(sum+"/state", heard(v.Muted(t)))
			case practice.MainFader:
				volume("/total")
			case practice.MainMute:
				say("/total/state", heard(v.Muted(t)))
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			n++
			if n%2 == 0 {
				var lines, sums []any
				for i := range 16 {
					lines = append(lines, bar(blindNumber(v, practice.InputLevel, i)))
				}
				say("/show/bars/lines", lines...)
				for i := range 4 {
					sums = append(sums, bar(blindNumber(v, practice.GroupLevel, i)))
				}
				// The fifth is the total.
				sums = append(sums, bar(blindNumber(v, practice.MainLevel, 0)))
				say("/show/bars/sums", sums...)
			}
			if n%4 == 1 {
				// Reduction stands on the screen as what is taken away.
				var lines, sums []any
				for i := range 16 {
					lines = append(lines, bar(-blindNumber(v, practice.InputReduction, i)))
				}
				for i := range 4 {
					sums = append(sums, bar(-blindNumber(v, practice.GroupReduction, i)))
				}
				say("/show/squeeze/lines", lines...)
				say("/show/squeeze/sums", sums...)
			}
			if n%20 == 0 {
				s := 19*3600 + 30*60 + n/20
				say("/show/clock", fmt.Sprintf("%02d:%02d:%02d", s/3600%24, s/60%60, s%60))
			}
		},
		truth: `signals:
  - hear: /line/{input:1-16}/volume
    is: input.fader
    value: {arg: 1, unit: dB}
  - hear: /line/{input:1-16}/state
    is: input.mute
    value: {arg: 0, words: {heard: off, silent: on}}
  - hear: /line/{input:1-16}/phones
    is: input.solo
    value: {arg: 0}
  - hear: /line/{input:1-16}/title
    is: input.name
    value: {arg: 0}
  - hear: /trim/{dca:1-4}/volume
    is: dca.fader
    value: {arg: 1, unit: dB}
  - hear: /trim/{dca:1-4}/state
    is: dca.mute
    value: {arg: 0, words: {heard: off, silent: on}}
  - hear: /sum/{group:1-4}/volume
    is: group.fader
    value: {arg: 1, unit: dB}
  - hear: /sum/{group:1-4}/state
    is: group.mute
    value: {arg: 0, words: {heard: off, silent: on}}
  - hear: /total/volume
    is: main.fader
    value: {arg: 1, unit: dB}
  - hear: /total/state
    is: main.mute
    value: {arg: 0, words: {heard: off, silent: on}}
  - hear: /show/bars/lines
    is: input.level
    tap: pre-fader
    value: {args: 0, each: input:1-16, unit: dBFS}
  - hear: /show/bars/sums
    is: group.level
    value: {args: 0, each: group:1-4, unit: dBFS}
  - hear: /show/bars/sums
    is: main.level
    value: {arg: 4, unit: dBFS}
  - hear: /show/squeeze/lines
    is: input.reduction
    value: {args: 0, each: input:1-16, unit: dB, sign: negative}
  - hear: /show/squeeze/sums
    is: group.reduction
    value: {args: 0, each: group:1-4, unit: dB, sign: negative}
`,
	}
}

// ---- 2. A broadcast firm: whatever there is many of goes out as binary, meters little-endian
// as the signal processor has them, faders big-endian as the panel's processor has them.

func blindBlobs() furtherDialect {
	// The converter behind a fader has ten bits.
	throw := blindScale{{0, math.Inf(-1)}, {64, -60}, {256, -36}, {512, -14}, {768, 0}, {1023, 6}}
	revision := int32(0)
	frame := uint32(0)
	throws := func(v practice.View, k practice.Kind, count int) []byte {
		var b []byte
		for i := range count {
			b = binary.BigEndian.AppendUint16(b, uint16(blindWhole(throw.position(blindNumber(v, k, i)), 0, 1023)))
		}
		return b
	}
	// The lamp in the button is lit when the strip is on air.
	lamps := func(v practice.View, k practice.Kind, count int) []byte {
		var b []byte
		for i := range count {
			b = append(b, byte(blindSwitch(!blindMuted(v, k, i))))
		}
		return b
	}
	fine := func(b []byte, db float64) []byte {
		return binary.LittleEndian.AppendUint16(b, uint16(int16(blindWhole(db*256, -32768, 32767))))
	}
	quarter := func(db float64) byte { return byte(blindWhole(db*4, 0, 255)) }
	return furtherDialect{
		name: "blind blobs",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			revision++
			switch t.Kind {
			case practice.InputName:
				say("/rk/tag", int32(t.Index+1), v.Hall().Strip(t), int32(0x30+t.Index%7))
			case practice.InputFader:
				say("/rk/fad/in", revision, throws(v, practice.InputFader, 16))
			case practice.InputMute:
				say("/rk/air/in", revision, lamps(v, practice.InputMute, 16))
			case practice.InputSolo:
				var b []byte
				for i := range 16 {
					b = append(b, byte(blindSwitch(blindSoloed(v, i))))
				}
				say("/rk/cue/in", revision, b)
			case practice.DCAFader:
				say("/rk/fad/vc", revision, throws(v, practice.DCAFader, 4))
			case practice.DCAMute:
				say("/rk/air/vc", revision, lamps(v, practice.DCAMute, 4))
			case practice.GroupFader:
				say("/rk/fad/sub", revision, throws(v, practice.GroupFader, 4))
			case practice.GroupMute:
				say("/rk/air/sub", revision, lamps(v, practice.GroupMute, 4))
			case practice.MainFader:
				say("/rk/fad/pgm", revision, blindWhole(throw.position(v.Number(t)), 0, 1023))
			case practice.MainMute:
				say("/rk/air/pgm", revision, blindSwitch(!v.Muted(t)))
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			frame++
			// Four bytes of a counter, then 256ths of a dB behind the fader; the lowest number is nothing.
			b := binary.LittleEndian.AppendUint32(nil, frame)
			for i := range 16 {
				b = fine(b, blindAfter(v, i))
			}
			say("/rk/mt/in", b)
			b = binary.LittleEndian.AppendUint32(nil, frame)
			for i := range 4 {
				b = fine(b, blindNumber(v, practice.GroupLevel, i))
			}
			say("/rk/mt/sub", b)
			pgm := blindNumber(v, practice.MainLevel, 0)
			if pgm < -128 {
				pgm = -128
			}
			say("/rk/mt/pgm", float32(pgm))
			if frame%2 == 0 {
				// Two bytes that say which table this is, then quarters of a dB: inputs, then groups.
				b = []byte{0x47, 0x02}
				for i := range 16 {
					b = append(b, quarter(blindNumber(v, practice.InputReduction, i)))
				}
				for i := range 4 {
					b = append(b, quarter(blindNumber(v, practice.GroupReduction, i)))
				}
				say("/rk/mt/gr", b)
			}
			if frame%40 == 0 {
				say("/rk/psu", float32(11.9+0.1*math.Sin(float64(frame))), float32(47.5+float64(frame%7)/10))
			}
		},
		truth: `tapers:
  ten-bits: ` + throw.yaml() + `
signals:
  - hear: /rk/tag
    is: input.name
    which: {input: 1-16, arg: 0}
    value: {arg: 1}
  - hear: /rk/fad/in
    is: input.fader
    value: {blob: 1, of: uint16-be, each: input:1-16, taper: ten-bits}
  - hear: /rk/air/in
    is: input.mute
    value: {blob: 1, of: uint8, each: input:1-16, invert: true}
  - hear: /rk/cue/in
    is: input.solo
    value: {blob: 1, of: uint8, each: input:1-16}
  - hear: /rk/fad/vc
    is: dca.fader
    value: {blob: 1, of: uint16-be, each: dca:1-4, taper: ten-bits}
  - hear: /rk/air/vc
    is: dca.mute
    value: {blob: 1, of: uint8, each: dca:1-4, invert: true}
  - hear: /rk/fad/sub
    is: group.fader
    value: {blob: 1, of: uint16-be, each: group:1-4, taper: ten-bits}
  - hear: /rk/air/sub
    is: group.mute
    value: {blob: 1, of: uint8, each: group:1-4, invert: true}
  - hear: /rk/fad/pgm
    is: main.fader
    value: {arg: 1, taper: ten-bits}
  - hear: /rk/air/pgm
    is: main.mute
    value: {arg: 1, invert: true}
  - hear: /rk/mt/in
    is: input.level
    tap: post-fader
    value: {blob: 0, of: int16-le, skip: 4, each: input:1-16, unit: dB/256, minus-infinity: -32768}
  - hear: /rk/mt/sub
    is: group.level
    value: {blob: 0, of: int16-le, skip: 4, each: group:1-4, unit: dB/256, minus-infinity: -32768}
  - hear: /rk/mt/pgm
    is: main.level
    value: {arg: 0, unit: dBFS, minus-infinity: -128}
  - hear: /rk/mt/gr
    is: input.reduction
    value: {blob: 0, of: uint8, skip: 2, each: input:1-16, unit: dB, scale: 0.25}
  - hear: /rk/mt/gr
    is: group.reduction
    value: {blob: 0, of: uint8, skip: 18, each: group:1-4, unit: dB, scale: 0.25}
`,
	}
}

// ---- 3. A firm that began with plug-ins: its "state" and its "frame" go out whole, one record
// for each strip, and behind the inputs come the others.

func blindInterleaved() furtherDialect {
	// Gain is twice the cube of the travel, all but exactly: dB = 6 + 60 log10 x.
	throw := blindScale{{0, math.Inf(-1)}}
	for db := -114; db <= 6; db++ {
		throw = append(throw, blindPoint{blindRound(math.Pow(10, float64(db-6)/60), 7), float64(db)})
	}
	travel := func(db float64) float32 {
		if math.IsInf(db, -1) || db < -114 {
			return float32(throw.position(db))
		}
		return float32(math.Min(1, math.Pow(10, (db-6)/60)))
	}
	revision := int32(100)
	frame := 0
	// A peak stands for a second and a half and then goes where the signal is.
	top, since := make([]float64, 16), make([]int, 16)
	for i := range top {
		top[i] = math.Inf(-1)
	}
	tenth := func(b []byte, db float64) []byte {
		return binary.BigEndian.AppendUint16(b, uint16(int16(blindWhole(db*10, -1000, 1000))))
	}
	fifth := func(db float64) byte { return byte(blindWhole(db*5, 0, 255)) }
	return furtherDialect{
		name: "blind interleaved",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			switch t.Kind {
			case practice.InputName:
				say("/brd/label", v.Hall().Strip(t), int32(t.Index))
			case practice.InputFader, practice.InputMute, practice.InputSolo, practice.DCAFader, practice.DCAMute,
				practice.GroupFader, practice.GroupMute, practice.MainFader, practice.MainMute:
				revision++
				list := []any{revision}
				for i := range 16 { // from 1: throw, running, listened to
					list = append(list, travel(blindNumber(v, practice.InputFader, i)),
						blindSwitch(!blindMuted(v, practice.InputMute, i)), blindSwitch(blindSoloed(v, i)))
				}
				for i := range 4 { // from 49: throw, running
					list = append(list, travel(blindNumber(v, practice.GroupFader, i)), blindSwitch(!blindMuted(v, practice.GroupMute, i)))
				}
				for i := range 4 { // from 57: throw, running
					list = append(list, travel(blindNumber(v, practice.DCAFader, i)), blindSwitch(!blindMuted(v, practice.DCAMute, i)))
				}
				// 65, 66
				list = append(list, travel(blindNumber(v, practice.MainFader, 0)), blindSwitch(!blindMuted(v, practice.MainMute, 0)))
				say("/brd/state", list...)
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			frame++
			b := binary.BigEndian.AppendUint32(nil, uint32(frame)*2400) // samples
			b = binary.BigEndian.AppendUint16(b, 16)
			b = binary.BigEndian.AppendUint16(b, 8)
			for i := range 16 { // eight bytes each: before, top, behind, reduction, lamps
				level := blindNumber(v, practice.InputLevel, i)
				if level >= top[i] || frame-since[i] > 30 {
					top[i], since[i] = level, frame
				}
				reduction := blindNumber(v, practice.InputReduction, i)
				b = tenth(b, level)
				b = tenth(b, top[i]+4) // a peak stands some dB over what the meter shows
				b = tenth(b, blindAfter(v, i))
				b = append(b, fifth(reduction))
				lamps := byte(0)
				if level > -50 {
					lamps |= 1
				}
				if reduction > 0.5 {
					lamps |= 2
				}
				b = append(b, lamps)
			}
			for i := range 4 { // from 136, four bytes each: level, reduction, nothing
				b = tenth(b, blindNumber(v, practice.GroupLevel, i))
				b = append(b, fifth(blindNumber(v, practice.GroupReduction, i)), 0)
			}
			sum := uint16(0)
			for _, x := range b {
				sum += uint16(x)
			}
			b = binary.BigEndian.AppendUint16(b, sum)
			say("/brd/frame", b, blindWhole(blindNumber(v, practice.MainLevel, 0)*10, -1000, 1000))
			if frame%10 == 0 {
				say("/brd/load", float32(0.31+0.02*math.Sin(float64(frame)/17)))
			}
		},
		truth: `tapers:
  cube: ` + throw.yaml() + `
signals:
  - hear: /brd/label
    is: input.name
    which: {input: 0-15, arg: 1}
    value: {arg: 0}
  - hear: /brd/state
    is: input.fader
    value: {args: 1, each: input:1-16, stride: 3, taper: cube}
  - hear: /brd/state
    is: input.mute
    value: {args: 2, each: input:1-16, stride: 3, invert: true}
  - hear: /brd/state
    is: input.solo
    value: {args: 3, each: input:1-16, stride: 3}
  - hear: /brd/state
    is: group.fader
    value: {args: 49, each: group:1-4, stride: 2, taper: cube}
  - hear: /brd/state
    is: group.mute
    value: {args: 50, each: group:1-4, stride: 2, invert: true}
  - hear: /brd/state
    is: dca.fader
    value: {args: 57, each: dca:1-4, stride: 2, taper: cube}
  - hear: /brd/state
    is: dca.mute
    value: {args: 58, each: dca:1-4, stride: 2, invert: true}
  - hear: /brd/state
    is: main.fader
    value: {arg: 65, taper: cube}
  - hear: /brd/state
    is: main.mute
    value: {arg: 66, invert: true}
  - hear: /brd/frame
    is: input.level
    tap: pre-fader
    value: {blob: 0, of: int16-be, skip: 8, stride: 8, each: input:1-16, unit: dBFS, scale: 0.1, minus-infinity: -1000}
  - hear: /brd/frame
    is: input.peak
    tap: pre-fader
    value: {blob: 0, of: int16-be, skip: 10, stride: 8, each: input:1-16, unit: dBFS, scale: 0.1, minus-infinity: -1000}
  - hear: /brd/frame
    is: input.level
    tap: post-fader
    value: {blob: 0, of: int16-be, skip: 12, stride: 8, each: input:1-16, unit: dBFS, scale: 0.1, minus-infinity: -1000}
  - hear: /brd/frame
    is: input.reduction
    value: {blob: 0, of: uint8, skip: 14, stride: 8, each: input:1-16, unit: dB, scale: 0.2}
  - hear: /brd/frame
    is: group.level
    value: {blob: 0, of: int16-be, skip: 136, stride: 4, each: group:1-4, unit: dBFS, scale: 0.1, minus-infinity: -1000}
  - hear: /brd/frame
    is: group.reduction
    value: {blob: 0, of: uint8, skip: 138, stride: 4, each: group:1-4, unit: dB, scale: 0.2}
  - hear: /brd/frame
    is: main.level
    value: {arg: 1, unit: dBFS, scale: 0.1, minus-infinity: -1000}
`,
	}
}

// ---- 4. A firm whose desk is built of bays: left and right with eight inputs each, and the
// centre with the groups, the DCAs and the main. A bay says all its strips at once.

func blindBanks() furtherDialect {
	// Per cent of the travel: dB = 6 - 106 (1 - x)^2.25, and nothing at all at the stop.
	curve := func(x float64) float64 { return 6 - 106*math.Pow(1-x, 2.25) }
	throw := blindScale{}
	for i := 0; i <= 200; i++ {
		throw = append(throw, blindPoint{float64(i) / 2, blindRound(curve(float64(i)/200), 4)})
	}
	percent := func(db float64) float32 {
		if math.IsInf(db, -1) || db <= -100 {
			return 0
		}
		x := 1 - math.Pow((6-math.Min(db, 6))/106, 1/2.25)
		return float32(100 * x)
	}
	bays := []struct {
		letter      string
		first, past int
	}{{"l", 0, 8}, {"r", 8, 16}}
	n := int32(0)
	// Bars fall 26 dB in a second.
	bar := make([]float64, 21)
	for i := range bar {
		bar[i] = math.Inf(-1)
	}
	fall := func(i int, db float64) int32 {
		bar[i] = math.Max(db, bar[i]-1.3)
		if bar[i] < -100 {
			bar[i] = math.Inf(-1)
		}
		return blindWhole(32767*blindAmplitude(bar[i]), 0, 32767)
	}
	return furtherDialect{
		name: "blind bank lists",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			bay := bays[t.Index/8%2]
			var list []any
			switch t.Kind {
			case practice.InputName:
				for i := bay.first; i < bay.past; i++ {
					list = append(list, blindName(v, practice.InputName, i))
				}
				say("/bay/"+bay.letter+"/strip-text", list...)
			case practice.InputFader:
				for i := bay.first; i < bay.past; i++ {
					list = append(list, percent(blindNumber(v, practice.InputFader, i)))
				}
				say("/bay/"+bay.letter+"/pos", list...)
			case practice.InputMute:
				for i := bay.first; i < bay.past; i++ {
					list = append(list, blindSwitch(blindMuted(v, practice.InputMute, i)))
				}
				say("/bay/"+bay.letter+"/cut", list...)
			case practice.InputSolo:
				for i := bay.first; i < bay.past; i++ {
					list = append(list, blindSwitch(blindSoloed(v, i)))
				}
				say("/bay/"+bay.letter+"/ear", list...)
			case practice.GroupFader, practice.DCAFader, practice.MainFader:
				for i := range 4 {
					list = append(list, percent(blindNumber(v, practice.GroupFader, i)))
				}
				for i := range 4 {
					list = append(list, percent(blindNumber(v, practice.DCAFader, i)))
				}
				say("/bay/c/pos", append(list, percent(blindNumber(v, practice.MainFader, 0)))...)
			case practice.GroupMute, practice.DCAMute, practice.MainMute:
				for i := range 4 {
					list = append(list, blindSwitch(blindMuted(v, practice.GroupMute, i)))
				}
				for i := range 4 {
					list = append(list, blindSwitch(blindMuted(v, practice.DCAMute, i)))
				}
				say("/bay/c/cut", append(list, blindSwitch(blindMuted(v, practice.MainMute, 0)))...)
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			n++
			var all [21]int32
			for i := range 16 {
				all[i] = fall(i, blindNumber(v, practice.InputLevel, i))
			}
			for i := range 4 {
				all[16+i] = fall(16+i, blindNumber(v, practice.GroupLevel, i))
			}
			all[20] = fall(20, blindNumber(v, practice.MainLevel, 0))
			send := func(address string, first, past int) {
				var list []any
				for _, x := range all[first:past] {
					list = append(list, x)
				}
				say(address, list...)
			}
			held := func(address string, k practice.Kind, first, past int) {
				var list []any
				for i := first; i < past; i++ {
					list = append(list, float32(blindAmplitude(-blindNumber(v, k, i))))
				}
				say(address, list...)
			}
			// The bays take turns on the wire.
			switch n % 3 {
			case 0:
				send("/bay/l/bar", 0, 8)
				held("/bay/l/held", practice.InputReduction, 0, 8)
			case 1:
				send("/bay/r/bar", 8, 16)
				held("/bay/r/held", practice.InputReduction, 8, 16)
			case 2:
				send("/bay/c/bar", 16, 21)
				held("/bay/c/held", practice.GroupReduction, 0, 4)
			}
			if n%20 == 7 {
				for _, letter := range []string{"l", "r", "c"} {
					say("/bay/"+letter+"/tick", n/20, "ok")
				}
			}
		},
		truth: `tapers:
  percent: ` + throw.yaml() + `
signals:
  - hear: /bay/l/strip-text
    is: input.name
    value: {args: 0, each: input:1-8}
  - hear: /bay/r/strip-text
    is: input.name
    value: {args: 0, each: input:9-16}
  - hear: /bay/l/pos
    is: input.fader
    value: {args: 0, each: input:1-8, taper: percent, minus-infinity: 0}
  - hear: /bay/r/pos
    is: input.fader
    value: {args: 0, each: input:9-16, taper: percent, minus-infinity: 0}
  - hear: /bay/l/cut
    is: input.mute
    value: {args: 0, each: input:1-8}
  - hear: /bay/r/cut
    is: input.mute
    value: {args: 0, each: input:9-16}
  - hear: /bay/l/ear
    is: input.solo
    value: {args: 0, each: input:1-8}
  - hear: /bay/r/ear
    is: input.solo
    value: {args: 0, each: input:9-16}
  - hear: /bay/c/pos
    is: group.fader
    value: {args: 0, each: group:1-4, taper: percent, minus-infinity: 0}
  - hear: /bay/c/pos
    is: dca.fader
    value: {args: 4, each: dca:1-4, taper: percent, minus-infinity: 0}
  - hear: /bay/c/pos
    is: main.fader
    value: {arg: 8, taper: percent, minus-infinity: 0}
  - hear: /bay/c/cut
    is: group.mute
    value: {args: 0, each: group:1-4}
  - hear: /bay/c/cut
    is: dca.mute
    value: {args: 4, each: dca:1-4}
  - hear: /bay/c/cut
    is: main.mute
    value: {arg: 8}
  - hear: /bay/l/bar
    is: input.level
    tap: pre-fader
    value: {args: 0, each: input:1-8, unit: amplitude, scale: 1/32767}
  - hear: /bay/r/bar
    is: input.level
    tap: pre-fader
    value: {args: 0, each: input:9-16, unit: amplitude, scale: 1/32767}
  - hear: /bay/c/bar
    is: group.level
    value: {args: 0, each: group:1-4, unit: amplitude, scale: 1/32767}
  - hear: /bay/c/bar
    is: main.level
    value: {arg: 4, unit: amplitude, scale: 1/32767}
  - hear: /bay/l/held
    is: input.reduction
    value: {args: 0, each: input:1-8, unit: amplitude}
  - hear: /bay/r/held
    is: input.reduction
    value: {args: 0, each: input:9-16, unit: amplitude}
  - hear: /bay/c/held
    is: group.reduction
    value: {args: 0, each: group:1-4, unit: amplitude}
`,
	}
}

// ---- 5. A firm of installers, over TCP: tcp-length (the OSC 1.0 stream, each packet behind an
// int32 of its size). One address for all that changes; which strip, what, and then the value.

func blindTCP() furtherDialect {
	n := int32(0)
	const closed = -144
	gain := func(db float64) float32 { return float32(math.Max(closed, db)) }
	// Bars are averages of the power with a time constant of a quarter of a second.
	power := make([]float64, 16)
	kinds := map[practice.Kind]string{
		practice.InputFader: "gain.mic", practice.InputMute: "stop.mic", practice.InputSolo: "check.mic", practice.InputName: "label.mic",
		practice.DCAFader: "gain.link", practice.DCAMute: "stop.link",
		practice.GroupFader: "gain.zone", practice.GroupMute: "stop.zone",
		practice.MainFader: "gain.sum", practice.MainMute: "stop.sum",
	}
	return furtherDialect{
		name: "blind TCP, tcp-length",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			what, ok := kinds[t.Kind]
			if !ok {
				return
			}
			strip := int32(t.Index + 1)
			switch t.Kind {
			case practice.InputFader, practice.DCAFader, practice.GroupFader, practice.MainFader:
				say("/upd", strip, what, gain(v.Number(t)))
			case practice.InputSolo:
				say("/upd", strip, what, blindSwitch(blindSoloed(v, t.Index)))
			case practice.InputName:
				say("/upd", strip, what, v.Hall().Strip(t))
				say("/upd", strip, "icon.mic", int32(20+t.Index*3%11))
			default:
				say("/upd", strip, what, blindSwitch(v.Muted(t)))
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			n++
			for i, db := range v.Row(practice.InputLevel) {
				if i < 16 {
					power[i] += (math.Pow(10, db/10) - power[i]) * 0.18
				}
			}
			if n%2 == 0 {
				list := []any{"mic", int32(16)}
				for _, p := range power {
					list = append(list, gain(10*math.Log10(p)))
				}
				say("/bars", list...)
				list = []any{"zone", int32(4)}
				for i := range 4 {
					list = append(list, gain(blindNumber(v, practice.GroupLevel, i)))
				}
				say("/bars", list...)
				say("/bars", "sum", int32(1), gain(blindNumber(v, practice.MainLevel, 0)))
			} else {
				list := []any{"mic", int32(16)}
				for i := range 16 {
					list = append(list, float32(blindNumber(v, practice.InputReduction, i)))
				}
				say("/ducks", list...)
				list = []any{"zone", int32(4)}
				for i := range 4 {
					list = append(list, float32(blindNumber(v, practice.GroupReduction, i)))
				}
				say("/ducks", list...)
			}
			if n%100 == 1 {
				say("/here", "rack 2", n/20)
			}
		},
		truth: `signals:
  - hear: /upd
    is: input.fader
    when: {arg: 1, is: gain.mic}
    which: {input: 1-16, arg: 0}
    value: {arg: 2, unit: dB, minus-infinity: -144}
  - hear: /upd
    is: input.mute
    when: {arg: 1, is: stop.mic}
    which: {input: 1-16, arg: 0}
    value: {arg: 2}
  - hear: /upd
    is: input.solo
    when: {arg: 1, is: check.mic}
    which: {input: 1-16, arg: 0}
    value: {arg: 2}
  - hear: /upd
    is: input.name
    when: {arg: 1, is: label.mic}
    which: {input: 1-16, arg: 0}
    value: {arg: 2}
  - hear: /upd
    is: dca.fader
    when: {arg: 1, is: gain.link}
    which: {dca: 1-4, arg: 0}
    value: {arg: 2, unit: dB, minus-infinity: -144}
  - hear: /upd
    is: dca.mute
    when: {arg: 1, is: stop.link}
    which: {dca: 1-4, arg: 0}
    value: {arg: 2}
  - hear: /upd
    is: group.fader
    when: {arg: 1, is: gain.zone}
    which: {group: 1-4, arg: 0}
    value: {arg: 2, unit: dB, minus-infinity: -144}
  - hear: /upd
    is: group.mute
    when: {arg: 1, is: stop.zone}
    which: {group: 1-4, arg: 0}
    value: {arg: 2}
  - hear: /upd
    is: main.fader
    when: {arg: 1, is: gain.sum}
    value: {arg: 2, unit: dB, minus-infinity: -144}
  - hear: /upd
    is: main.mute
    when: {arg: 1, is: stop.sum}
    value: {arg: 2}
  - hear: /bars
    is: input.level
    tap: pre-fader
    detector: rms
    when: {arg: 0, is: mic}
    value: {args: 2, each: input:1-16, unit: dBFS, minus-infinity: -144}
  - hear: /bars
    is: group.level
    when: {arg: 0, is: zone}
    value: {args: 2, each: group:1-4, unit: dBFS, minus-infinity: -144}
  - hear: /bars
    is: main.level
    when: {arg: 0, is: sum}
    value: {arg: 2, unit: dBFS, minus-infinity: -144}
  - hear: /ducks
    is: input.reduction
    when: {arg: 0, is: mic}
    value: {args: 2, each: input:1-16, unit: dB, sign: positive}
  - hear: /ducks
    is: group.reduction
    when: {arg: 0, is: zone}
    value: {args: 2, each: group:1-4, unit: dB, sign: positive}
  - hear: /here
    is: desk.alive
`,
	}
}

// ---- 6. A firm of the old school: the desk answers when it is asked, five times a second, with
// everything of a strip in hundredths of a dB, and never says a word by itself.

func blindPolled() furtherDialect {
	n := int32(0)
	hundredth := func(db float64) int32 { return blindWhole(db*100, -14400, 4000) }
	flags := func(muted, solo bool) int32 {
		// 0x10: the strip is there.
		f := int32(0x10)
		if muted {
			f |= 1
		}
		if solo {
			f |= 4
		}
		return f
	}
	return furtherDialect{
		name: "blind polled",
		tell: func(practice.View, practice.Topic, func(string, ...any)) {},
		meters: func(v practice.View, say func(string, ...any)) {
			n++
			if n%4 != 0 {
				return
			}
			for i := range 16 {
				say(fmt.Sprintf("/ans/ip%02d", i+1),
					flags(blindMuted(v, practice.InputMute, i), blindSoloed(v, i)),
					hundredth(blindNumber(v, practice.InputFader, i)),
					hundredth(blindAfter(v, i)),
					hundredth(-blindNumber(v, practice.InputReduction, i)),
					blindName(v, practice.InputName, i))
			}
			for i := range 4 {
				say(fmt.Sprintf("/ans/bs%02d", i+1),
					flags(blindMuted(v, practice.GroupMute, i), false),
					hundredth(blindNumber(v, practice.GroupFader, i)),
					hundredth(blindNumber(v, practice.GroupLevel, i)),
					hundredth(-blindNumber(v, practice.GroupReduction, i)),
					blindName(v, practice.GroupFader, i))
			}
			for i := range 4 {
				say(fmt.Sprintf("/ans/cg%02d", i+1),
					flags(blindMuted(v, practice.DCAMute, i), false),
					hundredth(blindNumber(v, practice.DCAFader, i)),
					blindName(v, practice.DCAFader, i))
			}
			say("/ans/mx",
				flags(blindMuted(v, practice.MainMute, 0), false),
				hundredth(blindNumber(v, practice.MainFader, 0)),
				hundredth(blindNumber(v, practice.MainLevel, 0)))
			if n%20 == 0 {
				say("/ans/sys", n/20, "v3.02b", int32(380+n/20%5))
			}
		},
		truth: `signals:
  - hear: /ans/ip{input:01-16}
    is: input.mute
    value: {arg: 0, bit: 0}
  - hear: /ans/ip{input:01-16}
    is: input.solo
    value: {arg: 0, bit: 2}
  - hear: /ans/ip{input:01-16}
    is: input.fader
    value: {arg: 1, unit: centi-dB, minus-infinity: -14400}
  - hear: /ans/ip{input:01-16}
    is: input.level
    tap: post-fader
    value: {arg: 2, unit: centi-dB, minus-infinity: -14400}
  - hear: /ans/ip{input:01-16}
    is: input.reduction
    value: {arg: 3, unit: centi-dB, sign: negative}
  - hear: /ans/ip{input:01-16}
    is: input.name
    value: {arg: 4}
  - hear: /ans/bs{group:01-04}
    is: group.mute
    value: {arg: 0, bit: 0}
  - hear: /ans/bs{group:01-04}
    is: group.fader
    value: {arg: 1, unit: centi-dB, minus-infinity: -14400}
  - hear: /ans/bs{group:01-04}
    is: group.level
    value: {arg: 2, unit: centi-dB, minus-infinity: -14400}
  - hear: /ans/bs{group:01-04}
    is: group.reduction
    value: {arg: 3, unit: centi-dB, sign: negative}
  - hear: /ans/bs{group:01-04}
    is: group.name
    value: {arg: 4}
  - hear: /ans/cg{dca:01-04}
    is: dca.mute
    value: {arg: 0, bit: 0}
  - hear: /ans/cg{dca:01-04}
    is: dca.fader
    value: {arg: 1, unit: centi-dB, minus-infinity: -14400}
  - hear: /ans/cg{dca:01-04}
    is: dca.name
    value: {arg: 2}
  - hear: /ans/mx
    is: main.mute
    value: {arg: 0, bit: 0}
  - hear: /ans/mx
    is: main.fader
    value: {arg: 1, unit: centi-dB, minus-infinity: -14400}
  - hear: /ans/mx
    is: main.level
    value: {arg: 2, unit: centi-dB, minus-infinity: -14400}
`,
	}
}

// ---- 7. Two people with a laptop: the players stand in the addresses by their names, the
// wings (DCAs) by letters, the choirs (groups) count from 0.

func blindNamed() furtherDialect {
	throw := blindScale{{0, math.Inf(-1)}, {0.03, math.Inf(-1)}, {0.2, -45}, {0.45, -20}, {0.7, -4}, {0.78, 0}, {1, 6}}
	n := int32(0)
	part := func(name string) string {
		return strings.Map(func(r rune) rune {
			switch {
			case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
				return r
			case r >= 'A' && r <= 'Z':
				return r - 'A' + 'a'
			case r == ' ':
				return '_'
			}
			return -1
		}, name)
	}
	cast := func(v practice.View, i int) string { return "/cast/" + part(blindName(v, practice.InputName, i)) }
	wing := func(i int) string { return "/wing/" + string(rune('A'+i)) }
	choir := func(i int) string { return fmt.Sprintf("/choir/%d", i) }
	// A lamp goes from dark to full in thirty steps of 2 dB, and is full at 0 dBFS.
	glow := func(db float64) float32 { return float32(float64(blindWhole((db+60)/2, 0, 30)) / 30) }
	// Pressed all the way is 24 dB.
	press := func(db float64) float32 { return float32(math.Min(1, db/24)) }
	return furtherDialect{
		name: "blind names and letters",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			reach := func(address string) { say(address+"/reach", float32(throw.position(v.Number(t)))) }
			speaks := func(address string) { say(address+"/speaks", blindSwitch(!v.Muted(t))) }
			switch t.Kind {
			case practice.InputName:
				say("/seat", v.Hall().Strip(t), int32(t.Index+1), "row "+string(rune('a'+t.Index/4)))
			case practice.InputFader:
				reach(cast(v, t.Index))
			case practice.InputMute:
				speaks(cast(v, t.Index))
			case practice.InputSolo:
				say(cast(v, t.Index)+"/alone", blindSwitch(blindSoloed(v, t.Index)))
			case practice.DCAFader:
				reach(wing(t.Index))
			case practice.DCAMute:
				// A wing's button is two buttons, and each says that it was pressed.
				if v.Muted(t) {
					say(wing(t.Index) + "/folds")
				} else {
					say(wing(t.Index) + "/spreads")
				}
			case practice.GroupFader:
				reach(choir(t.Index))
			case practice.GroupMute:
				speaks(choir(t.Index))
			case practice.MainFader:
				reach("/everyone")
			case practice.MainMute:
				speaks("/everyone")
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			n++
			if n%2 == 0 {
				for i := range 16 {
					say(cast(v, i)+"/glow", glow(blindAfter(v, i)))
				}
				for i := range 4 {
					say(choir(i)+"/glow", glow(blindNumber(v, practice.GroupLevel, i)))
				}
				say("/everyone/glow", glow(blindNumber(v, practice.MainLevel, 0)))
			}
			if n%4 == 3 {
				for i := range 16 {
					say(cast(v, i)+"/pressed", press(blindNumber(v, practice.InputReduction, i)))
				}
				for i := range 4 {
					say(choir(i)+"/pressed", press(blindNumber(v, practice.GroupReduction, i)))
				}
			}
			if n%10 == 0 {
				// The beat of the house, 120 in a minute; and the hue of the wall.
				say("/beat", n/10%4+1)
				say("/wall", float32(n%360)/360, float32(0.5), float32(0.8))
			}
		},
		truth: `tapers:
  reach: ` + throw.yaml() + `
signals:
  - hear: /seat
    is: input.name
    which: {input: 1-16, arg: 1}
    value: {arg: 0}
  - hear: /cast/{input-name}/reach
    is: input.fader
    value: {arg: 0, taper: reach}
  - hear: /cast/{input-name}/speaks
    is: input.mute
    value: {arg: 0, invert: true}
  - hear: /cast/{input-name}/alone
    is: input.solo
    value: {arg: 0}
  - hear: /cast/{input-name}/glow
    is: input.level
    tap: post-fader
    value: {arg: 0, unit: dBFS, scale: 60, offset: -60, minus-infinity: 0}
  - hear: /cast/{input-name}/pressed
    is: input.reduction
    value: {arg: 0, unit: dB, scale: 24}
  - hear: /wing/{dca:A-D}/reach
    is: dca.fader
    value: {arg: 0, taper: reach}
  - hear: /wing/{dca:A-D}/folds
    is: dca.mute
    value: {bang: on}
  - hear: /wing/{dca:A-D}/spreads
    is: dca.mute
    value: {bang: off}
  - hear: /choir/{group:0-3}/reach
    is: group.fader
    value: {arg: 0, taper: reach}
  - hear: /choir/{group:0-3}/speaks
    is: group.mute
    value: {arg: 0, invert: true}
  - hear: /choir/{group:0-3}/glow
    is: group.level
    value: {arg: 0, unit: dBFS, scale: 60, offset: -60, minus-infinity: 0}
  - hear: /choir/{group:0-3}/pressed
    is: group.reduction
    value: {arg: 0, unit: dB, scale: 24}
  - hear: /everyone/reach
    is: main.fader
    value: {arg: 0, taper: reach}
  - hear: /everyone/speaks
    is: main.mute
    value: {arg: 0, invert: true}
  - hear: /everyone/glow
    is: main.level
    value: {arg: 0, unit: dBFS, scale: 60, offset: -60, minus-infinity: 0}
`,
	}
}

// ---- 8. A firm that has bought three others: strips in one row of numbers from 0, gains as the
// multiplier counts them (32768 is unity), mutes as bits, meters as bytes in pairs, the main's
// meter as text, and what came from the rack of the first firm by letters.

func blindMixed() furtherDialect {
	n := int32(0)
	factor := func(db float64) int32 { return blindWhole(32768*blindAmplitude(db), 0, 65535) }
	mask := func(v practice.View, k practice.Kind, count int) int32 {
		m := int32(0)
		for i := range count {
			m |= blindSwitch(blindMuted(v, k, i)) << i
		}
		return m
	}
	half := func(db float64) byte { return byte(blindWhole((db+120)*2, 0, 255)) }
	quarter := func(db float64) byte { return byte(blindWhole(db*4, 0, 255)) }
	return furtherDialect{
		name: "blind mixed",
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			rack := string(rune('a' + t.Index))
			switch t.Kind {
			case practice.InputName:
				say("/tape/"+rack, v.Hall().Strip(t))
			case practice.InputFader:
				say("/mul", factor(v.Number(t)), int32(t.Index))
			case practice.GroupFader:
				say("/mul", factor(v.Number(t)), int32(16+t.Index))
			case practice.DCAFader:
				say("/mul", factor(v.Number(t)), int32(20+t.Index))
			case practice.MainFader:
				say("/mul/out", factor(v.Number(t)))
			case practice.InputMute, practice.GroupMute, practice.DCAMute:
				say("/kill", mask(v, practice.InputMute, 16), mask(v, practice.GroupMute, 4)|mask(v, practice.DCAMute, 4)<<8)
			case practice.MainMute:
				if v.Muted(t) {
					say("/kill/out", "dead")
				} else {
					say("/kill/out", "running")
				}
			case practice.InputSolo:
				say("/spy/"+rack, float32(blindSwitch(blindSoloed(v, t.Index))))
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			n++
			// Three bytes of a head, then for each input and then each group: half dB from -120, quarter dB of reduction.
			b := []byte{0xA5, byte(n), 20}
			for i := range 16 {
				b = append(b, half(blindNumber(v, practice.InputLevel, i)), quarter(blindNumber(v, practice.InputReduction, i)))
			}
			for i := range 4 {
				b = append(b, half(blindNumber(v, practice.GroupLevel, i)), quarter(blindNumber(v, practice.GroupReduction, i)))
			}
			say("/pairs", n, b)
			if n%2 == 1 {
				db := blindNumber(v, practice.MainLevel, 0)
				if math.IsInf(db, -1) || db < -100 {
					say("/pairs/out", "-inf dB")
				} else {
					say("/pairs/out", fmt.Sprintf("%+.2f dB", db))
				}
			}
			if n%20 == 0 {
				s := n / 20
				say("/rtc", int32(20), s/60%60, s%60)
				say("/spy/hours", float32(1204.25+float64(s)/3600))
			}
		},
		truth: `signals:
  - hear: /tape/{input:a-p}
    is: input.name
    value: {arg: 0}
  - hear: /mul
    is: input.fader
    which: {input: 0-15, arg: 1}
    value: {arg: 0, unit: amplitude, scale: 1/32768}
  - hear: /mul
    is: group.fader
    which: {group: 16-19=1, arg: 1}
    value: {arg: 0, unit: amplitude, scale: 1/32768}
  - hear: /mul
    is: dca.fader
    which: {dca: 20-23=1, arg: 1}
    value: {arg: 0, unit: amplitude, scale: 1/32768}
  - hear: /mul/out
    is: main.fader
    value: {arg: 0, unit: amplitude, scale: 1/32768}
  - hear: /kill
    is: input.mute
    value: {arg: 0, bits: input:1-16}
  - hear: /kill
    is: group.mute
    value: {arg: 1, bits: group:1-4}
  - hear: /kill
    is: dca.mute
    value: {arg: 1, bits: dca:1-4, bit: 8}
  - hear: /kill/out
    is: main.mute
    value: {arg: 0, words: {running: off, dead: on}}
  - hear: /spy/{input:a-p}
    is: input.solo
    value: {arg: 0}
  - hear: /pairs
    is: input.level
    tap: pre-fader
    value: {blob: 1, of: uint8, skip: 3, stride: 2, each: input:1-16, unit: dBFS, scale: 0.5, offset: -120, minus-infinity: 0}
  - hear: /pairs
    is: input.reduction
    value: {blob: 1, of: uint8, skip: 4, stride: 2, each: input:1-16, unit: dB, scale: 0.25}
  - hear: /pairs
    is: group.level
    value: {blob: 1, of: uint8, skip: 35, stride: 2, each: group:1-4, unit: dBFS, scale: 0.5, offset: -120, minus-infinity: 0}
  - hear: /pairs
    is: group.reduction
    value: {blob: 1, of: uint8, skip: 36, stride: 2, each: group:1-4, unit: dB, scale: 0.25}
  - hear: /pairs/out
    is: main.level
    value: {arg: 0, unit: dBFS}
`,
	}
}
