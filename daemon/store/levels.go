package store

import (
	"encoding/binary"
	"errors"
	"math"

	"pawl/rules"
	"pawl/rules/desk"
)

// The body of a row of levels, of which the time is in the row. All numbers are
// big-endian; a level or gain is a signed 16-bit number of hundredths of a decibel.
//
//	byte       what
//	0          version of this layout: 1
//	1          inputs
//	2          groups
//	3          inputs in the mix
//	4          total
//	6 8 10 12  what made it another than the mark's: faders, stage, groups, main
//	14         for each input: gain, level before the fader, share of the mix (6 bytes)
//	then       for each group: 10th, 50th and 90th percentile of its reduction (6 bytes)
//
// Minus infinity is -32768, and the same in all three of a group says that nothing is
// known of it. What lies beyond ±327 dB stands at that end: no desk goes there.
const (
	levelsVersion = 1
	levelsHead    = 14
	perStrip      = 6
	minusInfinity = math.MinInt16
)

// LevelStep is the resolution at which levels are kept.
const LevelStep = desk.DB(0.01)

// mostStrips is how many inputs or groups a row can hold; the record keeps the first.
const mostStrips = 255

// encodeLevels writes levels as the body of a row.
func encodeLevels(l *rules.Levels) []byte {
	inputs, groups := l.Inputs[:min(len(l.Inputs), mostStrips)], l.Groups[:min(len(l.Groups), mostStrips)]
	b := make([]byte, 0, levelsHead+perStrip*(len(inputs)+len(groups)))
	b = append(b, levelsVersion, byte(len(inputs)), byte(len(groups)), byte(min(l.Playing, 255)))
	b = appendSteps(b, float64(l.Total), float64(l.Split.Faders), float64(l.Split.Stage), float64(l.Split.Groups), float64(l.Split.Main))
	for _, in := range inputs {
		b = appendSteps(b, float64(in.Gain), float64(in.Level), float64(in.Share))
	}
	for _, g := range groups {
		if !g.Known {
			b = appendSteps(b, math.Inf(-1), math.Inf(-1), math.Inf(-1))
			continue
		}
		b = appendSteps(b, float64(g.Low), float64(g.Median), float64(g.High))
	}
	return b
}

func appendSteps(b []byte, values ...float64) []byte {
	for _, v := range values {
		b = binary.BigEndian.AppendUint16(b, uint16(steps(v)))
	}
	return b
}

// steps is a value in hundredths; what is no number is taken for minus infinity.
func steps(v float64) int16 {
	if math.IsNaN(v) || math.IsInf(v, -1) {
		return minusInfinity
	}
	return int16(math.Round(max(minusInfinity+1, min(v*100, math.MaxInt16))))
}

func value(b []byte) float64 {
	v := int16(binary.BigEndian.Uint16(b))
	if v == minusInfinity {
		return math.Inf(-1)
	}
	return float64(v) / 100
}

var errLevels = errors.New("a row of levels is not in a form that this Pawl knows")

// decodeLevels reads the body of a row.
func decodeLevels(t rules.Moment, b []byte) (l rules.Levels, err error) {
	if len(b) < levelsHead || b[0] != levelsVersion || len(b) != levelsHead+perStrip*(int(b[1])+int(b[2])) {
		return rules.Levels{T: t}, errLevels
	}
	l = rules.Levels{
		T: t, Heard: true, Playing: int(b[3]), Total: desk.DBFS(value(b[4:])),
		Split: desk.Split{Faders: desk.DB(value(b[6:])), Stage: desk.DB(value(b[8:])), Groups: desk.DB(value(b[10:])), Main: desk.DB(value(b[12:]))},
	}
	rest := b[levelsHead:]
	l.Inputs = make([]rules.InputLevels, 0, b[1])
	l.Groups = make([]rules.GroupLevels, 0, b[2])
	for range b[1] {
		l.Inputs = append(l.Inputs, rules.InputLevels{
			Gain: desk.DB(value(rest)), Level: desk.DBFS(value(rest[2:])), Share: desk.DBFS(value(rest[4:])),
		})
		rest = rest[perStrip:]
	}
	for range b[2] {
		g := rules.GroupLevels{Low: desk.DB(value(rest)), Median: desk.DB(value(rest[2:])), High: desk.DB(value(rest[4:]))}
		if g.Known = !math.IsInf(float64(g.Median), -1); !g.Known {
			g = rules.GroupLevels{}
		}
		l.Groups = append(l.Groups, g)
		rest = rest[perStrip:]
	}
	return l, nil
}
