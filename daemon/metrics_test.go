package daemon

import (
	"fmt"
	"maps"
	"net/http/httptest"
	"net/netip"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus/testutil/promlint"

	"pawl/daemon/link"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/dashboard"
	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/desk"
)

// loopOf is the session of a daemon at whose link nothing comes, for a test to be its loop.
func loopOf(t testing.TB) *session {
	t.Helper()
	d := New(harbourHall(t), Options{})
	l, err := d.open(d.house)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	return newSession(d, d.house, &running{Link: l})
}

// TestMetricsLint holds what /metrics serves, before and after the first packet,
// to promlint, the Prometheus project's own check of names and help texts.
func TestMetricsLint(t *testing.T) {
	s := loopOf(t)
	for _, published := range []bool{false, true} {
		if published {
			s.publish()
		}
		answer := httptest.NewRecorder()
		s.tally.handler().ServeHTTP(answer, httptest.NewRequest("GET", "/metrics", nil))
		body := answer.Body.String()
		if got := strings.Contains(body, "pawl_packets_total"); got != published {
			t.Errorf("packets counted: %v, want %v", got, published)
		}
		problems, err := promlint.New(strings.NewReader(body)).Lint()
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range problems {
			t.Errorf("%s: %s", p.Metric, p.Text)
		}
	}
}

// series are all that /metrics has of ours, as "name{label="value",…}", and the values
// that each label has.
func series(t *testing.T, s *session) (all []string, values map[string][]string) {
	t.Helper()
	families, err := s.tally.registry.Gather()
	if err != nil {
		t.Fatal(err)
	}
	values = map[string][]string{}
	for _, f := range families {
		if !strings.HasPrefix(f.GetName(), "pawl_") {
			continue
		}
		for _, m := range f.GetMetric() {
			all = append(all, fmt.Sprintf("%s%v", f.GetName(), m.GetLabel()))
			for _, l := range m.GetLabel() {
				values[l.GetName()] = append(values[l.GetName()], l.GetValue())
			}
		}
	}
	return all, values
}

// TestSeriesAreBounded has a desk that calls every strip by a new name in each packet,
// sends to addresses that nobody has seen and from as many ports, and somebody who writes
// anything at all into the running order. Every label still has only values that stand in
// Pawl or in the house file, and there are as many series as a desk that behaves makes.
func TestSeriesAreBounded(t *testing.T) {
	script, err := practicetest.Service("ratchet")
	if err != nil {
		t.Fatal(err)
	}
	evening := func(hostile bool) (all []string, values map[string][]string) {
		s := loopOf(t)
		for strip, n := range map[desk.Strip]int{desk.StripInput: 16, desk.StripDCA: 4, desk.StripGroup: 4} {
			for i := range n { // so that the desk may name them all
				s.house.Roster.Unnamed[desk.Mover{Strip: strip, Index: i}] = true
			}
		}
		f, n := newFoe(t, 4), 0
		for at, packet := range practice.Play(script, practicetest.Dialects()[0], practice.Playing{}) {
			hear := func(packet []byte) {
				from := netip.AddrPortFrom(netip.AddrFrom4([4]byte{192, 0, 2, byte(n)}), uint16(n))
				s.hearOne(at, from, packet)
				s.survey.Hear(at, packet)
			}
			hear(packet)
			if n++; !hostile {
				continue
			}
			name := fmt.Sprintf("a \"new\"\n%d \xff{}", n)
			for strip := 1; strip <= 16; strip++ {
				hear(message(t, fmt.Sprintf("/in/%d/who", strip), name))
			}
			hear(message(t, fmt.Sprintf("/new/%d/who/%d", n, f.rand.Uint32()), name))
			hear(f.packet(t))
			if n%100 == 0 {
				_ = s.pressed(rules.Press{Do: rules.OrderAdd, Kind: desk.Music, Text: fmt.Sprint("part ", n)})
				_ = s.pressed(rules.Press{Do: rules.NewSegment, Kind: desk.Music, Text: fmt.Sprint("song ", n)})
			}
			s.tell()
		}
		if n < 1000 {
			t.Fatalf("%d packets in the service, want a thousand at least", n)
		}
		s.publish()
		return series(t, s)
	}
	well, _ := evening(false)
	got, values := evening(true)
	if !slices.Equal(got, well) {
		t.Errorf("%d series, want the %d of a desk that behaves:\n%s\nnot\n%s", len(got), len(well), strings.Join(got, "\n"), strings.Join(well, "\n"))
	}
	known := map[string][]string{
		"cause": {"faders", "stage", "groups", "main"}, "number": {"1", "2", "3", "4"}, "group": {"rhythm", "band", "brass", "voices"},
	}
	for _, k := range rules.Kinds {
		known["rule"] = append(known["rule"], k.Name)
	}
	for w := rules.Whisper; w <= rules.Now; w++ {
		known["weight"] = append(known["weight"], w.String())
	}
	for _, r := range wire.Reasons() {
		known["reason"] = append(known["reason"], r.String())
	}
	for _, s := range desk.Signals() {
		known["signal"] = append(known["signal"], s.String())
	}
	if got, want := slices.Sorted(maps.Keys(values)), slices.Sorted(maps.Keys(known)); !slices.Equal(got, want) {
		t.Errorf("labels %q, want %q", got, want)
	}
	for label, all := range values {
		for _, v := range all {
			if !slices.Contains(known[label], v) {
				t.Errorf("label %s has the value %q, which is not of Pawl or the house file", label, v)
			}
		}
	}
}

// TestPressesAreCounted: one that is about nothing is refused, and counted as that; and
// the loop is measured meanwhile.
func TestPressesAreCounted(t *testing.T) {
	h := harbourHall(t)
	h.Desk = playDesk(t, fastClock(), "ratchet").Addr().String()
	d := start(t, h, Options{})
	openTablet(t, d.Page()).until("the desk", func(s dashboard.Now) bool { return s.Link.Phase == "hearing" })
	if err := d.press(rules.Press{Do: rules.SetMark}); err != nil {
		t.Error(err)
	}
	if err := d.press(rules.Press{Do: rules.Seen, Number: 77}); err == nil {
		t.Error("a finding that is not there was seen")
	}
	m := metricsOf(t, d)
	if m["pawl_presses_total"] != 2 || m["pawl_presses_refused_total"] != 1 {
		t.Errorf("%v presses, %v refused; want 2 and 1", m["pawl_presses_total"], m["pawl_presses_refused_total"])
	}
	lags, turns := m["pawl_packet_lag_seconds_count"], m["pawl_loop_turn_seconds_count"]
	if lags == 0 || turns == 0 || m["pawl_packet_lag_seconds_sum"] <= 0 {
		t.Errorf("the loop took the time of %v turns and the lag of %v", turns, lags)
	}
	if age := m["pawl_loop_picture_age_seconds"]; age < 0 || age > time.Minute.Seconds() {
		t.Errorf("the loop told how it stands %v s ago", age)
	}
}

// TestAges: what is told as an age is one, on the clock of who waits, however fast the
// desk's own goes.
func TestAges(t *testing.T) {
	now := time.Now()
	d := New(harbourHall(t), Options{Clock: link.Clock{Started: now.Add(-time.Hour), Speed: 2}})
	f := &figures{made: now.Add(-3 * time.Second), heard: 2*time.Hour - 20*time.Second}
	f.record.Kept = now.Add(-30 * time.Second)
	d.figures.Store(f)
	all := map[string]float64{}
	families, err := d.tally.registry.Gather()
	if err != nil {
		t.Fatal(err)
	}
	for _, family := range families {
		for _, m := range family.GetMetric() {
			all[family.GetName()] = m.GetGauge().GetValue()
		}
	}
	for name, want := range map[string]float64{
		"pawl_desk_silence_seconds": 10, "pawl_loop_picture_age_seconds": 3, "pawl_record_commit_age_seconds": 30, "pawl_capture_write_age_seconds": 0,
	} {
		if got := all[name]; got < want || got > want+60 || want == 0 && got != 0 {
			t.Errorf("%s is %v, want %v", name, got, want)
		}
	}
}

// TestSilenceBeginsWithTheLink: a Pawl that begins to wait for another desk after an hour
// has not waited for an hour.
func TestSilenceBeginsWithTheLink(t *testing.T) {
	d := New(harbourHall(t), Options{Clock: link.Clock{Started: time.Now().Add(-time.Hour)}})
	l, err := d.open(d.house)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	s := newSession(d, d.house, &running{Link: l})
	s.publish()
	if f := d.figures.Load(); f.heard < time.Hour || f.heard > d.options.Clock.Now() {
		t.Errorf("the desk is waited for since %v, want an hour after the start", f.heard)
	}
}

const (
	tableBegins = "<!-- table of the metrics, written by go test ./daemon -run MetricsTable -update -->\n"
	tableEnds   = "<!-- end of the table -->\n"
)

// TestMetricsTable keeps the table in DEVELOPERS.md as the metrics are.
func TestMetricsTable(t *testing.T) {
	const file = "../DEVELOPERS.md"
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(b), tableBegins)
	_, after, ok2 := strings.Cut(rest, tableEnds)
	if !ok || !ok2 {
		t.Fatalf("%s has no place for the table, between\n%sand\n%s", file, tableBegins, tableEnds)
	}
	want := before + tableBegins + "\n" + metricsTable(t) + "\n" + tableEnds + after
	if want == string(b) {
		return
	}
	if !*update {
		t.Fatalf("the table in %s is not as the metrics are; write it with go test ./daemon -run MetricsTable -update", file)
	}
	if err := os.WriteFile(file, []byte(want), 0o644); err != nil {
		t.Fatal(err)
	}
}

func metricsTable(t *testing.T) string {
	s := loopOf(t)
	s.publish()
	figures := *s.figures.Load()
	figures.picture.Groups[0].Known = true // a group that has played, so that all are there
	s.figures.Store(&figures)
	families, err := s.tally.registry.Gather()
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	out.WriteString("| name | labels | unit | meaning |\n|---|---|---|---|\n")
	for _, f := range families {
		if !strings.HasPrefix(f.GetName(), "pawl_") {
			continue
		}
		var labels []string
		for _, l := range f.GetMetric()[0].GetLabel() {
			labels = append(labels, "`"+l.GetName()+"`")
		}
		fmt.Fprintf(&out, "| `%s` | %s | %s | %s |\n", f.GetName(), strings.Join(labels, ", "), unitOf(f.GetName(), f.GetType().String()), f.GetHelp())
	}
	return out.String()
}

// unitOf is the unit that stands in a metric's name, and what it is measured by.
func unitOf(name, kind string) string {
	unit := ""
	for suffix, is := range map[string]string{"_seconds": "s", "_bytes": "B", "_bytes_total": "B", "_decibels": "dB", "_ok": "0 or 1", "_heard": "0 or 1"} {
		if strings.HasSuffix(name, suffix) {
			unit = is
		}
	}
	switch kind {
	case "HISTOGRAM":
		return unit + ", histogram"
	case "COUNTER":
		return strings.TrimPrefix(unit+", counted", ", ")
	}
	return unit
}

// TestMeasuringAllocatesNothing: the loop is measured in every turn of it.
func TestMeasuringAllocatesNothing(t *testing.T) {
	s := loopOf(t)
	packets := make([]link.Packet, 100)
	if n := testing.AllocsPerRun(100, func() {
		s.wake()
		s.tally.judged(packets, s.options.Clock)
		s.tally.turned(s.woke)
	}); n > 0 {
		t.Errorf("%v allocations a turn, want none", n)
	}
	families, err := s.tally.registry.Gather()
	if err != nil {
		t.Fatal(err)
	}
	counted := map[string]uint64{}
	for _, f := range families {
		for _, m := range f.GetMetric() {
			counted[f.GetName()] = m.GetHistogram().GetSampleCount()
		}
	}
	if n, lag := counted["pawl_loop_turn_seconds"], counted["pawl_packet_lag_seconds"]; n == 0 || lag != n {
		t.Errorf("%d turns and the lag of %d were measured, want one a turn", n, lag)
	}
}

// BenchmarkTurn is a turn of the loop on thirty packets, without what measures it and
// with it, in one run.
func BenchmarkTurn(b *testing.B) {
	var packets []link.Packet
	for i := range 30 {
		packets = append(packets, link.Packet{Data: message(b, "/in/"+strconv.Itoa(i%16+1)+"/throw", float32(0.5+0.01*float64(i)))})
	}
	for _, measured := range []bool{false, true} {
		b.Run(map[bool]string{false: "bare", true: "measured"}[measured], func(b *testing.B) {
			s := loopOf(b)
			b.ReportAllocs()
			for b.Loop() {
				if measured {
					s.wake()
				}
				for _, p := range packets {
					s.hearOne(p.At, p.From, p.Data)
					s.survey.Hear(p.At, p.Data)
				}
				if measured {
					s.tally.judged(packets, s.options.Clock)
				}
				s.tell()
				s.unshown = s.unshown[:0]
				if measured {
					s.tally.turned(s.woke)
				}
			}
		})
	}
}
