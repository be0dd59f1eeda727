package listen

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/dashboard"
	"pawl/rules"
)

// visitor is somebody with the page of a first hour open.
type visitor struct {
	*testing.T
	at string
}

func (v visitor) first() (f dashboard.First) {
	v.Helper()
	answer, err := http.Get(v.at + "/api/first")
	if err != nil {
		v.Fatal(err)
	}
	defer answer.Body.Close()
	if err := json.NewDecoder(answer.Body).Decode(&f); err != nil {
		v.Fatal(err)
	}
	return f
}

// press gives why it was refused, "" if it was obeyed.
func (v visitor) press(p dashboard.FirstPress) string {
	v.Helper()
	body, err := json.Marshal(p)
	if err != nil {
		v.Fatal(err)
	}
	answer, err := http.Post(v.at+"/api/first", "application/json", bytes.NewReader(body))
	if err != nil {
		v.Fatal(err)
	}
	defer answer.Body.Close()
	var said struct{ Refused string }
	if err := json.NewDecoder(answer.Body).Decode(&said); err != nil {
		v.Fatal(err)
	}
	return said.Refused
}

// until asks until it is so; the page itself asks as often.
func (v visitor) until(what string, so func(dashboard.First) bool) dashboard.First {
	v.Helper()
	every := time.NewTicker(20 * time.Millisecond)
	defer every.Stop()
	for {
		select {
		case <-v.Context().Done():
			v.Fatalf("never: %s", what)
		case <-every.C:
			if f := v.first(); so(f) {
				return f
			}
		}
	}
}

// TestFirstHourOnAPage brings a practice desk from nothing to a checked house file by the
// page alone. Its hand moves faders by itself as its service goes; the questions are
// answered with none where nothing followed, and the strips come from the map that was given.
func TestFirstHourOnAPage(t *testing.T) {
	clock := link.Clock{Started: time.Now(), Speed: 20}
	d, err := practicetest.DialectNamed("harbour")
	if err != nil {
		t.Fatal(err)
	}
	asks := section(d.Map(), "link") + "\n\n" + section(d.Map(), "strips") + "\n"
	desk, err := practicetest.NewDesk(practice.Options{Clock: clock}, d, "")
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	l, err := New(Options{
		Desk: desk.Addr().String(), Map: written(t, "asks.yaml", []byte(asks)), Clock: clock, Out: io.Discard, Talk: io.Discard,
		Draft: filepath.Join(folder, "desk.map.yaml"), DraftHouse: filepath.Join(folder, "hall.yaml"),
	})
	if err != nil {
		t.Fatal(err)
	}
	type ended struct {
		house string
		err   error
	}
	over, opened := make(chan ended, 1), make(chan string, 1)
	go func() {
		h, err := l.Serve(t.Context(), PageOptions{Says: func(link.Problem) rules.Phrase { return rules.Say("link.starting") }, At: "127.0.0.1:0",
			Opened: func(address string) { opened <- address }})
		over <- ended{h, err}
	}()
	v := visitor{t, "http://" + <-opened}
	if why := v.press(dashboard.FirstPress{Do: "begin"}); !strings.Contains(why, "nothing has come") {
		t.Errorf("questions about nothing are refused with %q", why)
	}
	if why := v.press(dashboard.FirstPress{Do: "dance"}); !strings.Contains(why, "want begin") {
		t.Errorf("refused with %q", why)
	}
	runListenDesk(t, desk)
	v.until("something is heard", func(f dashboard.First) bool { return f.Messages > 100 })
	if why := v.press(dashboard.FirstPress{Do: "begin"}); why != "" {
		t.Fatal(why)
	}
	v.until("the first question", func(f dashboard.First) bool {
		return strings.Contains(f.Question, "nobody touches the desk") && strings.HasSuffix(f.Question, "press Done.") && f.Asks.Nothing && !f.Asks.None
	})
	v.press(dashboard.FirstPress{Do: "answer", Text: ""})
	f := v.until("it is answered", func(f dashboard.First) bool { return len(f.Said) > 0 })
	for f.Asks.Done == 0 { // three seconds of the desk's time are needed
		v.press(dashboard.FirstPress{Do: "answer"})
		f = v.until("the desk's time", func(f dashboard.First) bool { return len(f.Said) > 0 })
	}
	v.press(dashboard.FirstPress{Do: "answer", Text: "back"})
	v.until("back", func(f dashboard.First) bool { return f.Asks.Done == 0 && f.Stage == dashboard.FirstAsking })
	if why := v.press(dashboard.FirstPress{Do: "write"}); why == "" {
		t.Error("it was written before all was asked")
	}
	v.press(dashboard.FirstPress{Do: "answer", Text: "stop"})
	v.until("the list", func(f dashboard.First) bool { return f.Stage == dashboard.FirstNaming && len(f.Inputs) == 16 })
	v.press(dashboard.FirstPress{Do: "answer", Text: "back"})
	v.until("the questions again", func(f dashboard.First) bool { return f.Stage == dashboard.FirstAsking })
	v.press(dashboard.FirstPress{Do: "answer", Text: "stop"})
	f = v.until("the list", func(f dashboard.First) bool { return f.Stage == dashboard.FirstNaming })
	if f.Inputs[1].Name != "upright bass" || f.Inputs[1].Guess != "element: foundation" || f.House != filepath.Join(folder, "hall.yaml") {
		t.Errorf("the list has %+v, to go into %s", f.Inputs[1], f.House)
	}
	rows := []dashboard.FirstRow{{Number: 1, Name: "upright bass"}, {Number: 2, Name: "upright bass", Right: true}, {Number: 99, Name: "nobody", Right: true}, {Number: 3, Name: " ", Right: true}}
	if why := v.press(dashboard.FirstPress{Do: "write", Text: "Harbour: Hall", Inputs: rows}); why != "" {
		t.Fatal(why)
	}
	end := <-over
	if end.err != nil || end.house != filepath.Join(folder, "hall.yaml") {
		t.Fatalf("it ended with %+v", end)
	}
	h, faults := house.Load(end.house)
	if h == nil {
		t.Fatal(faults)
	}
	if h.Name != "Harbour: Hall" || h.Roster.Inputs[1].Name != "upright bass 2" || h.Roster.Inputs[1].Element.String() != "foundation" || h.Roster.Inputs[0].Element.String() != "none" {
		t.Errorf("the house is %q with %+v", h.Name, h.Roster.Inputs[:3])
	}
	if text, err := os.ReadFile(filepath.Join(folder, "desk.map.yaml")); err != nil || !strings.Contains(string(text), "send: /listen") {
		t.Errorf("the map is %v\n%s", err, text)
	}
}

// TestFirstHourEndsAtOnce with its context, and writes nothing.
func TestFirstHourEndsAtOnce(t *testing.T) {
	folder := t.TempDir()
	l, err := New(Options{Desk: "127.0.0.1:9", Out: io.Discard, Talk: io.Discard, Draft: filepath.Join(folder, "desk.map.yaml"), DraftHouse: filepath.Join(folder, "hall.yaml")})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if h, err := l.Serve(ctx, PageOptions{At: "127.0.0.1:0"}); h != "" || err != nil {
		t.Errorf("it ended with %q, %v", h, err)
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) > 0 {
		t.Errorf("it left %v, %v", left, err)
	}
}
