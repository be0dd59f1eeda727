package practice

import "time"

// ferryRoom is a chapel-sized room with a desk of eight inputs, all straight to the
// main, and two DCAs. testdata/halls has its house and its map.
var ferryRoom = &Hall{
	name:     "Ferry Room",
	dcas:     []string{"players", "singers"},
	squeezed: true,
	seats: []seat{
		{name: "lead voice", plays: -18, mark: -3, dca: 1, group: none, main: true, pulse: 2500 * time.Millisecond, depth: 4, swell: 0.8, grain: 1.2},
		{name: "second voice", plays: -20, mark: -8, dca: 1, group: none, main: true, pulse: 2500 * time.Millisecond, depth: 4, swell: 0.8, grain: 1.2},
		{name: "piano", plays: -18, mark: -8, dca: 0, group: none, main: true, pulse: 1250 * time.Millisecond, depth: 4, swell: 0.6, grain: 1},
		{name: "fiddle", plays: -19, mark: -9, dca: 0, group: none, main: true, pulse: 1250 * time.Millisecond, depth: 2.5, swell: 0.7, grain: 0.9},
		{name: "whistle", plays: -21, mark: -9, dca: 0, group: none, main: true, pulse: 2500 * time.Millisecond, depth: 2, swell: 0.7, grain: 0.7},
		{name: "upright bass", plays: -18, mark: -11, dca: 0, group: none, main: true, pulse: 1250 * time.Millisecond, depth: 4, swell: 0.4, grain: 0.7},
		{name: "cajon", plays: -20, mark: -11, dca: 0, group: none, main: true, pulse: 625 * time.Millisecond, depth: 7, swell: 0.4, grain: 1},
		{name: "reader's mic", plays: -20, mark: -4, dca: none, group: none, main: true, pulse: 1700 * time.Millisecond, depth: 6, swell: 0.6, grain: 2},
	},
}
