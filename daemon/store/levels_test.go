package store

import (
	"math"
	"testing"

	"pawl/rules"
	"pawl/rules/desk"

	"pgregory.net/rapid"
)

// TestLevelsRoundTrip has any levels at all.
func TestLevelsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		db := rapid.OneOf(rapid.Float64Range(-140, 30), rapid.Float64(), rapid.Just(math.Inf(-1)), rapid.Just(math.NaN()))
		one := func() float64 { return db.Draw(t, "dB") }
		live := rules.Levels{T: 7, Heard: true, Playing: rapid.IntRange(0, 255).Draw(t, "playing"), Total: desk.DBFS(one()),
			Split: desk.Split{Faders: desk.DB(one()), Stage: desk.DB(one()), Groups: desk.DB(one()), Main: desk.DB(one())}}
		for range rapid.IntRange(0, 255).Draw(t, "inputs") {
			live.Inputs = append(live.Inputs, rules.InputLevels{Gain: desk.DB(one()), Level: desk.DBFS(one()), Share: desk.DBFS(one())})
		}
		for range rapid.IntRange(0, 16).Draw(t, "groups") {
			g := rules.GroupLevels{}
			if rapid.Bool().Draw(t, "known") {
				g = rules.GroupLevels{Known: true, Low: 1, Median: desk.DB(rapid.Float64Range(0, 60).Draw(t, "median")), High: 60}
			}
			live.Groups = append(live.Groups, g)
		}
		got, err := decodeLevels(7, encodeLevels(&live))
		if err != nil {
			t.Fatal(err)
		}
		if !likeLevels(got, live) {
			t.Fatalf("read back:\n%+v\nlive:\n%+v", got, live)
		}
	})
}

// TestLevelsLayout holds the bytes to what levels.go says of them.
func TestLevelsLayout(t *testing.T) {
	got := encodeLevels(&rules.Levels{
		Heard: true, Playing: 3, Total: -20.5, Split: desk.Split{Faders: 1, Stage: -1, Groups: 0.01, Main: desk.Off},
		Inputs: []rules.InputLevels{{Gain: desk.Off, Level: -327.67, Share: 0}}, Groups: []rules.GroupLevels{{}, {Known: true, Median: 2.56}},
	})
	want := "\x01\x01\x02\x03" + "\xf7\xfe" + "\x00\x64" + "\xff\x9c" + "\x00\x01" + "\x80\x00" +
		"\x80\x00" + "\x80\x01" + "\x00\x00" + "\x80\x00\x80\x00\x80\x00" + "\x00\x00\x01\x00\x00\x00"
	if string(got) != want {
		t.Errorf("got % x\nwant % x", got, want)
	}
}

func FuzzDecodeLevels(f *testing.F) {
	l := wide(1, 4)
	f.Add(encodeLevels(&l))
	f.Add([]byte{levelsVersion + 1})
	f.Add([]byte(nil))
	f.Fuzz(func(t *testing.T, b []byte) {
		l, err := decodeLevels(0, b)
		if err == nil && string(encodeLevels(&l)) != string(b) && len(l.Groups) == 0 {
			t.Errorf("% x reads and is written as % x", b, encodeLevels(&l))
		}
	})
}
