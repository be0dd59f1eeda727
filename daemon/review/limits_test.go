package review

import (
	"strings"
	"testing"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// houseWith is a house file as a record keeps it, with limits of its own.
func houseWith(t *testing.T, limits string) string {
	t.Helper()
	return hall(t).Text() + "limits: " + limits + "\n"
}

// squeezed are twenty minutes of music in which a group is turned down by 4 dB.
func squeezed(house string) *made {
	s := newMade(20*time.Minute).part(0, 1, "music")
	s.m.Stretches[0].Run.HouseText = house
	s.stand(0, 20*60, rules.GroupLevels{Known: true, Low: 4, Median: 4, High: 4}, open, equal)
	return s
}

// TestLimitsOfThen: what a service is measured by are the limits that it was judged by.
func TestLimitsOfThen(t *testing.T) {
	usual := `{moves: {still: 600ms}}`
	for _, c := range []struct {
		name, house string
		in          float64
		text        string
		table       string
	}{
		{"the usual ones", houseWith(t, usual), 0, "", ""},
		{"a wider window", houseWith(t, `{squeezed-group: {whisper: 5 dB}}`), 1,
			"Not the usual ones, but those of the house file of then: squeezed-group.whisper 5 dB (usually 3 dB).", "squeezed-group.whisper: 5 dB"},
		{"two of them", houseWith(t, `{mix: {gate: -55 dBFS}, ratchet: {eased: 0.5 dB}}`), 0,
			"Not the usual ones, but those of the house file of then: mix.gate −55 dBFS (usually −50 dBFS), ratchet.eased 0.5 dB (usually 1 dB).", "mix.gate: -55 dBFS, ratchet.eased: 0.5 dB"},
		{"a key that is no more", houseWith(t, `{squeezed-group: {whisper: 5 dB}}`) + "lamp: green\n", 1,
			"Not the usual ones, but those of the house file of then: squeezed-group.whisper 5 dB (usually 3 dB).", "squeezed-group.whisper: 5 dB"},
		{"none kept", "", 0, "The record does not have those of the house file of then, so the figures rest on the usual ones.", "?"},
		{"limits that are none", houseWith(t, `{squeezed-group: {whisper: loud}}`), 0, "The record does not have those of the house file of then, so the figures rest on the usual ones.", "?"},
		{"no house file", "lorem ipsum", 0, "The record does not have those of the house file of then, so the figures rest on the usual ones.", "?"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := Summarise(squeezed(c.house).m, Options{})
			if len(r.Groups) != 1 || r.Groups[0].In != c.in {
				t.Errorf("groups %+v, want %v of the time in the window", r.Groups, c.in)
			}
			if len(r.Limits) != 1 || r.Limits[0].Text != c.text {
				t.Errorf("limits %+v, want %q", r.Limits, c.text)
			}
			if got := unusual(r.Limits); got != c.table {
				t.Errorf("in a table %q, want %q", got, c.table)
			}
			var text, page strings.Builder
			if err := r.Text(&text, TextOptions{Width: 400}); err != nil {
				t.Fatal(err)
			}
			if err := r.HTML(&page); err != nil {
				t.Fatal(err)
			}
			if in := strings.Contains(text.String(), "Limits"); in != (c.text != "") || !strings.Contains(strings.Join(strings.Fields(text.String()), " "), c.text) {
				t.Errorf("the report says of limits: %v, want %q:\n%s", in, c.text, text.String())
			}
			if !strings.Contains(page.String(), c.text) {
				t.Errorf("the page lacks %q", c.text)
			}
		})
	}
}

// TestManyLimits: not every one of many is named.
func TestManyLimits(t *testing.T) {
	r := Summarise(squeezed(houseWith(t, `{calm: {every: 5m, most: 3, reopen: 2m, worse: 1 dB, burst: 4, burst-in: 2m, read: 1m, not-now: 10m}}`)).m, Options{})
	if len(r.Limits) != 1 || len(r.Limits[0].Differ) != 8 || !strings.HasSuffix(r.Limits[0].Text, ", and 2 more.") {
		t.Errorf("%+v, want eight, of which two are only counted", r.Limits)
	}
}

// TestLimitsChangedWithin: a house file that was read again has its own time measured by it.
func TestLimitsChangedWithin(t *testing.T) {
	s := squeezed(houseWith(t, `{squeezed-group: {whisper: 5 dB}}`))
	one := &s.m.Stretches[0]
	again := *one
	cut := len(one.Levels) * 3 / 4
	again.Levels, one.Levels = one.Levels[cut:], one.Levels[:cut]
	again.From = again.Levels[0].T
	one.Until = again.From
	again.Run.HouseText = hall(t).Text()
	again.Segment = &rules.Parted{Stamp: rules.Stamp{Entry: rules.SegmentEntry}, Number: 1, Kind: desk.Music}
	again.Entries = nil
	s.m.Stretches = append(s.m.Stretches, again)
	r := Summarise(s.m, Options{})
	if len(r.Groups) != 1 || r.Groups[0].In != 0.75 || r.Groups[0].Over != 0.25 {
		t.Errorf("groups %+v, want three quarters in the window of then and the rest above the other", r.Groups)
	}
	if len(r.Limits) != 2 || r.Limits[1].Text != "From 18:45:00 on: The usual ones." {
		t.Errorf("limits %+v, want those of both house files", r.Limits)
	}
	const changed = "The house's limits were changed within the service"
	for _, f := range r.Figures {
		if f.Name == "window" && !strings.Contains(f.Means, changed) || f.Name == "way-back" && strings.Contains(f.Means, changed) {
			t.Errorf("%s means %q; want what is said of a change where there was one", f.Name, f.Means)
		}
	}
	if charts := newCourse(&s.m, Options{}).reductions(r); len(charts) != 1 || len(charts[0].Chart.Bands) != 2 || charts[0].Chart.Bands[0].Size <= charts[0].Chart.Bands[1].Size {
		t.Errorf("charts %+v, want one with two windows, the first the wider", charts)
	}
}

// TestTrendOverOtherLimits: a trend over services of different limits says so, and defines
// itself by the newest.
func TestTrendOverOtherLimits(t *testing.T) {
	a, b := squeezed(houseWith(t, `{squeezed-group: {whisper: 5 dB}}`)), squeezed(hall(t).Text())
	b.m.Service.Began = b.m.Service.Began.AddDate(0, 0, 7)
	b.m.Service.Ended = b.m.Service.Ended.AddDate(0, 0, 7)
	b.m.Stretches[0].Run.Zero = b.m.Stretches[0].Run.Zero.AddDate(0, 0, 7)
	for _, trend := range Trends([]Listed{List(b.m, Options{}), List(a.m, Options{})}, Options{}) {
		says := strings.Contains(trend.Text, "The house's limits were not the same in all of these services")
		if says != (trend.Name == "window") {
			t.Errorf("%s: %q", trend.Name, trend.Text)
		}
		if trend.Name == "window" && !strings.Contains(trend.Means, "1.0 to 3.0") && !strings.Contains(trend.Means, "1.0 dB to 3.0 dB") {
			t.Errorf("it means %q, want the window of the newest", trend.Means)
		}
	}
}
