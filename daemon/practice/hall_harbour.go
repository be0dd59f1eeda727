package practice

import "time"

var harbourHall = &Hall{name: "Harbour Hall", dcas: dcaNames, groups: groupNames, squeezes: squeezes, seats: seats}

// The strips of Harbour Hall, in the desk's own order. harbour-hall.house.yaml
// is the same roster in the words of a house file.
var (
	dcaNames   = []string{"low end", "band", "brass", "voices"}
	groupNames = []string{"rhythm", "band", "brass", "voices"}
)

const (
	lowEnd = iota
	band
	brass
	voices
	none = -1
)

// The groups' compressors, at the start of every service, are set so that the marks below work them by about
// 1 dB, and nothing in a sensible service by more than 3 dB for long.
var squeezes = []squeeze{
	{threshold: -22, ratio: 2, knee: 6},
	{threshold: -17, ratio: 2, knee: 6},
	{threshold: -22, ratio: 2, knee: 6},
	{threshold: -17, ratio: 2, knee: 6, makeUp: 1},
}

var seats = []seat{
	{name: "cajon", plays: -20, mark: -10, dca: lowEnd, group: 0, pulse: 625 * time.Millisecond, depth: 7, swell: 0.4, grain: 1},
	{name: "upright bass", plays: -18, mark: -10, dca: lowEnd, group: 0, pulse: 1250 * time.Millisecond, depth: 4, swell: 0.4, grain: 0.7},
	{name: "piano", plays: -18, mark: -8, dca: band, group: band, pulse: 1250 * time.Millisecond, depth: 4, swell: 0.6, grain: 1},
	{name: "accordion", plays: -19, mark: -8, dca: band, group: band, pulse: 2500 * time.Millisecond, depth: 2, swell: 0.7, grain: 0.7},
	{name: "fiddle", plays: -19, mark: -9, dca: band, group: band, pulse: 1250 * time.Millisecond, depth: 2.5, swell: 0.7, grain: 0.9},
	{name: "mandolin", plays: -22, mark: -9, dca: band, group: band, pulse: 312500 * time.Microsecond, depth: 5, swell: 0.5, grain: 1},
	{name: "harp", plays: -24, mark: -9, dca: band, group: band, pulse: 1250 * time.Millisecond, depth: 6, swell: 0.6, grain: 1},
	{name: "trumpet", plays: -15, mark: -15, dca: brass, group: brass, pulse: 2500 * time.Millisecond, depth: 2, swell: 0.7, grain: 0.8},
	{name: "horn", plays: -17, mark: -14, dca: brass, group: brass, pulse: 5 * time.Second, depth: 2, swell: 0.7, grain: 0.6},
	{name: "organ pad", line: true, plays: -17, mark: -12, dca: band, group: band, pulse: 5 * time.Second, depth: 1, swell: 0.5, grain: 0.3},
	{name: "lead voice", plays: -18, mark: -3, dca: voices, group: voices, pulse: 2500 * time.Millisecond, depth: 4, swell: 0.8, grain: 1.2},
	{name: "harmony high", plays: -20, mark: -9, dca: voices, group: voices, pulse: 2500 * time.Millisecond, depth: 4, swell: 0.8, grain: 1.2},
	{name: "harmony low", plays: -20, mark: -9, dca: voices, group: voices, pulse: 2500 * time.Millisecond, depth: 4, swell: 0.8, grain: 1.2},
	{name: "choir pair", plays: -22, mark: -9, dca: voices, group: voices, pulse: 5 * time.Second, depth: 2, swell: 0.8, grain: 0.6},
	{name: "reader's mic", plays: -20, mark: -4, dca: none, group: none, main: true, pulse: 1700 * time.Millisecond, depth: 6, swell: 0.6, grain: 2},
	{name: "click", line: true, plays: -14, mark: -10, dca: none, group: none, pulse: 625 * time.Millisecond, depth: 8},
}
