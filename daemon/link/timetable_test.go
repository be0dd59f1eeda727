package link

import (
	"strings"
	"testing"
	"time"

	"pawl/oscmap"
)

const s = time.Second

func TestTimetable(t *testing.T) {
	type turn struct {
		at, heard time.Duration
		owed      greeting
		knock     bool
		want      string
		wake      time.Duration
	}
	tests := []struct {
		name  string
		asks  []string
		again bool
		turns []turn
	}{
		{"connect once", []string{"{send: /hello, on: connect}"}, false, []turn{
			{0, 0, 0, false, "/hello", never}, {9 * s, 0, 0, false, "", never}}},
		{"return is not connect", []string{"{send: /all, on: return}"}, false, []turn{
			{0, 0, 0, false, "", never}, {9 * s, 9 * s, owedReturn, false, "/all", never}, {10 * s, 10 * s, 0, false, "", never}}},
		{"a new connection", []string{"{send: /hello, on: connect}", "{send: /all, on: return}", "{send: /x, every: 8s}"}, true, []turn{
			{0, 0, 0, false, "/hello /all /x", 8 * s}}},
		{"every, the first at once", []string{"{send: /listen, every: 8s}"}, false, []turn{
			{0, 0, 0, false, "/listen", 8 * s}, {3 * s, 0, 0, false, "", 8 * s}, {8*s + 1, 0, 0, false, "/listen", 16 * s},
			{16 * s, 0, 0, false, "/listen", 24 * s}}},
		{"every, late: no burst to catch up", []string{"{send: /listen, every: 8s}"}, false, []turn{
			{0, 0, 0, false, "/listen", 8 * s}, {100 * s, 0, 0, false, "/listen", 104 * s}}},
		{"every and connect are one", []string{"{send: /listen, every: 8s, on: connect}"}, false, []turn{
			{0, 0, 0, false, "/listen", 8 * s}}},
		{"after silence, and after each further", []string{"{send: /poke, after-silence: 3s}"}, false, []turn{
			{0, 0, 0, false, "", 3 * s}, {3 * s, 0, 0, false, "/poke", 6 * s}, {5 * s, 4 * s, 0, false, "", 7 * s},
			{7 * s, 4 * s, 0, false, "/poke", 10 * s}, {10 * s, 4 * s, 0, false, "/poke", 13 * s}}},
		{"owed all", []string{"{send: /hello, on: connect}", "{send: /all, on: return}"}, false, []turn{
			{0, 0, 0, false, "/hello", never}, {s, s, owedAll, false, "/hello /all", never}}},
		{"knock", []string{"{send: /hello, on: connect}", "{send: /all, on: return}", "{send: /x, every: 8s}"}, false, []turn{
			{0, 0, 0, false, "/hello /x", 8 * s}, {5 * s, 0, 0, true, "/hello", 8 * s}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			asks := mapped(t, tt.asks...)
			table := newTimetable(asks, 0, tt.again, paceOf(asks, Clock{}))
			for _, turn := range tt.turns {
				table.greet(turn.at, turn.owed)
				if turn.knock {
					table.knock(turn.at)
				}
				if got := words(table.ripe(nil, turn.at, turn.heard)); got != turn.want {
					t.Errorf("at %v: asks %q, want %q", turn.at, got, turn.want)
				}
				if got := table.wake(turn.heard); got != turn.wake {
					t.Errorf("at %v: wakes at %v, want %v", turn.at, got, turn.wake)
				}
			}
		})
	}
}

func words(asks []oscmap.Ask) string {
	var all []string
	for _, a := range asks {
		all = append(all, address(a.Packet()))
	}
	return strings.Join(all, " ")
}

func address(packet []byte) string {
	text, _, _ := strings.Cut(string(packet), "\x00")
	return text
}
