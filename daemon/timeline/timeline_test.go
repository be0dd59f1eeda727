package timeline

import (
	"encoding/json"
	"math"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

const sec = rules.Moment(time.Second)

// stretches are what the record has of the only service at path.
func stretches(t *testing.T, path string) (store.Service, []store.Stretch) {
	t.Helper()
	s, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	all, err := s.Services()
	if err != nil || len(all) != 1 {
		t.Fatalf("%v, %v, want one service", all, err)
	}
	of, err := s.Read(all[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	return all[0], of
}

// TestStaircasesAreTheMoves: every move that counted is a step, with its exact times and
// in order, but for where the faders stood when the desk was first heard.
func TestStaircasesAreTheMoves(t *testing.T) {
	s, of := stretches(t, practised(t, "ratchet"))
	d := draw(s, of)
	got := map[desk.Mover][]Step{}
	for _, m := range d.Movers {
		got[m.Who.Mover()] = m.Steps
	}
	want, first := map[desk.Mover][]Step{}, 0
	for _, e := range of[0].Entries {
		m, ok := e.(*rules.Moved)
		switch {
		case !ok:
		case m.First:
			first++
		default:
			who := m.Who.Mover()
			want[who] = append(want[who], Step{m.Began, m.Ended, m.From, m.To, m.Kind})
		}
	}
	if !reflect.DeepEqual(got, want) || len(want) < 3 || first < 10 {
		t.Errorf("staircases %+v\nwant %+v, with %d faders heard for the first time", got, want, first)
	}
	for i := 1; i < len(d.Movers); i++ {
		if len(d.Movers[i].Steps) > len(d.Movers[i-1].Steps) {
			t.Errorf("%s with %d moves stands below %s", d.Movers[i].Who.Name, len(d.Movers[i].Steps), d.Movers[i-1].Who.Name)
		}
	}
	if n := len(of[0].Run.Strips.Inputs); len(d.Still) == 0 || len(d.Still) >= n {
		t.Errorf("%d of %d inputs never moved", len(d.Still), n)
	}
}

// TestToldIsTheLife: a finding is told once, as it was when it had most to say, with all
// that became of it.
func TestToldIsTheLife(t *testing.T) {
	s, of := stretches(t, practised(t, "ratchet"))
	d := draw(s, of)
	var ratchet *Told
	for i, one := range d.Told {
		if one.Number != i+1 {
			t.Errorf("finding %d has the number %d", i+1, one.Number)
		}
		if one.Said.Rule == "ratchet" {
			ratchet = &d.Told[i]
		}
	}
	if ratchet == nil {
		t.Fatal("nothing was told of the ratchet")
	}
	var want []string
	var last *rules.Finding
	for _, e := range of[0].Entries {
		if f, ok := e.(*rules.Finding); ok && f.Number == ratchet.Said.Number {
			want = append(want, f.State.String())
			if f.State == rules.Open || f.State == rules.Grew {
				last = f
			}
		}
	}
	var got []string
	for _, turn := range ratchet.Life {
		got = append(got, turn.What)
	}
	if !reflect.DeepEqual(got, want) || len(want) < 2 {
		t.Errorf("its life is %q, want %q", got, want)
	}
	if !reflect.DeepEqual(ratchet.Said.Figures, last.Figures) || len(ratchet.Said.Facts) != len(last.Facts) || !ratchet.Said.Shown {
		t.Errorf("it says %+v, want what it last said: %+v", ratchet.Said, last)
	}
	said := d.In(words.Own().For("en"))
	one := said.Told[ratchet.Number-1]
	if one.Said.Words == nil || len(one.Said.Words.Facts) != len(one.Said.Facts) || !strings.Contains(one.Said.Words.Try, "down") || one.Life[0].Says == "" {
		t.Errorf("in words it is %+v with life %+v", one.Said.Words, one.Life)
	}
	if ratchet.Said.Words != nil || ratchet.Life[0].Says != "" {
		t.Error("to say it in words changed what was kept")
	}
	if said.Movers[0].Who.Label == "" || d.Movers[0].Who.Label != "" {
		t.Errorf("labels: %q said, %q kept", said.Movers[0].Who.Label, d.Movers[0].Who.Label)
	}
}

// stamp heads an entry at a number of seconds.
func stamp(e rules.Entry, at float64, kind rules.EntryKind) rules.Entry {
	*e.Head() = rules.Stamp{N: 1, T: rules.Moment(at * 1e9), Entry: kind}
	return e
}

func parted(at float64, number int, kind desk.SegmentKind, how desk.Began) rules.Entry {
	return stamp(&rules.Parted{Number: number, Kind: kind, How: how}, at, rules.SegmentEntry)
}

// TestSegments: they leave no hole, say the newest of what is known, and one that was
// taken back goes on as before.
func TestSegments(t *testing.T) {
	for _, c := range []struct {
		name    string
		entries []rules.Entry
		want    string
	}{
		{"nobody said", nil, " 0-100"},
		{"from the start", []rules.Entry{parted(0, 1, desk.Music, desk.Opened)}, "music 0-100"},
		{"its kind is heard later", []rules.Entry{parted(10, 1, desk.Music, desk.Overheard)}, "music 0-100"},
		{"two", []rules.Entry{parted(0, 1, desk.Music, ""), parted(40, 2, desk.Speech, desk.Tapped)}, "music 0-40, speech 40-100"},
		{"taken back", []rules.Entry{parted(0, 1, desk.Music, ""), parted(40, 2, desk.Speech, desk.Tapped), parted(44, 1, desk.Music, desk.TakenBack)}, "music 0-100"},
		{"taken back, then another", []rules.Entry{parted(0, 1, desk.Music, ""), parted(40, 2, desk.Speech, desk.Tapped),
			parted(44, 1, desk.Music, desk.TakenBack), parted(60, 3, desk.Quiet, desk.Overheard)}, "music 0-60, quiet 60-100"},
		{"a service that was split off", []rules.Entry{parted(30, 7, desk.Speech, desk.Overheard)}, " 0-30, speech 30-100"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := store.Service{Began: evening, Ended: evening.Add(100 * time.Second)}
			d := draw(s, []store.Stretch{{Run: store.Run{Zero: evening}, Until: 100 * sec, Entries: c.entries}})
			var got []string
			for _, one := range d.Segments {
				got = append(got, string(one.Kind)+" "+span(one.From, one.Until))
			}
			if strings.Join(got, ", ") != c.want {
				t.Errorf("got %q, want %q", strings.Join(got, ", "), c.want)
			}
		})
	}
}

func span(from, until rules.Moment) string {
	a, _ := json.Marshal(from)
	b, _ := json.Marshal(until)
	return string(a) + "-" + string(b)
}

// TestStretchesOnOneClock: what a restart left out is a gap, and times of day that run
// into one another are put end to end.
func TestStretchesOnOneClock(t *testing.T) {
	mark := func(at float64) []rules.Entry {
		return []rules.Entry{stamp(&rules.Marked{How: desk.ByHand}, at, rules.MarkEntry)}
	}
	for _, c := range []struct {
		name   string
		second time.Duration // when the second run's clock stood at 0
		want   string
	}{
		{"a restart of a minute", 3 * time.Minute, "gaps 120-180, marks 60 240, length 300"},
		{"none", 2 * time.Minute, "gaps, marks 60 180, length 240"},
		{"a clock that was set back", time.Minute, "gaps, marks 60 180, length 240"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := store.Service{Began: evening, Ended: evening.Add(c.second + 2*time.Minute)}
			d := draw(s, []store.Stretch{
				{Run: store.Run{Zero: evening}, Until: 120 * sec, Entries: mark(60)},
				{Run: store.Run{Zero: evening.Add(c.second)}, Until: 120 * sec, Entries: mark(60)},
			})
			got := "gaps"
			for _, g := range d.Gaps {
				got += " " + span(g.From, g.Until)
			}
			got += ", marks"
			for _, m := range d.Marks {
				got += " " + jsonOf(t, m.T)
			}
			if got += ", length " + jsonOf(t, d.Length); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// TestAMarkTakenBackIsNone, also where the one before it is in an earlier stretch.
func TestAMarkTakenBackIsNone(t *testing.T) {
	marked := func(at float64, back bool) rules.Entry {
		return stamp(&rules.Marked{How: desk.ByHand, Back: back}, at, rules.MarkEntry)
	}
	for want, entries := range map[string][]rules.Entry{
		"[10,40]": {marked(10, false), marked(30, false), marked(34, true), marked(40, false)},
		"[40]":    {marked(30, false), marked(34, true), marked(40, false)},
		"[50]":    {marked(34, true), marked(50, false)},
	} {
		s := store.Service{Began: evening, Ended: evening.Add(100 * time.Second)}
		d := draw(s, []store.Stretch{{Run: store.Run{Zero: evening}, Until: 100 * sec, Entries: entries}})
		var at []rules.Moment
		for _, m := range d.Marks {
			at = append(at, m.T)
		}
		if got := jsonOf(t, at); got != want {
			t.Errorf("marks at %s, want %s", got, want)
		}
	}
}

func jsonOf(t *testing.T, v any) string {
	t.Helper()
	data, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// TestCurvesAreTheSeconds: however wide a point is, each second is in one of them, the
// causes add up to the rise, and the lowest and the highest are there.
func TestCurvesAreTheSeconds(t *testing.T) {
	s, of := stretches(t, practised(t, "ratchet"))
	d := draw(s, of)
	fine := d.curves(0, d.Length, MostPoints)
	if fine.Step != sec || len(fine.Rise) < int(d.Length/sec) {
		t.Fatalf("%d points of %v for %v", len(fine.Rise), fine.Step, d.Length)
	}
	known := 0
	for _, points := range []int{1, 7, 40, MostPoints} {
		c := d.curves(0, d.Length, points)
		if len(c.Rise) > points {
			t.Errorf("%d points, want at most %d", len(c.Rise), points)
		}
		width := int(c.Step / sec)
		for i, rise := range c.Rise {
			from, to := i*width, min((i+1)*width, len(fine.Rise))
			wantRise, lo, hi, n := 0.0, math.Inf(1), math.Inf(-1), 0
			for _, v := range fine.Rise[from:to] {
				if !math.IsNaN(v) {
					wantRise, lo, hi, n = wantRise+v, min(lo, v), max(hi, v), n+1
				}
			}
			if n == 0 {
				if !math.IsNaN(rise) {
					t.Fatalf("%d points: point %d is %v of no seconds", points, i, rise)
				}
				continue
			}
			known++
			if wantRise /= float64(n); math.Abs(rise-wantRise) > 1e-9 || c.RiseLow[i] != lo || c.RiseHigh[i] != hi {
				t.Fatalf("%d points: point %d is %v from %v to %v, want %v from %v to %v", points, i, rise, c.RiseLow[i], c.RiseHigh[i], wantRise, lo, hi)
			}
			if sum := c.Faders[i] + c.Stage[i] + c.Groups[i] + c.Main[i]; math.Abs(sum-rise) > 0.01 {
				t.Fatalf("%d points: the causes of point %d add up to %v, the rise is %v", points, i, sum, rise)
			}
		}
	}
	if known < 100 {
		t.Errorf("only %d points had something in them", known)
	}
}

// TestRiseIsWhatWasSaid: at each second the curve stands where the screen said that the
// mix stood, to the resolution of the record, and nowhere else.
func TestRiseIsWhatWasSaid(t *testing.T) {
	s, of := stretches(t, practised(t, "ratchet"))
	d := draw(s, of)
	c := d.curves(0, d.Length, MostPoints)
	said := map[int]float64{}
	for _, e := range of[0].Entries {
		if one, ok := e.(*rules.Second); ok && one.Playing > 0 {
			said[int((one.T+d.ahead(of[0], s))/sec)] = float64(one.Rise)
		}
	}
	for i, rise := range c.Rise {
		want, ok := said[i]
		if ok == math.IsNaN(rise) || ok && math.Abs(rise-want) > 2.5*float64(store.LevelStep) {
			t.Fatalf("at %d s the curve stands at %v, and %v was said (%v)", i, rise, want, ok)
		}
	}
	if len(said) < 100 {
		t.Errorf("only %d seconds were said", len(said))
	}
}

// ahead is how far a stretch's clock is before the service's.
func (d drawn) ahead(of store.Stretch, s store.Service) rules.Moment {
	return rules.Moment(of.Wall(0).Sub(s.Began))
}

// TestCurvesAreStill: the same second stays in the same point while a view moves.
func TestCurvesAreStill(t *testing.T) {
	run, entries, levels := long(20, 4)
	s, of := stretches(t, recorded(t, run, entries, levels))
	d := draw(s, of)
	a, b := d.curves(100*sec, 700*sec, 100), d.curves(131*sec, 731*sec, 100)
	if a.Step != 6*sec || b.Step != a.Step || (b.From-a.From)%a.Step != 0 {
		t.Fatalf("points of %v and %v from %v and %v", a.Step, b.Step, a.From, b.From)
	}
	shift := int((b.From - a.From) / a.Step)
	for i := range 90 {
		if a.Rise[i+shift] != b.Rise[i] {
			t.Fatalf("point %d trembles: %v and %v", i, a.Rise[i+shift], b.Rise[i])
		}
	}
}

// TestCurvesOfNonsense: a span that is none, or too many points, get what is nearest.
func TestCurvesOfNonsense(t *testing.T) {
	run, entries, levels := long(2, 2)
	s, of := stretches(t, recorded(t, run, entries, levels))
	for name, d := range map[string]drawn{"a service": draw(s, of), "an empty one": draw(store.Service{}, nil)} {
		for _, c := range []struct {
			from, until rules.Moment
			points      int
		}{
			{0, math.MaxInt64, math.MaxInt}, {math.MinInt64, math.MinInt64, -5}, {math.MaxInt64, 0, 0}, {50 * sec, 40 * sec, 10}, {-sec, sec / 2, 1},
		} {
			got := d.curves(c.from, c.until, c.points)
			if n := len(got.Rise); n < 1 || n > MostPoints || got.Step < sec || got.From < 0 {
				t.Errorf("%s, %+v: %d points of %v from %v", name, c, n, got.Step, got.From)
			}
		}
	}
}

func TestLineWritesNoMoreThanItHas(t *testing.T) {
	got, err := json.Marshal(Line{1, -0.001, 2.345, math.NaN(), math.Inf(-1), -12.5})
	if want := `[1,0,2.35,null,null,-12.5]`; err != nil || string(got) != want {
		t.Errorf("got %s, %v, want %s", got, err, want)
	}
}

// TestPlentyIsOfThen: what is over the limit is so by the limits of the house file of then.
func TestPlentyIsOfThen(t *testing.T) {
	run, entries, levels := long(20, 4)
	at := func(minutes int, house string) (store.Run, []rules.Entry, []rules.Levels) {
		r := run
		r.HousePrint, r.HouseText = house, "house: Harbour Hall\n"+house
		from, until := rules.Moment(minutes)*60e9, rules.Moment(minutes+10)*60e9
		r.At = from
		return r, slices.DeleteFunc(slices.Clone(entries), func(e rules.Entry) bool { t := e.Head().T; return t < from || t >= until }),
			slices.DeleteFunc(slices.Clone(levels), func(l rules.Levels) bool { return l.T < from || l.T >= until })
	}
	first, e1, l1 := at(0, "")
	second, e2, l2 := at(10, "limits: {squeezed-group: {whisper: 4.5 dB}}\n")
	path := filepath.Join(t.TempDir(), "record.pawl")
	r := store.NewRecorder(path, store.Options{Bytes: 1 << 30})
	r.Begin(first)
	r.BeginService(0)
	r.Put(e1, l1)
	r.Begin(second)
	r.Put(e2, l2)
	r.EndService(20 * time.Minute)
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	one, err := reading(t, path).One(1, english)
	if err != nil {
		t.Fatal(err)
	}
	if p := one.Timeline.Plenty; len(p) != 2 || p[0] != (Plenty{0, 3}) || p[1] != (Plenty{600 * sec, 4.5}) {
		t.Errorf("plenty is %+v, want 3 dB, and 4.5 from ten minutes on", p)
	}
	// The four groups are at 1 to 4 dB all along.
	for k, want := range []float64{0, 0, 0, 0.5} {
		if got := one.Timeline.Groups[k].Over; got != want {
			t.Errorf("group %d is over it for %v of the time, want %v", k, got, want)
		}
	}
	if len(one.Limits) != 2 || !strings.Contains(one.Limits[1], "squeezed-group.whisper 4.5 dB") {
		t.Errorf("the page says of limits %q", one.Limits)
	}
}
