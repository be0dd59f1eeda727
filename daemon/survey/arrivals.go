package survey

import (
	"strings"

	"pawl/rules"
)

// A desk may say that a strip is muted by one message without arguments, and that it sounds by
// another: there is no value that changes, and what tells is that the message came.

// arrival is a message without arguments that came when a strip was muted, or unmuted.
type arrival struct {
	strip  strip
	act    act
	stream *stream
}

// mutedBy is what came when a strip was muted, nil if nothing did.
func mutedBy(all []arrival, s strip, a act) *stream {
	for _, o := range all {
		if o.strip == s && o.act == a {
			return o.stream
		}
	}
	return nil
}

// arrivedWithout counts the messages without arguments to each address.
func (s *Survey) arrivedWithout() map[*stream]uint64 {
	all := map[*stream]uint64{}
	for _, st := range s.order {
		if len(st.slots) == 0 && st.seen() {
			all[st] = st.count
		}
	}
	return all
}

// arrives sees whether one message without arguments came for a mute.
func (g *Guide) arrives(q question) (said []rules.Phrase, ok bool) {
	found := g.arrived(q)
	if found == nil {
		return nil, false
	}
	g.keep()
	g.arrivals = append(g.arrivals, arrival{q.strip, q.act, found})
	came := &slot{stream: found}
	return g.next([]rules.Phrase{put(rules.Say("guide.saw-move"), came.named())}), true
}

// arrived is the one message without arguments that came for a mute, where no other came that
// does not come by itself; nil if none did.
func (g *Guide) arrived(q question) (found *stream) {
	if q.act != mute && q.act != unmute || q.act == unmute && mutedBy(g.arrivals, q.strip, mute) == nil {
		return nil
	}
	for st, n := range g.survey.arrivedWithout() {
		switch {
		case n == g.came[st] || g.chatter[st]:
		case found != nil:
			return nil
		default:
			found = st
		}
	}
	for _, o := range g.arrivals {
		if found == o.stream { // the same for two things tells neither
			return nil
		}
	}
	return found
}

// muteArrives writes down a mute that is two messages without arguments, where they go to the
// fader's address but for its end.
func (d *drafter) muteArrives(s strip, f *family) bool {
	shut, open := mutedBy(d.arrivals, s, mute), mutedBy(d.arrivals, s, unmute)
	if !f.ok || shut == nil || open == nil || f.place.byArgument() || f.place.row || f.place.index > 0 || len(f.place.shape.parts) > 2 {
		return false
	}
	before := f.place.shape.parts[0]
	if f.place.index == 0 {
		before += f.place.at[0]
	} else {
		before = before[:strings.LastIndexByte(before, '/')]
	}
	var both []entry
	for _, one := range []struct {
		stream *stream
		value  string
	}{{shut, "bang: on"}, {open, "bang: off"}} {
		end, ok := strings.CutPrefix(one.stream.shown, before+"/")
		if !ok {
			return false
		}
		p := f.place
		sh := *p.shape
		p.shape, sh.parts = &sh, []string{before + "/" + end}
		if p.index == 0 {
			sh.parts = []string{f.place.shape.parts[0], "/" + end}
		}
		if !sh.writable() {
			return false
		}
		e := entry{is: s.String() + ".mute", hear: p.hear(s), value: one.value, unsure: p.doubt != ""}
		e.because("When %s was %s this came, without arguments.", s.first(), map[bool]string{true: "muted", false: "unmuted"}[one.stream == shut])
		e.because("%s", p.counting(s))
		e.because("%s", p.doubt)
		both = append(both, e)
	}
	for _, e := range both {
		d.add(e, nil)
	}
	return true
}
