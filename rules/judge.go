package rules

import (
	"math"
	"time"

	"pawl/rules/desk"
)

// Judge listens to a service and says what it finds. Everything goes in at one
// door, in order of time: packets with Alive and Hear, presses with Press, time with
// Advance. Everything that is said comes out of Take, as entries in one order. The
// same in gives the same out, live or replayed. It is used from one goroutine.
type Judge struct {
	limits Limits
	mix    *desk.Mix
	rules  []*claims

	at           time.Duration
	played       time.Duration // how much music there was, until it last began or ended
	playing      bool          // there is some now
	playingSince time.Duration // since when, as the desk was watched
	beat         time.Duration // when the next beat falls
	beats        int
	link         attendance

	mark     wantedMark
	marked   desk.Mark
	unmarked *beforeMark // what the newest mark by hand ended; nil if that cannot be taken back
	segments segments
	stood    stood
	gains    gains
	coach    coach

	names       []string   // of the inputs in the roster, "" where nobody gave one
	check       *lineCheck // nil while none is on
	sound       soundCheck
	lastChecked *LineChecked

	past   past
	open   []candidate // what is open, as choose wants it
	screen Screen
	last   lastFindings

	number  int // of the newest finding
	stamped uint64
	entries []Entry
	levels  []Levels // if they are asked for
	asked   bool
	ended   []desk.Move
	fresh   []news
	seen    desk.View    // what the rules are looking at; here, so that no view is garbage
	balance desk.Balance // scratch
}

// Options are what a Judge is told besides roster and limits. The zero value is a
// desk that never counts as quiet.
type Options struct {
	Stale time.Duration // without a packet for so long the desk counts as quiet; 0 if the map does not say
	Order desk.Order    // the house's running order

	// Steady is true of a desk that tells levels: it never is quiet by itself while somebody
	// plays, so that it is known to be away though Stale may be 0.
	Steady bool

	// Levels asks for TakeLevels. Whoever asks has to take them: they are kept until then.
	Levels bool
}

// idle is how long after the last packet nothing is judged any more, until the next
// one. A capture may hold years between two packets, where a clock was set.
const idle = time.Hour

// endOfTime bounds what a capture may say the time is, so that no sum overflows.
const endOfTime = time.Duration(math.MaxInt64 / 2)

// NewJudge makes a judge of a desk that nothing has been heard of. An input of a
// DCA or group that is not in the roster is a fault of the caller's, and panics.
func NewJudge(r desk.Roster, l Limits, o Options) *Judge {
	j := &Judge{
		limits: l, asked: o.Levels, mix: desk.NewMix(r, l.Mix, l.Moves), beat: desk.Beat, link: attendance{}.follow(o),
		mark: wantedMark{next: desk.MusicBegan}, segments: newSegments(l.Segments, r, o.Order),
		stood: stood{}, past: past{saved: float64(l.Calm.Most), silenced: map[string]time.Duration{}}, last: lastFindings{},
	}
	for i, in := range r.Inputs {
		j.names = append(j.names, in.Name)
		if r.Unnamed[inputMover(i)] {
			j.names[i] = ""
		}
	}
	for i, r := range newRules(l) {
		j.rules = append(j.rules, newClaims(Kinds[i], r, l, &j.number))
	}
	return j
}

// newRules is one of each of Kinds.
func newRules(l Limits) (all []Rule) {
	for _, k := range Kinds {
		r := k.New(l)
		if h, ok := r.(interface{ heed(Rule) }); ok {
			for _, above := range all {
				h.heed(above)
			}
		}
		all = append(all, r)
	}
	return all
}

// Follow judges on by another house file, from now: a new judge that knows of the
// desk what this one knows, is in the same part of the service, counts its entries and
// findings on, and has neither mark nor card. This one must not be used any more.
func (j *Judge) Follow(house string, r desk.Roster, l Limits, o Options) *Judge {
	n := NewJudge(r, l, o)
	n.at, n.beat, n.beats, n.link = j.at, j.beat, j.beats, j.link.follow(o)
	n.number, n.stamped, n.entries, n.levels = j.number, j.stamped, j.entries, j.levels
	n.played, n.playing, n.playingSince = j.played, j.playing, j.playingSince
	n.segments = j.segments.follow(n.segments)
	n.lastChecked, n.sound = j.lastChecked, j.sound
	n.past.hold = j.past.hold
	n.coach = j.coach.follow(j.at)
	if j.check != nil {
		n.check = j.check.follow(l, n.names)
	}
	if j.at > 0 { // before a service has begun it is no news of it
		n.say(&Housed{House: house}, HouseEntry)
	}
	for _, r := range j.mix.Known() {
		n.mix.Hear(n.at, &r)
	}
	return n
}

// Alive takes that a packet came, whatever was in it.
func (j *Judge) Alive(at time.Duration) {
	j.Advance(at)
	j.hears()
}

// Away reports whether the desk counts as quiet: nothing has come from it for too long.
func (j *Judge) Away() bool { return j.link.gone }

// hears takes that the desk is heard at this moment.
func (j *Judge) hears() {
	if away, was := j.link.hear(j.at); was {
		j.say(&Linked{Heard: true, Away: Moment(away)}, LinkEntry)
	}
}

// Hear takes a reading. Its time must not be before the last one's; one that is
// counts as now. A reading for a strip that the roster lacks is ignored.
func (j *Judge) Hear(r desk.Reading) {
	if r.At > j.at {
		j.Advance(r.At)
	}
	j.hears()
	if r.Signal.Meter() {
		j.link.meter(j.at)
	}
	j.mix.Hear(j.at, &r)
	if r.Signal == desk.SceneNumber && j.segments.recall(r.Value, j.at, j.watched()) {
		j.parted(desk.Recalled, true)
	}
}

// Press takes a press at the time that it is. The error is for whoever pressed:
// what was refused has changed nothing and is no entry.
func (j *Judge) Press(p Press) error {
	if err := p.Check(); err != nil {
		return err
	}
	if (p.Do == Seen || p.Do == NotNow) && !j.screen.Shows(p.Number) {
		return ErrGone
	}
	if p.Do == BringBack && !j.past.canBringBack(j.at, p.Number) {
		return ErrLate
	}
	if p.Do == MarkBack && !j.canMarkBack() {
		return ErrNoMark
	}
	if err := j.segments.refuses(p, j.watched()); err != nil {
		return err
	}
	if err := j.check.refuses(p, len(j.names)); err != nil {
		return err
	}
	if err := j.coach.refuses(p, j.at); err != nil {
		return err
	}
	p = p.plain()
	if p.At > Moment(j.at) {
		p.At = 0 // of a clock that began before this one
	}
	j.say(&Pressed{Press: p}, PressEntry)
	switch p.Do {
	case Seen, NotNow, BringBack:
		j.pressFinding(p)
	case SetMark:
		j.markByHand()
	case MarkBack:
		j.markBack()
	case NewSegment:
		j.segments.tap(p, j.at, j.watched(), j.past.silenced)
		j.parted(desk.Tapped, true)
	case Back:
		j.segments.untap(j.past.silenced)
		j.parted(desk.TakenBack, false)
	case Hold:
		j.past.hold = p.On
	case Note, Question, Tell, TellSeen, TellBack:
		j.coach.press(p, j.at)
	case OrderAdd, OrderRemove, OrderMove, OrderRename, OrderKind, OrderReset:
		if j.segments.edit(p) {
			j.parted(j.segments.now.How, false)
		}
	case LineCheck, LineAsk, LineDone, LineLater:
		j.pressLine(p)
	}
	j.rechoose()
	return nil
}

// pressFinding takes a finding off the screen, or brings it back.
func (j *Judge) pressFinding(p Press) {
	switch p.Do {
	case Seen:
		j.past.takeOff(j.at, p.Number, 0)
	case NotNow:
		j.past.takeOff(j.at, p.Number, j.limits.Calm.NotNow)
	case BringBack:
		j.past.bringBack()
	}
	j.coach.seen(p, j.at)
}

// Next is the next time at which something may have to be said though nothing is
// heard: call Advance then.
func (j *Judge) Next() time.Duration {
	if at, ok := j.mix.Due(); ok && at < j.beat {
		return at
	}
	return j.beat
}

// Advance lets time pass to at: moves come to rest, beats fall, rules are asked.
// How often it is called between two readings makes no difference; but a reading
// from before at, heard afterwards, counts as of at.
func (j *Judge) Advance(at time.Duration) {
	at = min(at, endOfTime)
	for next := j.Next(); next <= at; next = j.Next() {
		j.at = max(next, j.at)
		beat := next == j.beat
		if beat && next-j.link.heard > idle {
			j.skip(at)
			continue
		}
		j.step(beat)
	}
	j.at = max(at, j.at)
}

// step is one moment of judging: a beat, a move that comes to rest, or both.
func (j *Judge) step(beat bool) {
	if beat {
		j.attend()
		j.beat += desk.Beat
		j.beats++
	}
	j.settle()
	if beat {
		j.listen()
	}
	if beat || len(j.ended) > 0 {
		j.look()
	}
	if !beat {
		return
	}
	if j.check != nil {
		j.checkLine()
	}
	j.keepMark()
	j.keepGains()
	j.keepSecond()
}

// attend finds out whether the desk is heard at a beat. While it is not, its meters show
// what they showed last, which nobody plays any more: that is no part of any mean.
func (j *Judge) attend() {
	v := j.mix.View()
	if j.link.beat(j.at, v.AnySounds()) {
		j.say(&Linked{}, LinkEntry)
	}
	if j.link.left(j.at, j.limits.QuietDesk.Until) {
		j.beginAnew()
	}
	if j.link.stands {
		return
	}
	j.mix.Fold()
	if j.playing != v.Music() {
		j.played, j.playing = j.playedBy(), !j.playing
		j.playingSince = j.watched()
	}
}

// beginAnew forgets what led to the mix that stands: after so long without the desk it is
// another service, or nobody knows any more. What was said is over, and what is played next is
// what to measure from.
func (j *Judge) beginAnew() {
	for i, r := range newRules(j.limits) {
		if _, tells := r.(*quietDesk); !tells { // that the desk is away, which goes on
			j.rules[i].rule = r // which claims nothing that its forerunner had
		}
	}
	j.wantMark(desk.MusicBegan)
	j.forgetMark()
}

// skip lets the beats up to at fall without judging anything.
func (j *Judge) skip(at time.Duration) {
	n := (at-j.beat)/desk.Beat + 1
	j.beat += n * desk.Beat
	j.beats += int(n)
}

// settle takes the moves that have come to rest, and says those that a hand made.
func (j *Judge) settle() {
	j.ended = j.mix.Settle(j.at, j.ended)
	for i := range j.ended {
		m := &j.ended[i]
		j.stood.counts(m, j.marked, j.limits.Moves.Count)
		switch m.Kind {
		case desk.GainSet:
			j.marked = j.marked.Regained(m.Mover.Index, m.Gain)
			if b := j.unmarked; b != nil {
				b.marked = b.marked.Regained(m.Mover.Index, m.Gain)
			}
			j.gains.regain(m.Mover.Index, m.Gain)
		case desk.Scene:
			j.wantMark(desk.SceneChanged)
		case desk.Reroute:
			j.wantMark(desk.Rerouted)
		default:
			j.say(&Moved{
				Who: j.who(m.Mover), Kind: m.Kind, Began: Moment(m.Start), Ended: Moment(m.End), From: m.From, To: m.To, By: m.Net(), First: m.First,
			}, MoveEntry)
		}
	}
}

// look shows every rule the desk as it is, chooses the screen, and says what is new.
func (j *Judge) look() {
	j.seen = j.view()
	j.fresh = j.fresh[:0]
	for _, c := range j.rules {
		j.fresh = c.look(&j.seen, j.fresh)
	}
	was := j.screen
	j.renew()
	for _, n := range j.fresh {
		if n.state == Eased {
			j.past.close(j.at, n.of.number, false)
		}
	}
	j.choose()
	for _, n := range j.fresh {
		shown := j.screen.Shows(n.of.number)
		if n.state == Eased {
			shown = was.Shows(n.of.number)
		}
		j.tell(n.of, n.state, shown)
	}
	j.tellScreen(was)
	for _, n := range j.fresh {
		if n.of.said.Accepted && n.state == Eased {
			j.accept()
		}
	}
}

// playedBy is how much music there has been by now.
func (j *Judge) playedBy() time.Duration {
	if !j.playing {
		return j.played
	}
	return j.played + j.watched() - j.playingSince
}

func (j *Judge) view() desk.View {
	v := j.mix.View()
	v.At, v.Moves, v.Watched, v.Played, v.Mark, v.Segment = j.at, j.ended, j.watched(), j.playedBy(), j.marked, j.segments.now
	if j.link.gone || j.link.steady && j.link.stale <= 0 {
		v.Quiet = j.at - j.link.heard
	}
	return v
}

// choose finds the screen anew.
func (j *Judge) choose() {
	j.open = j.open[:0]
	for _, c := range j.rules {
		for _, o := range c.open {
			j.open = append(j.open, candidate{o.number, o.rule, o.claim.About, o.weight, o.size, o.at, c.absent})
		}
	}
	if len(j.open) == 0 {
		j.screen = Screen{}
		return
	}
	j.screen = choose(j.at, j.open, &j.past, j.limits.Calm)
	j.past.note(j.at, j.open, j.screen, j.limits.Calm)
	j.coach.held(j.screen)
}

// rechoose chooses after a press: what it took from the screen is no news to whoever
// pressed, but what comes instead is.
func (j *Judge) rechoose() {
	was := j.screen
	j.choose()
	j.fresh = j.fresh[:0]
	j.tellScreen(was)
}

// tellScreen says what came to the screen or made room, unless that was just said.
func (j *Judge) tellScreen(was Screen) {
	for _, c := range j.rules {
		for _, o := range c.open {
			n := o.number
			if o.saidIn(j.fresh) || was.Shows(n) == j.screen.Shows(n) {
				continue
			}
			if j.screen.Shows(n) {
				j.tell(o, Shown, true)
			} else if s := j.past.find(n); s != nil && s.displaced {
				j.tell(o, Held, false)
			}
		}
	}
}

func (o *opened) saidIn(fresh []news) bool {
	for _, n := range fresh {
		if n.of == o {
			return true
		}
	}
	return false
}

// tell says a finding.
func (j *Judge) tell(o *opened, state State, shown bool) {
	f := &Finding{Number: o.number, Rule: o.rule, State: state, Weight: o.weight, Shown: shown, Said: o.said}
	if why, held := j.screen.Held[o.number]; held && state != Eased {
		p := why.phrase(j.limits.Calm)
		f.HeldBack = &p
	}
	f.name(j, o.claim.About)
	j.say(f, FindingEntry)
	j.last.keep(f)
	j.coach.told(f)
}

// name puts down whom a finding is about.
func (f *Finding) name(j *Judge, about []desk.Mover) {
	f.About, f.Inputs = nil, []string{}
	for _, m := range about {
		who := j.who(m)
		f.About, f.Inputs = append(f.About, who), append(f.Inputs, who.Name)
	}
}

// renew puts the words that were made anew in the place of those that stand, on the screen and
// in the coach's book. It is no entry, and no news to anybody: the card is the same.
func (j *Judge) renew() {
	for _, c := range j.rules {
		for _, o := range c.open {
			if !o.anew {
				continue
			}
			o.anew = false
			f := *j.last[o.number] // whoever took the entry keeps it as it was said
			f.Said, f.Renewed = o.said, o.renewed
			f.name(j, o.claim.About)
			j.last[o.number] = &f
			j.coach.renewed(&f)
		}
	}
}

// say stamps an entry and puts it with the others.
func (j *Judge) say(e Entry, kind EntryKind) {
	j.stamped++
	*e.Head() = Stamp{j.stamped, Moment(j.at), kind}
	j.entries = append(j.entries, e)
}

// Take gives everything that was said since the last call, in the memory of dst.
func (j *Judge) Take(dst []Entry) []Entry {
	dst = append(dst[:0], j.entries...)
	clear(j.entries)
	j.entries = j.entries[:0]
	return dst
}

// Strips is every strip as it was last heard.
func (j *Judge) Strips() []desk.StripState { return j.mix.Strips() }

func (j *Judge) who(m desk.Mover) desk.Who {
	v := j.mix.View()
	return v.Who(m)
}

// listen lets who plays say what part of the service this is.
func (j *Judge) listen() {
	v := j.view()
	if changed, began := j.segments.listen(&v); changed {
		j.parted(desk.Overheard, began)
	}
}

// parted says what part of the service this is from now. "Not now" is for a segment,
// and ends with it.
func (j *Judge) parted(how desk.Began, began bool) {
	if began {
		clear(j.stood)
		clear(j.past.silenced)
	}
	j.soundChecked(how)
	s := j.segments.now
	j.say(&Parted{Number: s.Number, Kind: s.Kind, Name: s.Name, Part: s.Part, How: how}, SegmentEntry)
}
