package link

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"pawl/oscmap"
)

func TestPaceOf(t *testing.T) {
	const ms = time.Millisecond
	tests := []struct {
		name  string
		speed float64
		asks  []string
		want  pace
	}{
		{"a handful", 0, []string{"{send: '/a/{input:1-3}', every: 50ms}", "{send: /all, on: connect}"}, pace{}},
		{"nothing repeats", 0, []string{"{send: '/a/{input:1-5}', on: connect}"}, pace{5 * ms, 2 * ms}},
		{"seldom", 0, []string{"{send: '/a/{input:1-5}', every: 8s}"}, pace{5 * ms, 2 * ms}},
		{"100 a second and 800", 0, []string{"{send: '/a/{input:1-5}', every: 50ms}", "{send: '/b/{input:1-80}', every: 100ms}"}, pace{ms, 2 * ms}},
		{"in a faster time", 30, []string{"{send: '/a/{input:1-90}', every: 100ms}"}, pace{ms, 60 * ms}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := paceOf(mapped(t, tt.asks...), Clock{Speed: tt.speed}); got != tt.want {
				t.Errorf("got %+v, want %+v", got, tt.want)
			}
		})
	}
}

// TestSpread walks a timetable from wake to wake, as a keeper does whose timers
// are on time, or late.
func TestSpread(t *testing.T) {
	const ms = time.Millisecond
	five := []string{"{send: '/a/{input:1-5}', every: 100ms}"}
	tests := []struct {
		name string
		asks []string
		late time.Duration // how long the first turn takes
		end  time.Duration
		want string
	}{
		{"at the beginning one after the other, and then spread over the period", five, 0, 280 * ms,
			"0s/a/1 5ms/a/2 10ms/a/3 15ms/a/4 20ms/a/5 " +
				"100ms/a/1 120ms/a/2 140ms/a/3 160ms/a/4 180ms/a/5 " +
				"200ms/a/1 220ms/a/2 240ms/a/3 260ms/a/4 280ms/a/5"},
		{"two lines of one period share it", []string{"{send: '/a/{input:1-3}', every: 90ms}", "{send: '/b/{input:1-3}', every: 90ms}"}, 0, 175 * ms,
			"0s/a/1 5ms/a/2 10ms/a/3 15ms/b/1 20ms/b/2 25ms/b/3 90ms/a/1 105ms/a/2 120ms/a/3 135ms/b/1 150ms/b/2 165ms/b/3"},
		{"what meets goes in the order of the map", []string{"{send: '/a/{input:1-4}', every: 200ms}", "{send: '/b/{input:1-2}', every: 200ms}", "{send: /c, every: 100ms}"}, 0, 210 * ms,
			"0s/a/1 5ms/a/2 10ms/a/3 15ms/a/4 20ms/b/1 25ms/b/2 30ms/c 100ms/c 200ms/a/1 205ms/c"},
		{"a turn that comes late makes up for two milliseconds, the rest keeps its distance and finds its place again", five, 150 * ms, 225 * ms,
			"0s/a/1 150ms/a/2 153ms/a/3 158ms/a/4 163ms/a/5 168ms/a/1 173ms/a/4 180ms/a/5 200ms/a/1 220ms/a/2"},
		{"once each, paced", []string{"{send: '/a/{input:1-5}', on: connect}"}, 0, 300 * ms, "0s/a/1 5ms/a/2 10ms/a/3 15ms/a/4 20ms/a/5"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			asks := mapped(t, tt.asks...)
			table := newTimetable(asks, 0, false, paceOf(asks, Clock{}))
			var sent []string
			for now, late := time.Duration(0), tt.late; now <= tt.end; late = 0 {
				for _, a := range table.ripe(nil, now, now) {
					sent = append(sent, fmt.Sprintf("%v%s", now, address(a.Packet())))
				}
				now = max(table.wake(now), late)
			}
			if got := strings.Join(sent, " "); got != tt.want {
				t.Errorf("got  %s\nwant %s", got, tt.want)
			}
		})
	}
}

// TestOneQuestionAtATime asks a desk that takes two milliseconds for an answer
// and does not hear what it is asked meanwhile. The map of the polled dialect has
// 440 questions a second for it, and each is heard in its time.
func TestOneQuestionAtATime(t *testing.T) {
	src, err := os.ReadFile("../../testdata/maps/polled.map.yaml")
	if err != nil {
		t.Fatal(err)
	}
	m, faults := oscmap.Load("polled.map.yaml", src, nil)
	if m == nil {
		t.Fatal(faults)
	}
	const answering, length = 2 * time.Millisecond, 25 * time.Second
	withRig(t, Options{Asks: m.Asks()}, func(r *rig) {
		r.pass(length)
		heard := map[string][]time.Duration{}
		busy, asked := time.Duration(0), 0
		for _, line := range r.sock.sent {
			when, question, _ := strings.Cut(line, " ")
			at, err := time.ParseDuration(when)
			if err != nil {
				t.Fatal(err)
			}
			asked++
			if at >= busy {
				heard[question] = append(heard[question], at)
				busy = at + answering
			}
		}
		answered := 0
		for _, a := range m.Asks() {
			times := heard[address(a.Packet())]
			answered += len(times)
			for i := range times {
				since, most := time.Duration(0), 250*time.Millisecond // for the first of each
				switch {
				case i == 1:
					since, most = times[0], 2*a.Every // until all have found their places
				case i > 1:
					since, most = times[i-1], a.Every+20*time.Millisecond
				}
				if times[i]-since > most {
					t.Errorf("%v is answered at %v and then at %v, want %v between at most", a, since, times[i], most)
				}
			}
		}
		if answered != asked || asked < 440*int(length/time.Second) {
			t.Errorf("%d of %d questions answered, want all, and 440 a second", answered, asked)
		}
	})
}
