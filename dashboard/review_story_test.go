package dashboard

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/daemon/store"
	"pawl/daemon/timeline"
	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/desk"
)

// recorded is a service as a record gets it.
type recorded struct {
	run          store.Run
	entries      []rules.Entry
	levels       []rules.Levels
	name, mixing string
	goesOn       bool
}

// firstWeek is when the first service of a record begins; the others begin weeks later.
var firstWeek = time.Date(2026, 2, 1, 18, 30, 0, 0, time.UTC)

// harbour judges a service of the practice desk, once for all tests.
var harbour = sync.OnceValues(func() (recorded, error) {
	const file = "harbour-hall.house.yaml"
	h, faults := house.Files{file: string(practice.House()), "harbour-hall.map.yaml": string(practice.MapFile())}.Load(file)
	if h == nil {
		return recorded{}, faults
	}
	script, err := practicetest.Service("ratchet")
	if err != nil {
		return recorded{}, err
	}
	hearer := h.Map.NewHearer()
	j := rules.NewJudge(h.Roster, h.Limits, rules.Options{Stale: h.Map.Link().StaleAfter, Order: h.Order, Levels: true})
	var reader wire.Reader
	var readings []desk.Reading
	for at, packet := range practice.Play(script, practicetest.Dialects()[0], practice.Playing{}) {
		j.Alive(at)
		for reader.Reset(packet); reader.Next(); {
			readings = hearer.Hear(readings[:0], at, reader.Message())
			for _, r := range readings {
				j.Hear(r)
			}
		}
	}
	j.Advance(script.Length)
	return recorded{run: store.Run{House: h.Name, HousePrint: "h", HouseText: h.Text(), Strips: store.Strips{Inputs: h.Roster.Inputs, Groups: h.Roster.Groups}},
		entries: j.Take(nil), levels: j.TakeLevels(nil)}, nil
})

// practised is the practice desk's service under a name.
func practised(t testing.TB, name, mixing string) recorded {
	t.Helper()
	k, err := harbour()
	if err != nil {
		t.Fatal(err)
	}
	k.name, k.mixing = name, mixing
	return k
}

// made is a service of so many minutes and inputs in which every input moves, something
// is said each minute, and the segments have names.
func made(minutes, inputs int) recorded {
	k := recorded{run: store.Run{House: "Harbour Hall", HousePrint: "made", HouseText: "house: Harbour Hall\n"}}
	for i := range inputs {
		k.run.Strips.Inputs = append(k.run.Strips.Inputs, desk.Input{Name: fmt.Sprintf("choir microphone %d", i+1)})
	}
	k.run.Strips.Groups = []string{"band", "voices"}
	say := func(e rules.Entry, at float64, kind rules.EntryKind) {
		*e.Head() = rules.Stamp{N: uint64(len(k.entries) + 1), T: moment(at), Entry: kind}
		k.entries = append(k.entries, e)
	}
	say(&rules.Marked{How: desk.ByHand, Total: -18}, 0, rules.MarkEntry)
	for i := range minutes * 60 {
		at := float64(i)
		rise := desk.DB(i%90) / 20
		l := rules.Levels{T: moment(at), Heard: true, Playing: inputs, Total: -18, Split: desk.Split{Faders: rise - 0.5, Stage: 0.5}}
		for range inputs {
			l.Inputs = append(l.Inputs, rules.InputLevels{Gain: -6, Level: -20, Share: -26})
		}
		for g := range k.run.Strips.Groups {
			l.Groups = append(l.Groups, rules.GroupLevels{Known: true, Low: 1, Median: desk.DB(1+g) + desk.DB(i%50)/10, High: 6})
		}
		k.levels = append(k.levels, l)
		say(&rules.Second{Playing: inputs, Total: -18, Rise: rise, Split: l.Split}, at, rules.SecondEntry)
		if i%300 == 0 {
			n := i / 300
			say(&rules.Parted{Number: n + 1, Kind: []desk.SegmentKind{desk.Music, desk.Speech}[n%2], Name: []string{"reel", "the reading", "slow air"}[n%3], How: desk.Tapped}, at, rules.SegmentEntry)
		}
		if i%8 == 7 {
			n := i / 8 % inputs
			who := desk.Who{Strip: desk.StripInput, Index: n, Name: k.run.Strips.Inputs[n].Name}
			by := desk.DB(2 - 4*(i/8/inputs%2))
			say(&rules.Moved{Who: who, Kind: []desk.MoveKind{desk.Raise, desk.Lower}[i/8/inputs%2], Began: moment(at - 2), Ended: moment(at - 1), From: -6 - by/2, To: -6 + by/2, By: by}, at, rules.MoveEntry)
		}
		if i%60 == 30 || i%60 == 55 {
			f := *ratchetCard()
			f.Number, f.State, f.Shown = i/60+1, rules.Open, i/60%3 > 0
			if i%60 == 55 {
				f.State = rules.Eased
			}
			f.Facts = slices.Clone(f.Facts)
			for n := range f.Facts {
				f.Facts[n].T = moment(at - float64(len(f.Facts)-n))
			}
			f.Words = nil
			say(&f, at, rules.FindingEntry)
		}
	}
	return k
}

// away takes a stretch out of a service: the desk was not heard.
func (k recorded) away(from, until float64) recorded {
	var entries []rules.Entry
	for _, e := range k.entries {
		if t := e.Head().T; t < moment(from) || t >= moment(until) {
			entries = append(entries, e)
		}
	}
	i := slices.IndexFunc(entries, func(e rules.Entry) bool { return e.Head().T >= moment(until) })
	back := &rules.Linked{Stamp: rules.Stamp{N: 1, T: moment(until), Entry: rules.LinkEntry}, Heard: true, Away: moment(until - from)}
	k.entries = slices.Insert(entries, i, rules.Entry(back))
	k.levels = slices.DeleteFunc(slices.Clone(k.levels), func(l rules.Levels) bool { return l.T >= moment(from) && l.T < moment(until) })
	return k
}

// write puts services into a new record, a week apart, and gives its path.
func write(t testing.TB, all ...recorded) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "services.record")
	for week, k := range all {
		k.run.Zero = firstWeek.AddDate(0, 0, 7*week)
		r := store.NewRecorder(path, store.Options{Bytes: 1 << 30})
		r.Begin(k.run)
		r.BeginService(0)
		r.Put(k.entries, k.levels)
		if !k.goesOn {
			r.EndService(time.Duration(k.levels[len(k.levels)-1].T + 1))
		}
		if err := r.Close(); err != nil {
			t.Fatal(err)
		}
	}
	s, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for week, k := range all {
		if err := errors.Join(s.Rename(int64(week+1), k.name), s.Label(int64(week+1), k.mixing)); err != nil {
			t.Fatal(err)
		}
	}
	return path
}

// shelf is a Review of a record without a desk: nothing can be begun, and what goes on
// can be ended.
type shelf struct{ *timeline.Reader }

func (s shelf) Edit(id int64, e timeline.Edit) (int64, error) {
	switch e.Do {
	case timeline.Begin:
		return 0, errors.New("the desk has not been heard yet, so there is nothing to record")
	case timeline.End:
		return 0, errors.New("no service goes on")
	}
	return s.Reader.Edit(id, e, firstWeek.AddDate(1, 0, 0))
}

// reviewing is a Review of a record that lasts as long as the test.
func reviewing(t testing.TB, path string) Review {
	t.Helper()
	r := timeline.NewReader(path)
	t.Cleanup(func() { r.Close() })
	return shelf{r}
}

// reviewStory is a record with a page of it, and what to wait for there.
type reviewStory struct {
	name   string
	review func(t testing.TB) Review
	path   string // of the page
	shown  string // holds once the page shows what it is to show
}

const (
	listShown = `document.querySelectorAll("#service-list li").length > 0`
	oneShown  = `!document.getElementById("timeline").hidden && document.querySelectorAll(".plot canvas").length > 3`
)

func of(all ...func(testing.TB) recorded) func(testing.TB) Review {
	return func(t testing.TB) Review {
		var made []recorded
		for _, one := range all {
			made = append(made, one(t))
		}
		return reviewing(t, write(t, made...))
	}
}

func ratchetEvening(t testing.TB) recorded { return practised(t, "", "late team") }
func madeEvening(testing.TB) recorded      { k := made(14, 6); k.name = "Harvest evening"; return k }
func wideEvening(testing.TB) recorded      { return made(12, 64) }
func gapEvening(testing.TB) recorded       { return made(14, 6).away(200, 420) }
func goingOn(testing.TB) recorded          { k := made(3, 6); k.goesOn = true; return k }

// hostile has the longest names there can be, with what would be HTML if it were let.
func hostile(t testing.TB) recorded {
	k := practised(t, strings.Repeat("<img src=x onerror=alert(1)>", 14), strings.Repeat("Unbrokenname", 23))
	k.run.Strips.Inputs = slices.Clone(k.run.Strips.Inputs)
	k.run.Strips.Inputs[15].Name = "<script>alert(1)</script> " + strings.Repeat("w", 80)
	for i, e := range k.entries {
		if m, ok := e.(*rules.Moved); ok && m.Who.Name == "piano" {
			long := *m
			long.Who.Name = "<b>piano</b> of the great-grandmother of the organist, tuned in the spring"
			k.entries = slices.Clone(k.entries)
			k.entries[i] = &long
		}
	}
	return k
}

// unreadable is a file that is no record.
func unreadable(t testing.TB) Review {
	path := filepath.Join(t.TempDir(), "letter")
	if err := os.WriteFile(path, []byte("no record"), 0o600); err != nil {
		t.Fatal(err)
	}
	return reviewing(t, path)
}

func reviewStories() []reviewStory {
	none := func(testing.TB) Review { return nil }
	empty := func(t testing.TB) Review { return reviewing(t, filepath.Join(t.TempDir(), "not there")) }
	said := func(text string) string {
		return fmt.Sprintf(`document.getElementById("state").textContent.includes(%q)`, text)
	}
	weeks := of(madeEvening, ratchetEvening, madeEvening, wideEvening)
	return []reviewStory{
		{"list", weeks, "review", listShown},
		{"list-none", none, "review", said("This Pawl keeps no record.")},
		{"list-empty", empty, "review", said("No service is recorded yet.")},
		{"list-one", of(ratchetEvening), "review", listShown},
		{"list-going-on", of(madeEvening, goingOn), "review", listShown},
		{"list-unreadable", unreadable, "review", said("no record of Pawl's")},
		{"list-long", of(hostile, hostile, hostile), "review", listShown},
		{"one", weeks, "review/2", oneShown},
		{"one-finding", weeks, "review/2?finding=1", oneShown + ` && !document.getElementById("finding").hidden`},
		{"one-zoomed", weeks, "review/1?from=120&until=300", oneShown},
		{"one-beside", weeks, "review/1?beside=3&align=2", oneShown + ` && document.querySelectorAll("#band-second canvas").length > 2`},
		{"one-wide", weeks, "review/4", oneShown},
		{"one-gaps", of(gapEvening), "review/1", oneShown + ` && document.getElementById("state").textContent.includes("Nothing is known")`},
		{"one-going-on", of(goingOn), "review/1", oneShown},
		{"one-long", of(hostile), "review/1", oneShown},
		{"one-none", none, "review/1", said("This Pawl keeps no record.")},
		{"one-gone", weeks, "review/99", said("There is no such service in the record.")},
		{"one-unreadable", unreadable, "review/1", said("no record of Pawl's")},
	}
}
