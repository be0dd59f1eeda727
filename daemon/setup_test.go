package daemon

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/dashboard"
)

type setupFault struct {
	Line int
	Text string
}

// setupPage is /api/setup as the page reads it, as far as these tests look.
type setupPage struct {
	House    string `json:"house"`
	Arriving []struct{ Shape, Heard string }
	Faults   []setupFault
	Inputs   []struct {
		Name  string
		Fader *struct{ DB *float64 }
		Level *struct{ DBFS *float64 }
	}
}

// untilSetup asks for the setup once for each frame of the watch page, to the
// first that is as wanted.
func (p *tablet) untilSetup(d *Daemon, what string, wanted func(setupPage) bool) (s setupPage) {
	p.t.Helper()
	p.until(what, func(dashboard.Now) bool {
		answer, err := http.Get(d.Page() + "api/setup")
		if err != nil {
			p.t.Fatal(err)
		}
		defer answer.Body.Close()
		s = setupPage{}
		return answer.StatusCode == http.StatusOK && json.NewDecoder(answer.Body).Decode(&s) == nil && wanted(s)
	})
	return s
}

// TestSetup shows a live desk to the installer: each input's fader and level by
// name, every kind of message with what hears it, and a fault that has just been
// written into the house file, though nobody has had it read again.
func TestSetup(t *testing.T) {
	clock := fastClock()
	dir := t.TempDir()
	file := filepath.Join(dir, "house.yaml")
	for name, text := range map[string]string{
		"house.yaml":            string(practice.House()),
		"harbour-hall.map.yaml": strings.Replace(string(practice.MapFile()), "/whole/quiet", "/whole/hushed", 1),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	h, faults := house.Load(file)
	if h == nil {
		t.Fatal(faults)
	}
	h.Desk = playDesk(t, clock, "ratchet").Addr().String()
	d := start(t, h, Options{Clock: clock})
	page := openTablet(t, d.Page())
	s := page.untilSetup(d, "the piano's fader and level", func(s setupPage) bool {
		return len(s.Inputs) == 16 && s.Inputs[2].Fader != nil && s.Inputs[2].Level != nil
	})
	if p := s.Inputs[2]; p.Name != "piano" || p.Fader.DB == nil || *p.Fader.DB > 0 || *p.Fader.DB < -20 {
		t.Errorf("input 3 is %+v, want the piano with an open fader", p)
	}
	heard := map[string]string{}
	for _, a := range s.Arriving {
		heard[a.Shape] = a.Heard
	}
	for shape, want := range map[string]string{"/in/*/throw": "input.fader", "/needles/in": "input.level", "/whole/quiet": ""} {
		if got, ok := heard[shape]; !ok || got != want {
			t.Errorf("%s is heard as %q (arrived: %v), want %q", shape, got, ok, want)
		}
	}
	// What makes this desk talk rests on somebody's word, which is repeated.
	if len(s.Faults) != 1 || !strings.HasPrefix(s.Faults[0].Text, "your word alone says") {
		t.Errorf("faults %v in good files, want one piece of advice, on the ask with arguments", s.Faults)
	}
	if err := os.WriteFile(file, append(practice.House(), "\npgae: {}\n"...), 0o644); err != nil {
		t.Fatal(err)
	}
	page.untilSetup(d, "the unknown key with its line", func(s setupPage) bool {
		return slices.ContainsFunc(s.Faults, func(f setupFault) bool { return f.Line > 0 && strings.Contains(f.Text, "pgae") })
	})
}
