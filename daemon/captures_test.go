package daemon

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"pgregory.net/rapid"

	"pawl/daemon/capture"
	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/daemon/otherwise"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/daemon/store"
	"pawl/dashboard"
	"pawl/oscmap/sheet"
	"pawl/rules"
	"pawl/rules/desk"
)

// evening is a session without a link, whose packets come from the test, in a bubble of
// its own time.
type evening struct {
	*session
	folder string
	err    error // the first that went wrong
}

// happening is one thing of an evening: a piece that is played, quiet, a press, or the
// house file read again with other text in it.
type happening struct {
	play  string        // a service of the practice desk, its first two minutes
	quiet time.Duration // the desk goes on, and nothing plays
	off   time.Duration // the desk is off
	press *rules.Press
	house string // appended to the house file
}

// captureFiles are the captures that are there.
func captureFiles(t testing.TB, folder string) []string {
	t.Helper()
	all, err := filepath.Glob(filepath.Join(folder, "caught", "*"+capture.Ending))
	if err != nil {
		t.Fatal(err)
	}
	return all
}

var aDesk = netip.MustParseAddrPort("192.0.2.10:10700")

// houseWith is the practice desk's house with captures, and more text in its file.
func houseWith(t testing.TB, folder, more string) *house.House {
	t.Helper()
	text := string(practice.House()) + "\nrecord: {captures: {folder: caught, most: 900 MB}}\n" + more + "\n"
	h, faults := house.Files{"harbour-hall.house.yaml": text, "harbour-hall.map.yaml": string(practice.MapFile())}.Load(filepath.Join(folder, "harbour-hall.house.yaml"))
	if h == nil {
		t.Fatal(faults)
	}
	return h
}

// spend plays an evening into a folder, and gives what was wrong with it.
func spend(t *testing.T, folder string, happenings []happening) (err error) {
	synctest.Test(t, func(t *testing.T) {
		d := New(houseWith(t, folder, ""), Options{Clock: link.Clock{Started: time.Now()}, Record: filepath.Join(folder, "evening.record"), Version: "1.2.3"})
		d.storing, d.recording = store.Options{Every: 10 * time.Minute, Bytes: 1 << 30}, capture.RecorderOptions{Every: time.Minute, Bytes: 1 << 30}
		d.record = store.NewRecorder(d.options.Record, d.storing)
		if err = d.beginCapture(); err != nil {
			return
		}
		e := &evening{session: newSession(d, d.house, nil), folder: folder}
		e.local = netip.MustParseAddrPort("192.0.2.20:10701")
		for _, h := range happenings {
			e.happen(t, h)
		}
		e.tell()
		e.endCapture()
		err = errors.Join(e.err, d.recorder.Close(), d.record.Close())
	})
	return err
}

func (e *evening) happen(t *testing.T, h happening) {
	switch {
	case h.play != "":
		script, err := practicetest.Service(h.play)
		if err != nil {
			t.Fatal(err)
		}
		e.listen(script, 2*time.Minute, 3)
	case h.quiet > 0:
		script, err := practice.ParseScript("quiet.txt", []byte(fmt.Sprintf("length %v\nexpect nothing\n", h.quiet)))
		if err != nil {
			t.Fatal(err)
		}
		e.listen(script, h.quiet, 600)
	case h.off > 0:
		for range int(h.off / time.Second) {
			time.Sleep(time.Second)
			e.turn()
		}
	case h.press != nil:
		_ = e.pressed(*h.press) // what is refused is no entry
		e.turn()
	default:
		e.turn()
		e.follow(houseWith(t, e.folder, h.house))
		e.turn()
	}
	// The writing of captures and of the record is checked at every step.
	e.err = errors.Join(e.err, e.record.Flush())
}

// listen hears a script of the practice desk.
func (e *evening) listen(script *practice.Script, most time.Duration, meters int) {
	began := time.Now()
	for at, packet := range practice.Play(script, practice.Harbour(), practice.Playing{Seed: 1, MeterEvery: meters}) {
		if at > most {
			break
		}
		if wait := at - time.Since(began); wait > 0 {
			time.Sleep(wait)
			e.turn()
		}
		e.hearOne(e.options.Clock.Now(), aDesk, packet)
	}
	time.Sleep(most - time.Since(began))
	e.turn()
}

// turn is one turn of the loop.
func (e *evening) turn() {
	e.engine.advance(e.options.Clock.Now())
	e.tell()
	e.turnOver()
}

// again judges every service of a record again and wants what it says to be what the
// record has. It gives the services, the earliest first.
func again(t testing.TB, folder string) []store.Service {
	t.Helper()
	path := filepath.Join(folder, "evening.record")
	s, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	all, err := s.Services()
	if err != nil {
		t.Fatal(err)
	}
	slices.Reverse(all)
	for _, one := range all {
		out, err := Rejudge{Record: path}.Run(t.Context(), one.ID)
		if err != nil {
			t.Fatalf("service %d: %v", one.ID, err)
		}
		if len(out.Notes) > 0 {
			t.Errorf("service %d: notes %q", one.ID, out.Notes)
		}
		if fault := differ(out); fault != "" {
			t.Errorf("service %d: %s", one.ID, fault)
		}
		if c := out.Compare(); c.OnlyThen+c.OnlyOther > 0 {
			t.Errorf("service %d by the same limits: %+v", one.ID, c)
		}
	}
	return all
}

// differ is the first difference between then and otherwise, "" if there is none.
func differ(r Rejudged) string {
	for i := range r.Then {
		then, other := r.Then[i].Entries, r.Otherwise[i].Entries
		for k := range max(len(then), len(other)) {
			a, b := "nothing", "nothing"
			if k < len(then) {
				a = fmt.Sprintf("%T %s", then[k], mustJSON(then[k]))
			}
			if k < len(other) {
				b = fmt.Sprintf("%T %s", other[k], mustJSON(other[k]))
			}
			if a != b {
				return fmt.Sprintf("stretch %d, entry %d of %d and %d:\nrecord %s\nagain  %s", i, k, len(then), len(other), a, b)
			}
		}
	}
	return ""
}

// mustJSON is an entry as the record has it.
func mustJSON(e rules.Entry) []byte {
	b, err := json.Marshal(e)
	if err != nil {
		panic(err)
	}
	return b
}

// TestCapturesOfAnEvening plays two services with an hour between them, after an idle
// hour: each has a file of its own with the quiet before it, the idle hours have none
// that stays, and judged again each says the very same.
func TestCapturesOfAnEvening(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Parallel()
	folder := t.TempDir()
	if err := spend(t, folder, []happening{
		{quiet: 70 * time.Minute},
		{play: "ratchet"}, {press: &rules.Press{Do: rules.Seen, Number: 1}}, {press: &rules.Press{Do: rules.Note, Text: "the piano was raised"}},
		{house: "limits: {ratchet: {whisper: 2.2 dB}}"}, {play: "squeezed-group"},
		{quiet: 80 * time.Minute},
		{play: "ratchet"}, {press: &rules.Press{Do: rules.NewSegment, Kind: desk.Speech, Text: "a reading"}}, {quiet: 3 * time.Minute}, {play: "lead-behind"},
		{off: 40 * time.Minute},
	}); err != nil {
		t.Fatal(err)
	}
	all := again(t, folder)
	if len(all) != 2 {
		t.Fatalf("%d services, want 2: %+v", len(all), all)
	}
	s, err := store.Open(filepath.Join(folder, "evening.record"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	used := map[string]bool{}
	for _, one := range all {
		o, err := s.Origins(one.ID)
		if err != nil || len(o) != 1 || !strings.HasPrefix(o[0].Capture, "caught/evening-") {
			t.Fatalf("service %d was judged from %+v, %v", one.ID, o, err)
		}
		if used[o[0].Capture] {
			t.Errorf("two services in %s", o[0].Capture)
		}
		used[o[0].Capture] = true
		if from := time.Duration(o[0].Spans[0].From); from <= 0 || from > idleFor {
			t.Errorf("service %d begins %v into its capture, want some of the quiet before, and no more than %v", one.ID, from, idleFor)
		}
	}
	files := captureFiles(t, folder)
	if len(files) < 3 || len(files) > 5 {
		t.Errorf("%d captures are left, want the services', the last one's and at most two that are not tidied yet: %q", len(files), files)
	}
}

// TestOtherLimits asks what would have been said by limits that are more patient, and
// by the same ones.
func TestOtherLimits(t *testing.T) {
	folder := t.TempDir()
	if err := spend(t, folder, []happening{{play: "ratchet"}, {press: &rules.Press{Do: rules.Seen, Number: 1}}}); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(folder, "evening.record")
	out, err := Rejudge{Record: path, Name: "other.yaml", Limits: []byte("limits: {ratchet: {whisper: 8 dB, nudge: 9 dB, again: 8 dB}}")}.Run(t.Context(), 1)
	var faults sheet.Faults
	if errors.As(err, &faults) {
		t.Fatal(faults)
	}
	if err != nil {
		t.Fatal(err)
	}
	if c := out.Compare(); c.OnlyThen != 1 || c.Both+c.OnlyOther != 0 || c.Rows[0].Then.Finding.Rule != "ratchet" {
		t.Errorf("%+v, want the ratchet then, and nothing with the others", c)
	}
	if len(out.Notes) > 0 {
		t.Errorf("what was pressed on what is not said now is noted: %q", out.Notes)
	}
	sooner, err := Rejudge{Record: path, Limits: []byte("limits: {ratchet: {whisper: 1.6 dB}}")}.Run(t.Context(), 1)
	if err != nil || !seen(sooner.Otherwise) || !seen(sooner.Then) {
		t.Errorf("%v: a card that was seen is not when it comes a little sooner", err)
	}
	again(t, folder)
	if _, err := (Rejudge{Record: path, Name: "other.yaml", Limits: []byte("limits: {ratchet: {whisper: 2}}")}).Run(t.Context(), 1); !errors.As(err, &faults) || !strings.Contains(err.Error(), "other.yaml:1:") {
		t.Errorf("a limit without its unit: %v", err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, err := (Rejudge{Record: path}).Run(ctx, 1); !errors.Is(err, context.Canceled) {
		t.Errorf("when nobody waits for it any more: %v", err)
	}
	if _, err := (Rejudge{Record: path}).Run(t.Context(), 9); !errors.Is(err, store.ErrNoService) {
		t.Errorf("a service that is not there: %v", err)
	}
	for _, file := range captureFiles(t, folder) { // as a power cut leaves it
		info, err := os.Stat(file)
		if err == nil {
			err = os.Truncate(file, info.Size()*2/3)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	torn, err := Rejudge{Record: path}.Run(t.Context(), 1)
	if err != nil || len(torn.Notes) != 1 || !strings.Contains(torn.Notes[0], "ends in the middle") {
		t.Errorf("a capture that was torn: %v, notes %q", err, torn.Notes)
	}
	if then, other := torn.Then[0].Entries, torn.Otherwise[0].Entries; len(other) == 0 || len(other) >= len(then) {
		t.Errorf("of a torn capture %d entries of %d", len(other), len(then))
	}
	for _, file := range captureFiles(t, folder) {
		if err := os.Remove(file); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := (Rejudge{Record: path}).Run(t.Context(), 1); !errors.Is(err, capture.ErrGone) {
		t.Errorf("a capture that was deleted: %v", err)
	}
}

// seen reports whether somebody took a card from the screen.
func seen(stretches []store.Stretch) bool {
	return slices.ContainsFunc(stretches, func(s store.Stretch) bool {
		return slices.ContainsFunc(s.Entries, func(e rules.Entry) bool {
			p, ok := e.(*rules.Pressed)
			return ok && p.Do == rules.Seen
		})
	})
}

// TestJudgedAgainTheSame: whatever an evening is made of, each of its services judged again
// by the limits of then says the very entries that the record has.
func TestJudgedAgainTheSame(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Parallel()
	one := rapid.Custom(func(t *rapid.T) happening {
		switch rapid.IntRange(0, 9).Draw(t, "what") {
		case 0, 1, 2:
			return happening{play: rapid.SampledFrom([]string{"ratchet", "ratchet-end-only", "scene-change", "band-louder", "muted-reader"}).Draw(t, "service")}
		case 3:
			return happening{quiet: time.Duration(rapid.SampledFrom([]int{1, 5, 20, 50}).Draw(t, "quiet")) * time.Minute}
		case 4:
			return happening{off: time.Duration(rapid.SampledFrom([]int{1, 5, 20, 50}).Draw(t, "off")) * time.Minute}
		case 5:
			return happening{house: rapid.SampledFrom([]string{"", "limits: {ratchet: {whisper: 2.2 dB}}", "limits: {calm: {every: 3m}}"}).Draw(t, "house")}
		}
		return happening{press: &rules.Press{
			Do: rapid.SampledFrom(rules.Presses).Draw(t, "do"), Number: rapid.IntRange(0, 3).Draw(t, "number"), On: rapid.Bool().Draw(t, "on"),
			Kind: rapid.SampledFrom(desk.SegmentKinds).Draw(t, "kind"), Text: rapid.SampledFrom([]string{"", "a song"}).Draw(t, "text"),
		}}
	})
	const enough = 15 // an evening takes half a second
	services := 0
	rapid.Check(t, func(rt *rapid.T) {
		if services >= enough {
			return
		}
		happenings := append([]happening{{play: "band-louder"}}, rapid.SliceOfN(one, 1, 10).Draw(rt, "evening")...)
		folder, err := os.MkdirTemp(t.TempDir(), "")
		if err != nil {
			rt.Fatal(err)
		}
		if err := spend(t, folder, happenings); err != nil {
			rt.Fatal(err)
		}
		services += len(again(t, folder))
		if t.Failed() {
			rt.Fatal("see above")
		}
	})
	if services == 0 {
		t.Error("no service in all these evenings")
	}
}

// TestHouseOfTheNextService: limits that change between two services are those of the second from its first
// packet on, and judged again it says the very same.
func TestHouseOfTheNextService(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	if err := spend(t, folder, []happening{{play: "band-louder"}, {off: 50 * time.Minute}, {house: "limits: {calm: {every: 3m}}"}, {play: "ratchet"}}); err != nil {
		t.Fatal(err)
	}
	if n := len(again(t, folder)); n != 2 {
		t.Errorf("%d services, want 2", n)
	}
}

// TestCapturesLive watches a real link with something in the captures' place: the page
// says so and the card comes all the same. Once that is gone nothing is missing, and the
// service judged again says what was said.
func TestCapturesLive(t *testing.T) {
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "caught"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	clock := fastClock()
	h := houseWith(t, folder, "limits: {quiet-desk: {after: 1h}}") // as patient
	h.Desk, h.Page = playDesk(t, clock, "ratchet").Addr().String(), "127.0.0.1:0"
	d := New(h, Options{Clock: clock, Record: filepath.Join(folder, "evening.record"), Version: "1.2.3"})
	d.storing, d.recording = store.Options{Every: 10 * time.Millisecond}, capture.RecorderOptions{Every: 10 * time.Millisecond, Retry: 10 * time.Millisecond}
	if err := d.Listen(); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- d.Run(ctx) }()
	page := openTablet(t, d.Page())
	troubled := func(s dashboard.Now) bool {
		return slices.ContainsFunc(s.Notices, func(n dashboard.Notice) bool { return n.Kind == "capture" })
	}
	page.until("the trouble and the card", func(s dashboard.Now) bool { return troubled(s) && s.Card != nil })
	if ok := metricsOf(t, d)["pawl_capture_ok"]; ok != 0 {
		t.Errorf("pawl_capture_ok is %v", ok)
	}
	if err := os.Remove(filepath.Join(folder, "caught")); err != nil {
		t.Fatal(err)
	}
	card := page.until("no trouble", func(s dashboard.Now) bool { return !troubled(s) && s.Card != nil }).Card
	page.press(rules.Press{Do: rules.Seen, Number: card.Number})
	page.until("the card to go", func(s dashboard.Now) bool { return s.Card == nil })
	if m := metricsOf(t, d); m["pawl_capture_packets_missing_total"] != 0 || m["pawl_capture_packets_total"] == 0 {
		t.Errorf("%v packets missing, %v captured", m["pawl_capture_packets_missing_total"], m["pawl_capture_packets_total"])
	}
	if err := d.record.Flush(); err != nil {
		t.Fatal(err)
	}
	compare := func(limits string) (int, string, otherwise.Comparison) {
		answer, err := http.Post(d.Page()+"api/review/services/1/otherwise", "application/yaml", strings.NewReader(limits))
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		body, err := io.ReadAll(answer.Body)
		if err != nil {
			t.Fatal(err)
		}
		var c otherwise.Comparison
		if answer.StatusCode == http.StatusOK {
			if err := json.Unmarshal(body, &c); err != nil {
				t.Fatalf("%v in %.400s", err, body)
			}
		}
		return answer.StatusCode, string(body), c
	}
	// How much was said by now is a matter of how far the link has come in the meantime.
	// Who holds the ratchet back for long enough has crept.
	if _, body, c := compare("limits: {quiet-desk: {after: 1h}, ratchet: {whisper: 8 dB, nudge: 9 dB, again: 8 dB, re-raise: 8 dB}, creep: {part: 20 dB, again: 19 dB}}"); c.Both != 0 || c.OnlyThen == 0 || c.OnlyOther != 0 {
		t.Errorf("by limits that are never reached: %.400s", body)
	}
	if _, body, c := compare("limits: {quiet-desk: {after: 1h}, ratchet: {whisper: 1.6 dB}}"); c.Both == 0 || c.OnlyThen != 0 || c.OnlyOther != 0 {
		t.Errorf("by a lower limit: %.400s", body)
	}
	if status, body, _ := compare("limits: {ratchet: {whisper: much}}"); status == http.StatusOK || !strings.Contains(body, "limits:1:29: limits.ratchet.whisper") {
		t.Errorf("by no limit: %d %.400s", status, body)
	}
	stop()
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
	if all := again(t, folder); len(all) != 1 || all[0].Shown == 0 {
		t.Errorf("services %+v, want one with a card", all)
	}
}
