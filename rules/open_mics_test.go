package rules

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"pawl/rules/desk"
)

// TestOpenMicrophones holds the sum of open microphones against testdata/checks/nom.csv,
// whose rows name their sources: the gain before feedback that is lost is the sum that
// is gained.
func TestOpenMicrophones(t *testing.T) {
	f, err := os.Open("../testdata/checks/nom.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatal(err, len(rows))
	}
	for _, row := range rows[1:] {
		var n [4]float64
		for i := range n {
			if n[i], err = strconv.ParseFloat(row[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		change, tolerance := desk.DB(n[2]), desk.DB(n[3])
		if got := openSum(t, int(n[0]), int(n[1])); (got + change).Abs() > tolerance {
			t.Errorf("from %v open microphones to %v the sum gains %v, want %v (%s)", n[0], n[1], got, -change, row[4])
		}
	}
}

// openSum is how much the sum of open microphones gains from so many at the mark to so
// many, all of them at 0 dB.
func openSum(t *testing.T, from, to int) desk.DB {
	t.Helper()
	r := band(max(from, to), nil, nil)
	open := func(n int) *desk.Mix {
		m := desk.NewMix(r, desk.DefaultMixLimits(), desk.DefaultMoveLimits())
		for i := range n {
			m.Hear(0, &desk.Reading{Signal: desk.InputFader, Index: i})
		}
		return m
	}
	for i := range r.Inputs {
		r.Inputs[i].Voice = true
	}
	var mark desk.Balance
	then := open(from).View()
	then.Balance(&mark, desk.Beat)
	v := open(to).View()
	v.Mark = desk.Mark{Set: true, Base: &mark}
	sums, ok := (&openMics{limits: defaultOpenMicsLimits()}).sum(&v)
	if !ok {
		t.Fatal("no sum")
	}
	return sums.now.Above(sums.mark)
}

// openHall is a band of six, and six microphones for voices.
const openHall = `
input bass foundation
input organ pad
input piano rhythm
input keys pad
input cello fill
input lead lead voice
input one none voice
input two none voice
input three none voice
input four none voice
input five none voice
input six none voice
`

// openService is what comes of a text after the band has begun, beside microphones that are closed and before
// which nobody is.
func openService(text string) string {
	var s strings.Builder
	s.WriteString(openHall)
	for _, who := range []string{"bass", "organ", "piano", "keys", "cello", "lead"} {
		s.WriteString("0s " + who + " fader -10\n0s " + who + " level -17\n0s " + who + " mute 0\n")
	}
	for _, who := range []string{"one", "two", "three", "four", "five", "six"} {
		s.WriteString("0s " + who + " fader -10\n0s " + who + " level -70\n0s " + who + " mute 1\n")
	}
	return s.String() + text
}

// several is a line for each of some inputs.
func several(at, what string, who ...string) string {
	var s strings.Builder
	for _, w := range who {
		s.WriteString("\n" + at + " " + w + " " + what)
	}
	return s.String()
}

// TestWhoWaitsAtAnOpenMicrophone: microphones that are opened in one movement are for one
// occasion, and people take turns at them; who sings on, or in one choir with somebody who surely does, is not
// taken for what others bring there; and who
// was let in after a change of scene is in front of nobody still when its mark is set.
func TestWhoWaitsAtAnOpenMicrophone(t *testing.T) {
	band := []string{"bass", "organ", "piano", "keys", "cello", "lead"}
	four := []string{"one", "two", "three", "four"}
	talk := several("20s", "level -70", band...) + "\n20s press segment speech\n"
	turns := several("30s", "mute 0", "one", "two", "three", "four", "five") + `
		31s one level -20
		70s one level -70
		72s two level -20
		112s two level -70
		114s three level -20`
	choir := several("20s", "level -70", band...) + several("20s", "mute 0", four...) + several("22s", "level -22", four...)
	sings := func(level string) string {
		return several("30s", "mute 0", four...) + several("32s", "level -17", "one") + several("32s", "level "+level, "two", "three", "four")
	}
	scene := several("30s", "mute 0", "five", "six") + several("30s", "level -20", "five", "six") +
		several("50s", "level -70", band...) + several("50s", "mute 1", "bass", "organ", "piano", "keys", "cello", "lead", "five", "six")
	music := several("70s", "mute 0", band...) + several("70s", "level -17", band...)
	for _, c := range []struct{ name, text, want string }{
		{"five opened together, of whom the third reads", talk + turns + `
			150s end`, ""},
		{"and reads on, with no more turns", talk + turns + `
			240s end`, "2m58s open open-mics"},
		{"one reads on, and nobody takes turns", talk + several("30s", "mute 0", four...) + `
			31s one level -20
			130s end`, "1m33s open open-mics"},
		{"beside one who was opened before, by another movement, and reads on", talk + `
			25s one mute 0` + several("30s", "mute 0", "two", "three", "four") + `
			33s one level -20
			130s end`, "50s open open-mics"},
		{"taken for idle before the first of them reads", talk + `
			25s six mute 0
			26s six level -20` + several("30s", "mute 0", four...) + `
			60s one level -20
			80s end`, "47s open open-mics, 1m4s eased open-mics"},
		{"one of them again, that was read at before", talk + `
			24s one mute 0
			25s one level -20
			36s one level -70
			40s one mute 1` + several("42s", "mute 0", "two", "three", "four") + `
			43s one mute 0
			44s two level -20
			130s end`, "1m46s open open-mics"},
		{"a choir that sings on beside six who begin", choir + several("40s", "level -17", band...) + `
			140s end`, ""},
		{"and ends as they begin, and hears them", choir + several("40s", "level -17", band...) + several("40s", "level -27", four...) + `
			140s end`, "1m45s open open-mics"},
		{"a choir beside six who play, and one of it is surely heard", sings("-22") + `
			140s end`, ""},
		{"what might be a choir's, and nobody is surely heard", several("30s", "mute 0", four...) + several("32s", "level -22", four...) + `
			140s end`, "1m32s open open-mics"},
		{"one is surely heard, and three hear the singer and the stage", sings("-24") + `
			140s end`, "1m32s open open-mics"},
		{"one is surely heard, and three are of another opening", several("30s", "mute 0", "two", "three", "four") + several("40s", "mute 0", "one") +
			several("42s", "level -16", "one") + several("42s", "level -22", "two", "three", "four") + `
			140s end`, "1m32s open open-mics"},
		{"and the one has stopped", sings("-22") + `
			60s one level -70` + several("60s", "level -26", "two", "three", "four") + `
			180s end`, "2m5s open open-mics"},
		{"after a change of scene, and before it has stood", scene + music + several("72s", "mute 0", "one", "two", "three") + `
			160s end`, "2m14s open open-mics"},
		{"and used before it has stood", scene + music + several("72s", "mute 0", "one", "two", "three") + several("73s", "level -10", "one", "two", "three") +
			several("79s", "level -70", "one", "two", "three") + `
			200s end`, ""},
		{"by the scene itself", scene + several("50s", "mute 0", "one", "two", "three") + music + `
			160s end`, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, _ := serve(t, openService(c.text))
			if got := lives(of(said, "open-mics")); got != c.want {
				t.Errorf("got  %q\nwant %q", got, c.want)
			}
		})
	}
}
