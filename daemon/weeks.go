package daemon

import (
	"context"
	"errors"
	"fmt"
	"net/netip"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/desk"
)

// weeks are the demo's made-up services before today, recorded by the engine and the
// judge of every other service.
type weeks struct {
	house   *house.House
	version string
	record  *store.Recorder
	file    string    // of the record
	folder  string    // of the captures
	today   time.Time // the day before which they lie
}

// weeklyAt is when those services begin, as a time of day.
const weeklyAt = 18*time.Hour + 30*time.Minute

// run records them, the earliest first, and gives up when ctx ends or the record
// cannot be written.
func (w weeks) run(ctx context.Context) error {
	all := practice.Weeks()
	for i, week := range all {
		y, m, d := w.today.AddDate(0, 0, -7*(len(all)-i)).Date()
		zero := time.Date(y, m, d, 0, 0, 0, 0, w.today.Location()).Add(weeklyAt)
		if err := w.play(ctx, i, week, zero); err != nil {
			return err
		}
		if err := w.name(fmt.Sprintf("Demonstration, week %d", i+1), week.Mixing); err != nil {
			return err
		}
	}
	return nil
}

// fewMeters has the practice desk tell its meters five times a second instead of
// twenty: nothing else is said of these services, in half the work.
const fewMeters = 12

// atATime is how much of a service is handed to the record before its writing is waited
// for, so that eight services never stand in memory.
const atATime = 2 * time.Minute

// frameOfWeeks is how much of a capture is compressed at once.
const frameOfWeeks = 10 * time.Second

func (w weeks) play(ctx context.Context, number int, week practice.Week, zero time.Time) error {
	path := filepath.Join(w.folder, week.Script.Name+capture.Ending)
	caught, err := capture.Create(path, w.house.Map.Desk())
	if err != nil {
		return err
	}
	defer caught.Close()
	e := newRecording(w.house, true)
	run := runOf(w.house, zero, w.version)
	run.Capture = captureName(w.file, path)
	w.record.Begin(run)
	fingers := fingersOf(number, week)
	keep := func(at time.Duration, from netip.AddrPort, data []byte) error {
		return caught.Put(capture.Packet{At: zero.Add(at), From: from, Data: data})
	}
	var entries []rules.Entry
	var levels []rules.Levels
	tell := func() {
		entries, levels = e.judge.Take(entries), e.judge.TakeLevels(levels)
		fingers.see(entries)
		w.record.Put(entries, levels)
	}
	told, flushed, written := time.Duration(0), time.Duration(0), time.Duration(0)
	for at, packet := range practice.Play(week.Script, practice.Harbour(), practice.Playing{Seed: uint64(number + 1), MeterEvery: fewMeters}) {
		if err := keep(e.packet(at, packet), weeksDesk, packet); err != nil {
			return err
		}
		if at-told < time.Second {
			continue
		}
		if err := fingers.press(e, at, keep); err != nil {
			return err
		}
		tell()
		if told = at; at-flushed >= frameOfWeeks {
			flushed = at
			if err := caught.Flush(); err != nil {
				return err
			}
		}
		if at-written < atATime {
			continue
		}
		written = at
		if err := errors.Join(ctx.Err(), w.record.Flush()); err != nil {
			return err
		}
	}
	e.advance(week.Script.Length)
	tell()
	w.record.EndService(week.Script.Length)
	data, err := endPacket()
	return errors.Join(err, keep(week.Script.Length, capture.Ours(weeksDesk), data), w.record.Flush())
}

// weeksDesk is where the packets of these services would have come from.
var weeksDesk = netip.MustParseAddrPort("127.0.0.1:10700")

// name gives the newest service its name and who mixed it.
func (w weeks) name(name, mixing string) error {
	s, err := store.Open(w.file)
	if err != nil {
		return err
	}
	defer s.Close()
	all, err := s.Services()
	if err != nil {
		return err
	}
	if len(all) == 0 {
		return errors.New("a service that was played is not in the record")
	}
	return errors.Join(s.Rename(all[0].ID, name), s.Label(all[0].ID, mixing))
}

// fingers press what the people of a week press on the page.
type fingers struct {
	read    time.Duration // a card is taken from the screen after so long; 0 for never
	close   rules.Do      // by which button
	planned []plannedPress
	cards   []plannedPress
	noticed int // the newest card's number
}

type plannedPress struct {
	at    time.Duration
	press rules.Press
}

// weekNotes are lines that somebody keeps, towards the end of a piece.
var weekNotes = map[string]string{
	"reading-muted": "Reader's microphone was muted. Unmute it while the last verse is sung.",
	"push":          "Brass got thinner the more it was pushed.",
	"reel-back":     "Band down by its DCA in one go: better than one by one.",
	"behind":        "Could not follow the words of the second verse.",
}

// fingersOf is who reads cards in a week: nobody at first, then somebody who puts them
// off, and at last somebody who also says which part of the service it is.
func fingersOf(week int, w practice.Week) *fingers {
	f := &fingers{close: rules.Seen}
	switch {
	case week == 1:
		f.read, f.close = 40*time.Second, rules.NotNow
	case week > 1:
		f.read = time.Duration(60-6*week) * time.Second
	}
	for _, p := range w.Parts {
		if week >= 4 {
			kind := desk.Music
			if strings.HasPrefix(p.Piece, "reading") {
				kind = desk.Speech
			}
			name, _, _ := strings.Cut(p.Piece, "-")
			f.plan(p.At+time.Second, rules.Press{Do: rules.NewSegment, Kind: kind, Text: name})
		}
		if week >= 2 && p.Piece == "tune" {
			f.plan(p.At+35*time.Second, rules.Press{Do: rules.SetMark})
		}
		if note := weekNotes[p.Piece]; note != "" {
			f.plan(p.At+170*time.Second, rules.Press{Do: rules.Note, Text: note})
		}
	}
	return f
}

func (f *fingers) plan(at time.Duration, p rules.Press) {
	f.planned = append(f.planned, plannedPress{at, p})
}

// see takes note of the cards that have come to the screen.
func (f *fingers) see(entries []rules.Entry) {
	for _, e := range entries {
		one, ok := e.(*rules.Finding)
		if ok && f.read > 0 && one.Shown && one.Weight > rules.Whisper && one.Number > f.noticed {
			f.noticed = one.Number
			f.cards = append(f.cards, plannedPress{time.Duration(one.T) + f.read, rules.Press{Do: f.close, Number: one.Number}})
		}
	}
}

// press presses what is due, and keeps what was taken.
func (f *fingers) press(e *engine, now time.Duration, keep func(time.Duration, netip.AddrPort, []byte) error) (err error) {
	for _, due := range []*[]plannedPress{&f.planned, &f.cards} {
		*due = slices.DeleteFunc(*due, func(p plannedPress) bool {
			if p.at > now {
				return false
			}
			at, refused := e.press(now, p.press)
			if refused != nil {
				return true // a card that is gone by then, which is as well
			}
			data, e := pressPacket(p.press)
			err = errors.Join(err, e, keep(at, capture.Ours(weeksDesk), data))
			return true
		})
	}
	return err
}
