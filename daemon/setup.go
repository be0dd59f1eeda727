package daemon

import (
	"sync"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/dashboard"
	"pawl/oscmap/sheet"
	"pawl/rules/desk"
)

// mostRows is how many kinds of message the setup page lists. More than a person
// reads is a desk of another sort, or a hostile sender.
const mostRows = 200

// setup is what the setup page shows, but for the faults of the files.
func (s *session) setup(status link.Status, at time.Duration) *dashboard.Setup {
	s.survey.Elapse(at)
	out := &dashboard.Setup{
		T: at.Seconds(), House: s.house.Name, Desk: s.house.Map.Desk(), Link: linkOf(s.house.Desk, status, s.engine, at),
		Messages: s.engine.messages, Unmapped: s.engine.hearer.Counts().Unmapped,
	}
	for _, n := range s.engine.malformed {
		out.Malformed += n
	}
	rows := s.survey.Rows()
	out.More = max(len(rows)-mostRows, 0)
	for _, r := range rows[:len(rows)-out.More] {
		example := r.Which
		if len(r.Heard) == 0 {
			example = r.Example // to be looked for in the desk's document, or put into the map
		}
		out.Arriving = append(out.Arriving, dashboard.Arriving{
			Shape: r.Address, Types: r.Types, Example: example, Range: r.Shown(),
			Count: r.Count, Rate: r.Rate, Age: r.Age, Heard: r.HeardAs(),
		})
	}
	for _, strip := range s.engine.judge.Strips() {
		v := s.stripOf(strip)
		switch strip.Mover.Strip {
		case desk.StripInput:
			out.Inputs = append(out.Inputs, v)
		case desk.StripDCA:
			out.DCAs = append(out.DCAs, v)
		case desk.StripGroup:
			out.Groups = append(out.Groups, v)
		default:
			out.Main = v
		}
	}
	return out
}

func (s *session) stripOf(strip desk.StripState) dashboard.Strip {
	v := dashboard.Strip{Number: strip.Mover.Index + 1, Name: strip.Name, Muted: strip.Muted}
	if strip.Mover.Strip == desk.StripMain {
		v.Number = 0
	}
	if strip.Element != desk.NoElement {
		v.Element = strip.Element.String()
	}
	if strip.Heard {
		v.Age = (s.engine.at - strip.HeardAt).Seconds()
	}
	if strip.FaderHeard {
		v.Fader = &strip.Fader
	}
	if strip.Metered {
		v.Level = &strip.Level
	}
	return v
}

// fileFaults reads the house file and its map again for the setup page, at most
// every two seconds however many pages ask.
type fileFaults struct {
	mu     sync.Mutex
	readAt time.Time
	faults []dashboard.Fault
}

func (f *fileFaults) of(file string) (faults []dashboard.Fault, readAt time.Time) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if now := time.Now(); now.Sub(f.readAt) >= 2*time.Second {
		_, found := house.Check(file)
		f.readAt, f.faults = now, faultsOf(found)
	}
	return f.faults, f.readAt
}

func faultsOf(found sheet.Faults) []dashboard.Fault {
	var out []dashboard.Fault
	for _, f := range found {
		out = append(out, dashboard.Fault{
			File: f.File, Line: f.Line, Col: f.Col, Path: f.Path, Text: f.Text, Hint: f.Hint, Advice: f.Advice,
		})
	}
	return out
}

// answerSetup gives the setup page the loop's newest picture, and the faults of the
// files as they now are on disk. A house that came inside the program has none.
func (d *Daemon) answerSetup() (dashboard.Setup, bool) {
	picture := d.setups.Load()
	if picture == nil {
		return dashboard.Setup{}, false
	}
	out := *picture
	if d.house.OnDisk() {
		var readAt time.Time
		out.Faults, readAt = d.files.of(d.house.File)
		out.FaultsAge = readAt.Format("15:04:05")
	}
	return out, true
}
