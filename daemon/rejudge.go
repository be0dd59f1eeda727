package daemon

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/house"
	"pawl/daemon/otherwise"
	"pawl/daemon/store"
	"pawl/oscmap/sheet"
	"pawl/rules"
)

// Rejudge judges a recorded service again from its captures, by the house file and map
// of then, or by other limits laid over those.
type Rejudge struct {
	// Record is the record's file. Nothing in it is changed.
	Record string

	// Limits is the text of a file of limits, as for `pawl replay --limits`; nil for
	// those of then. Name is what it is called in messages.
	Limits []byte
	Name   string
}

// Rejudged is a service judged again. The stretches are those of the record, without
// levels.
type Rejudged struct {
	Service   store.Service
	Then      []store.Stretch
	Otherwise []store.Stretch
	Notes     []string // about the captures
}

// Why a service cannot be judged again.
var (
	ErrNoCapture = rules.Refuse("refused.no-captures")
	errTooLong   = rules.Refuse("refused.capture-long")
)

// rounded is by how much an entry may have come after the time that the record has of it,
// and a little more.
const rounded = rules.Moment(600 * time.Microsecond)

// mostEntries is more than any service says: a second each for two days.
const mostEntries = 200_000

// Run judges a service. It ends early with ctx. A capture that is not there any more is
// capture.ErrGone; limits with faults are sheet.Faults.
func (r Rejudge) Run(ctx context.Context, service int64) (out Rejudged, err error) {
	s, err := store.OpenToRead(r.Record)
	if err != nil {
		return out, err
	}
	defer s.Close()
	if out.Service, err = s.Service(service); err != nil {
		return out, err
	}
	origins, err := s.Origins(service)
	if err != nil {
		return out, err
	}
	if out.Then, err = s.Read(service); err != nil {
		return out, err
	}
	if n := unreadOf(out.Then); n > 0 {
		out.Notes = append(out.Notes, fmt.Sprintf("%d of what was said then cannot be read, because the record is damaged", n))
	}
	spans := 0
	for _, o := range origins {
		for i := range o.Spans { // one that goes on is judged as far as the record has it
			if spans < len(out.Then) {
				o.Spans[i].Until = min(o.Spans[i].Until, out.Then[spans].Until+rounded)
			}
			spans++
		}
		stretches, notes, err := r.origin(ctx, o, out.Then[min(spans-len(o.Spans), len(out.Then)):min(spans, len(out.Then))])
		if err != nil {
			return out, err
		}
		out.Otherwise = append(out.Otherwise, stretches...)
		out.Notes = append(out.Notes, notes...)
	}
	// The two are of one record, read a moment apart: a part that came meanwhile is not in
	// both.
	n := min(len(out.Then), len(out.Otherwise))
	out.Then, out.Otherwise = out.Then[:n], out.Otherwise[:n]
	for i := range out.Then {
		out.Then[i].Levels = nil
		again, then := &out.Otherwise[i], out.Then[i]
		again.Run, again.From, again.Until = then.Run, then.From, then.Until
	}
	return out, nil
}

// unreadOf is how many entries of a service cannot be read.
func unreadOf(stretches []store.Stretch) (n int) {
	for _, s := range stretches {
		for _, u := range s.Unread {
			n += u.Entries()
		}
	}
	return n
}

// origin judges one capture, and gives the entries of each of its spans, as against those
// of then.
func (r Rejudge) origin(ctx context.Context, o store.Origin, then []store.Stretch) ([]store.Stretch, []string, error) {
	if o.Capture == "" {
		return nil, nil, ErrNoCapture
	}
	houses, err := r.houses(o.Houses)
	if err != nil {
		return nil, nil, err
	}
	file, err := capture.Open(capturePath(r.Record, o.Capture))
	if err != nil {
		return nil, nil, err
	}
	defer file.Close()
	out := make([]store.Stretch, len(o.Spans))
	kept := 0
	var about map[int]string
	if r.Limits != nil {
		about = ruled(then)
	}
	notes, err := judgeAgain(ctx, file, houses, about, o.Spans[len(o.Spans)-1].Until, func(e rules.Entry, house int) error {
		for i, span := range o.Spans {
			// The record tells times to a millisecond, and by that what belongs where.
			if t := rules.Moment(time.Duration(e.Head().T).Round(time.Millisecond)); house == span.House && t >= span.From && t < span.Until {
				out[i].Entries = append(out[i].Entries, e)
				kept++
			}
		}
		if kept > mostEntries {
			return errTooLong
		}
		return nil
	})
	return out, notes, err
}

// ruled are the rules of findings, by their numbers.
func ruled(stretches []store.Stretch) map[int]string {
	rule := map[int]string{}
	for _, s := range stretches {
		for _, e := range s.Entries {
			if f, ok := e.(*rules.Finding); ok {
				rule[f.Number] = f.Rule
			}
		}
	}
	return rule
}

// meantAbout gives a press on a finding as it would have been made by other limits, by which
// another has its number, or none: on what is on the screen of the same rule.
func (p *playing) meantAbout(rule map[int]string) func(rules.Press) (rules.Press, bool) {
	return func(press rules.Press) (rules.Press, bool) {
		if press.Do != rules.Seen && press.Do != rules.NotNow {
			return press, true
		}
		picture := p.engine.judge.Picture()
		for _, on := range []*rules.Finding{picture.Card, picture.Line} {
			if on != nil && on.Rule == rule[press.Number] {
				press.Number = on.Number
				return press, true
			}
		}
		return press, false
	}
}

// houses are the house files of a capture, with the other limits over their own.
func (r Rejudge) houses(texts []store.Texts) (all []*house.House, err error) {
	for _, t := range texts {
		h, faults := house.Of("the house file of then", t.House, t.Map)
		if h == nil {
			return nil, fmt.Errorf("the house file of then is none to this Pawl: %w", faults)
		}
		if r.Limits != nil {
			limits, faults := h.LimitsOver(r.Name, r.Limits)
			if faults.Wrong() {
				return nil, wrong(faults)
			}
			h.Limits = limits
		}
		all = append(all, h)
	}
	if len(all) == 0 {
		return nil, errors.New("the record does not have the house file of then")
	}
	return all, nil
}

// wrong leaves advice out.
func wrong(faults sheet.Faults) (out sheet.Faults) {
	for _, f := range faults {
		if !f.Advice {
			out = append(out, f)
		}
	}
	return out
}

// judgeAgain plays a capture of our own up to a moment of its clock, and says what comes
// of it by which of the houses. All of its packets are of the one desk, or ours. About are
// the rules of the findings that presses are on, if those may have other numbers now.
func judgeAgain(ctx context.Context, file io.Reader, houses []*house.House, about map[int]string, until rules.Moment, said func(e rules.Entry, house int) error) (notes []string, err error) {
	in, err := capture.NewReader(file)
	if err != nil {
		return nil, err
	}
	p := playing{engine: newEngine(houses[0]), houses: houses, sum: Summary{Findings: map[string]int{}}}
	p.said = func(e rules.Entry) error { return said(e, len(houses)-len(p.houses)) }
	if about != nil {
		p.meant = p.meantAbout(about)
	}
	for n := 0; in.Next(); n++ {
		packet := in.Packet()
		// A pause costs as much as many packets: every beat in it is judged.
		if paused := packet.At.Sub(p.last) > time.Second; (paused || n%256 == 0) && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if !p.first.IsZero() && rules.Moment(packet.At.Sub(p.first)) >= until {
			p.engine.advance(time.Duration(until))
			break
		}
		if err := p.take(packet, capture.IsOurs(*packet)); err != nil {
			return nil, err
		}
	}
	if err := p.tell(); err != nil {
		return nil, err
	}
	if counts := in.Counts(); counts.Packets > 0 {
		notes = counts.Notes()
	}
	return append(notes, p.notes...), in.Err()
}

// Compare lays what was said then beside what the other limits would have said.
func (r Rejudged) Compare() otherwise.Comparison {
	return otherwise.Compare(r.inService(r.Then), r.inService(r.Otherwise))
}

// inService puts entries on the clock of the service.
func (r Rejudged) inService(stretches []store.Stretch) (all []otherwise.Entry) {
	judge := 0
	for i := range stretches {
		s := &stretches[i]
		if i > 0 && !s.Run.Zero.Equal(stretches[i-1].Run.Zero) { // else the one before goes on
			judge++
		}
		for _, e := range s.Entries {
			all = append(all, otherwise.Entry{At: s.Wall(e.Head().T).Sub(r.Service.Began), Judge: judge, Entry: e})
		}
	}
	return all
}
