package daemon

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/oscmap/wire"
	"pawl/rules"
)

// TestHowMessagesArePackedChangesNothing: a desk may send what it has to say at one moment
// a message a packet, all in one bundle, or in bundles within bundles. Of compressors of inputs and of
// the room the practice hall tells nothing, and in these it never goes quiet. Three limits are shorter than a house has them, for a minute has to do.
func TestHowMessagesArePackedChangesNothing(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Parallel()
	h := *harbourHall(t)
	h.Limits.Crowded.For, h.Limits.OpenMics.Rest, h.Limits.Ratchet.Quiet = 15*time.Second, 15*time.Second, 6*time.Second
	spoke := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		moments := momentsOf(anyPractice(t))
		by := rapid.SliceOfN(rapid.IntRange(0, 12), 1, 30).Draw(t, "packed")
		want := toldOf(&h, moments, []int{0})
		for _, line := range want {
			if rule, ok := strings.CutPrefix(line, "open "); ok {
				rule, _, _ = strings.Cut(rule, " ")
				spoke[rule]++
			}
		}
		for i, line := range toldOf(&h, moments, by) {
			if i >= len(want) || line != want[i] {
				t.Fatalf("packed otherwise:\n%s\nwas\n%s", line, want[min(i, len(want)-1)])
			}
		}
	})
	for _, k := range rules.Kinds {
		if spoke[k.Name] == 0 && !slices.Contains([]string{"squeezed-input", "room-loud", "quiet-desk"}, k.Name) {
			t.Errorf("no drawn service made %s speak: the test proves nothing of it", k.Name)
		}
	}
	t.Log(spoke)
}

// toldOf is all that is said of a service that comes in packets of so many messages, a line each.
func toldOf(h *house.House, moments []moment, by []int) (lines []string) {
	e := newEngine(h)
	at := 0
	for _, m := range moments {
		for _, p := range bundled(m.packets, by, &at) {
			e.packet(m.at, p)
		}
	}
	e.advance(moments[len(moments)-1].at + 5*time.Second)
	for _, x := range e.judge.Take(nil) {
		line, err := json.Marshal(x)
		if err != nil {
			panic(err)
		}
		head := string(x.Head().Entry)
		if f, ok := x.(*rules.Finding); ok {
			head = f.State.String() + " " + f.Rule
		}
		lines = append(lines, head+" "+string(line))
	}
	return lines
}

// practised has something for each rule to speak of, in a service of the practice hall in which some play
// from the beginning: a time after it begins, in seconds, and what is done then. %d is a drawn number, from
// and to. Two that move the same faders are of one hand, which does one of them.
var practised = []struct {
	hand     string
	from, to int
	what     string
}{
	{"band", 3, 5, "0 raise piano %d dB over 1s; 4 raise organ pad %d dB over 1s; 8 raise upright bass %d dB over 0.8s, unevenly; 13 raise piano %d dB over 0.6s"},
	{"band", 5, 6, "0 raise cajon %d dB over 1s; 8 raise lead voice %d dB over 1s; 16 raise piano %d dB over 1s; 24 raise upright bass %d dB over 1s"},
	{"band", 2, 4, "0 solo cajon; 1 raise cajon %d dB over 1s; 4 unsolo cajon"},
	{"reader", 18, 26, "0 play reader's mic"},
	{"click", 3, 6, "0 assign click to main; %d unassign click from main"},
	{"stage", 14, 22, "0 stage louder %d dB over 1s; 12 stage softer %d dB over 1s"},
	{"main", 5, 9, "0 main to closed over 1s; %d main to 0 dB over 1s"},
	{"main", 3, 6, "0 main to -%d dB over 1s"},
	{"band", 6, 10, "0 lower lead voice %d dB over 1s"},
	{"band", 9, 13, "0 lower lead voice %d dB over 2s"},
	{"harmony", 8, 12, "0 unmute harmony high, harmony low; 0 raise harmony high, harmony low %d dB over 1s; 2 play harmony high, harmony low"},
	{"harmony", 1, 3, "0 unmute harmony high, harmony low, choir pair; 20 raise choir pair %d dB over 1s"},
	{"mandolin", 10, 14, "0 raise mandolin %d dB over 1s; 2 play mandolin"},
	{"fiddle", 8, 12, "0 raise fiddle %d dB over 1s; 2 play fiddle"},
	{"brass", 24, 34, "0 threshold brass to -%d dBFS; 0 play trumpet, horn"},
	{"all", 1, 3, "0 play mandolin, accordion, horn, harp, fiddle; 30 raise horn %d dB over 1s"},
	{"band", 11, 15, "13 rest lead voice, cajon, upright bass, piano, organ pad, harmony high, harmony low, mandolin, fiddle, trumpet, horn, accordion, harp; 13 unmute reader's mic; 13 bleed reader's mic into piano, fiddle, mandolin at -%d dB; 15 play reader's mic"},
	{"band", 6, 9, "1 rest lead voice, cajon, upright bass, piano, organ pad, harmony high, harmony low, mandolin, fiddle, trumpet, horn, accordion, harp; 1 unmute reader's mic; 2 play reader's mic; 3 raise piano, cajon %d dB over 1s; 15 play piano, cajon"},
}

// hands are what is practised, by whose hand it is.
func hands() (all [][]int) {
	of := map[string]int{}
	for i, p := range practised {
		k, had := of[p.hand]
		if !had {
			k, all = len(all), append(all, nil)
			of[p.hand] = k
		}
		all[k] = append(all[k], i)
	}
	return all
}

// anyPractice draws a minute and some of them, at once or one after another.
func anyPractice(t *rapid.T) *practice.Script {
	type line struct {
		at   int
		text string
	}
	lines := []line{{0, "mute reader's mic, choir pair, harmony high, harmony low"}, {0, "play click, cajon, upright bass, piano, organ pad, lead voice"}}
	for _, hand := range hands() {
		p := practised[rapid.SampledFrom(hand).Draw(t, "of these")]
		if p.hand != "band" && !rapid.Bool().Draw(t, p.what) {
			continue
		}
		begins := rapid.IntRange(20, 30).Draw(t, "begins")
		for _, step := range strings.Split(p.what, "; ") {
			for strings.Contains(step, "%d") {
				step = strings.Replace(step, "%d", fmt.Sprint(rapid.IntRange(p.from, p.to).Draw(t, "by")), 1)
			}
			after, do, _ := strings.Cut(step, " ")
			var seconds int
			if _, err := fmt.Sscan(after, &seconds); err != nil {
				t.Fatal(err)
			}
			lines = append(lines, line{begins + seconds, do})
		}
	}
	slices.SortStableFunc(lines, func(a, b line) int { return cmp.Compare(a.at, b.at) })
	text := "length 70s\nexpect nothing\n"
	doing := map[string]bool{}
	for _, l := range lines {
		if do := news(doing, l.text); do != "" {
			text += fmt.Sprintf("%ds %s\n", l.at, do)
		}
	}
	s, err := practice.ParseScript("drawn.txt", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// news is what is done without those who do so already.
func news(doing map[string]bool, what string) string {
	verb, whom, _ := strings.Cut(what, " ")
	of, on := map[string]string{"play": "play", "rest": "play", "mute": "mute", "unmute": "mute"}[verb], verb == "play" || verb == "mute"
	if of == "" {
		return what
	}
	who := slices.DeleteFunc(strings.Split(whom, ", "), func(name string) bool {
		was := doing[of+name]
		doing[of+name] = on
		return was == on
	})
	if len(who) == 0 {
		return ""
	}
	return verb + " " + strings.Join(who, ", ")
}

// moment is all that was sent at one time.
type moment struct {
	at      time.Duration
	packets [][]byte
}

func momentsOf(s *practice.Script) (all []moment) {
	for at, packet := range practice.Play(s, practicetest.Dialects()[0], practice.Playing{MeterEvery: 6}) {
		if n := len(all); n == 0 || all[n-1].at != at {
			all = append(all, moment{at: at})
		}
		last := &all[len(all)-1]
		last.packets = append(last.packets, slices.Clone(packet))
	}
	return all
}

// bundled packs these: by each number so many of them into one bundle, the odd ones twice
// over; 0 leaves one as it is. Where in the numbers it has come to is kept from moment to moment.
func bundled(packets [][]byte, by []int, at *int) (out [][]byte) {
	for ; len(packets) > 0; *at++ {
		n := by[*at%len(by)]
		if n == 0 {
			out, packets = append(out, packets[0]), packets[1:]
			continue
		}
		n = min(n, len(packets))
		b, err := wire.AppendBundle(nil, wire.Immediately, packets[:n]...)
		if err == nil && n%2 == 1 {
			b, err = wire.AppendBundle(nil, wire.Immediately, b)
		}
		if err != nil {
			panic(err) // of packets that a desk has sent
		}
		out, packets = append(out, b), packets[n:]
	}
	return out
}
