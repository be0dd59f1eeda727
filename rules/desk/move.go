package desk

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// MoveKind says what a move was.
type MoveKind uint8

// The kinds of move. Only a Raise climbs.
const (
	Raise   MoveKind = iota + 1
	Lower            // downwards
	BringIn          // from closed or muted: a cue
	TakeOut          // to closed or muted
	Return           // back to where it was before a lowering
	Scene            // part of many movers jumping at once, or the desk's word that it recalled a scene
	Reroute          // not of a fader: the strip follows other DCAs or feeds other groups than it did
	GainSet          // not of a fader alone: its input's source gain and it were moved against each other
)

// String is the kind in words.
func (k MoveKind) String() string { return moveWords[k] }

var moveWords = []string{"", "raise", "lower", "bring-in", "take-out", "return", "scene", "reroute", "gain-set"}

// MarshalText writes the kind in words.
func (k MoveKind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText reads the kind in words.
func (k *MoveKind) UnmarshalText(b []byte) error {
	i, err := Word(moveWords, b)
	*k = MoveKind(i)
	return err
}

// Words lists the words of all kinds, for the schema of the frames.
func (MoveKind) Words() []string { return moveWords[1:] }

// Move is one continuous motion of one mover, from rest to rest.
type Move struct {
	Mover      Mover // none for a Scene that the desk announced
	Kind       MoveKind
	Start, End time.Duration // End is when it came to rest
	From, To   DB            // Off for closed or muted
	First      bool          // no hand's: the first that was heard of where it stands, or of its mute

	// Adds is, for a Raise or a Return, how much of it counts: as far as it goes above
	// where the mover stood at the mark or before its last lowering in this segment,
	// whichever is higher. Whoever knows the mark fills it in; before, it is all of it.
	Adds DB

	// Gain is, for a GainSet, by how much the source gain went up. As loud as the fader
	// was before, it is now that much lower; and what the input's moves since Start were,
	// the move that follows is instead, if they do not cancel out.
	Gain DB
}

// Net is how far the move went, upwards positive.
func (m Move) Net() DB { return m.To.Above(m.From) }

// moves finds the motions in streams of fader positions. Some desks send a fader
// as a stream of steps, some only where it ends, some repeat values without
// motion; all three give the same moves, because only changes of value count and
// a move ends by stillness.
type moves struct {
	limits MoveLimits
	faders *Faders // for the order of slots
	tracks []track // of the faders, then of the inputs' source gains
	gains  []pairing
	moving []int // slots in motion
	jumps  []jump
	scene  time.Duration // jumps until then belong to a change of scene
	done   []Move
}

// track is one mover's stream.
type track struct {
	heard bool
	value DB

	muteHeard, muted bool

	rest   DB            // where it last stood, following drift
	restAt time.Duration // when it began to leave that, or atRest

	moving bool
	scene  bool
	start  time.Duration
	up     bool          // which way it is going
	still  DB            // the value that it must leave to be in motion
	last   time.Duration // when it last did

	lowered Move // the last lowering
}

type jump struct {
	at    time.Duration
	slot  int
	opens bool // it is a mute that was taken off
}

// atRest is long before any service began.
const atRest = time.Duration(math.MinInt64 / 2)

// jitter is how far a worn fader's reading may wander while nobody touches it.
const jitter = DB(0.1)

func newMoves(l MoveLimits, f *Faders) *moves {
	return &moves{limits: l, faders: f, tracks: make([]track, f.Len()+f.inputs), gains: make([]pairing, f.inputs), scene: -1}
}

// fader takes where a mover stands now. The first value heard of a mover is a
// bring-in: it may have stood there for an hour, so nothing may be measured across it.
func (m *moves) fader(at time.Duration, who Mover, db DB) {
	slot := m.faders.slot(who)
	t := &m.tracks[slot]
	if !t.heard {
		*t = track{heard: true, value: db, rest: db, restAt: atRest}
		m.done = append(m.done, Move{Mover: who, Kind: BringIn, Start: at, End: at, From: Off, To: db, First: true})
		return
	}
	m.follow(at, slot, db)
}

// follow takes the next value of a track.
func (m *moves) follow(at time.Duration, slot int, db DB) {
	t := &m.tracks[slot]
	if db == t.value {
		return
	}
	if t.moving {
		t.follow(at, db, m.limits.Leave)
		return
	}
	if at-t.restAt > m.limits.LeaveIn {
		t.rest, t.restAt = t.value, at
	}
	step := db.Above(t.value)
	t.value = db
	if !db.Above(t.rest).Abs().Reaches(m.limits.Leave) {
		return
	}
	t.moving, t.start, t.scene = true, t.restAt, at <= m.scene
	t.up, t.still, t.last = db > t.rest, db, at
	m.moving = append(m.moving, slot)
	if slot < m.faders.Len() && step.Abs().Reaches(m.limits.Count) {
		m.jumped(jump{at: at, slot: slot})
	}
}

// follow takes the next value of a track in motion. Onwards any step beyond
// jitter is motion; back it must go as far as to leave a rest, or a worn fader
// that chatters about one value would never be still.
func (t *track) follow(at time.Duration, db, leave DB) {
	t.value = db
	onwards := db.Above(t.still)
	if !t.up {
		onwards = -onwards
	}
	switch {
	case onwards > jitter:
	case (-onwards).Reaches(leave):
		t.up = !t.up
	default:
		return
	}
	t.still, t.last = db, at
}

// mute takes whether a mover is muted now. A change is at once a move of its own
// kind. The first word of a mute is no jump: a desk that is asked for everything
// says many at once.
func (m *moves) mute(at time.Duration, who Mover, on bool) {
	slot := m.faders.slot(who)
	t := &m.tracks[slot]
	first, was := !t.muteHeard, t.muted
	t.muteHeard, t.muted = true, on
	if on == was {
		return
	}
	stands := m.faders.At(who)
	mv := Move{Mover: who, Kind: BringIn, Start: at, End: at, From: Off, To: stands, First: first}
	if on {
		mv.Kind, mv.From, mv.To = TakeOut, stands, Off
	}
	if at <= m.scene {
		mv.Kind = Scene
	}
	m.done = append(m.done, mv)
	if !first {
		m.jumped(jump{at, slot, !on})
	}
}

// rerouted takes a strip that feeds other groups or follows other DCAs than it
// did: the mix is another, and nothing may be measured across it.
func (m *moves) rerouted(at time.Duration, who Mover) {
	db := m.faders.At(who)
	m.done = append(m.done, Move{Mover: who, Kind: Reroute, Start: at, End: at, From: db, To: db})
}

// recalled takes the desk's own word that a scene was recalled: what jumps just
// before or after belongs to it.
func (m *moves) recalled(at time.Duration) {
	m.done = append(m.done, Move{Kind: Scene, Start: at, End: at})
	m.beginScene(at)
}

// jumped notes a mover that left its rest in one step, and sees whether enough
// of them did so together to be a change of scene: no hand moves so many at once. Those that
// are only opened are cues, however many one key opens: what was heard is as it was beside them,
// and a microphone in front of nobody is one more.
func (m *moves) jumped(by jump) {
	m.jumps = slices.DeleteFunc(m.jumps, func(j jump) bool { return j.slot == by.slot })
	m.jumps = append(m.jumps, by)
	m.forgetJumps(by.at)
	if len(m.jumps) >= m.limits.SceneCount && slices.ContainsFunc(m.jumps, func(j jump) bool { return !j.opens }) {
		m.beginScene(by.at)
	}
}

func (m *moves) forgetJumps(at time.Duration) {
	m.jumps = slices.DeleteFunc(m.jumps, func(j jump) bool { return at-j.at > m.limits.SceneIn })
}

func (m *moves) beginScene(at time.Duration) {
	m.scene = at + m.limits.SceneIn
	m.forgetJumps(at)
	m.sceneGains(at)
	for _, j := range m.jumps {
		m.tracks[j.slot].scene = true
	}
	for i := range m.done {
		if at-m.done[i].End <= m.limits.SceneIn {
			m.done[i].Kind = Scene
		}
	}
}

// Due is when the next move may be over, or false if nothing moves.
func (m *Mix) Due() (time.Duration, bool) { return m.moves.due() }

// Settle ends every move that has been still long enough, and gives all moves
// that have ended since the last call, in the memory of into: the earliest first, valid
// until the next call.
func (m *Mix) Settle(at time.Duration, into []Move) []Move { return m.moves.settle(at, into) }

// due is when the next move may be over, or false if nothing moves. A mute is
// over at once, but waits to be seen as part of a change of scene.
func (m *moves) due() (time.Duration, bool) {
	first := time.Duration(-1)
	if len(m.done) > 0 {
		first = m.done[0].End + m.limits.SceneIn
	}
	for _, slot := range m.moving {
		if at := m.tracks[slot].last + m.limits.Still; first < 0 || at < first {
			first = at
		}
	}
	return first, first >= 0
}

// settle ends every move that has been still long enough, and gives all moves
// that have ended since the last call, valid until the next.
func (m *moves) settle(at time.Duration, into []Move) []Move {
	into = into[:0]
	ripe := 0
	for ripe < len(m.done) && at-m.done[ripe].End >= m.limits.SceneIn {
		ripe++
	}
	into = append(into, m.done[:ripe]...)
	m.done = slices.Delete(m.done, 0, ripe)
	still := m.moving[:0]
	for _, slot := range m.moving {
		t := &m.tracks[slot]
		if at-t.last < m.limits.Still {
			still = append(still, slot)
			continue
		}
		if slot >= m.faders.Len() {
			into = m.endGain(slot-m.faders.Len(), t, into)
			continue
		}
		mv, counts := m.end(slot, t)
		into = m.pair(mv, counts, into)
	}
	m.moving = still
	slices.SortStableFunc(into, ByEnd)
	return into
}

// ByEnd orders moves by when they came to rest.
func ByEnd(a, b Move) int { return cmp.Compare(a.End, b.End) }

// end brings a track to rest, and says what the motion was and whether it counts.
func (m *moves) end(slot int, t *track) (Move, bool) {
	mv := Move{Mover: m.faders.mover(slot), Start: t.start, End: t.last, From: t.rest, To: t.value}
	t.moving, t.rest, t.restAt = false, t.value, atRest
	lowered := t.lowered
	switch net := mv.Net(); {
	case t.scene:
		mv.Kind = Scene
	case mv.To < m.limits.Closed && net < 0:
		mv.Kind = TakeOut
	case mv.From < m.limits.Closed && net > 0:
		mv.Kind = BringIn
	case net.Reaches(m.limits.Count) && m.returns(mv, lowered):
		mv.Kind = Return
	case net.Reaches(m.limits.Count):
		mv.Kind = Raise
	case (-net).Reaches(m.limits.Count):
		mv.Kind = Lower
		t.lowered = mv
	default:
		return mv, false
	}
	if mv.Kind == Raise || mv.Kind == Return {
		mv.Adds = mv.Net()
	}
	return mv, true
}

func (m *moves) returns(mv, lowered Move) bool {
	return lowered.Kind == Lower && mv.Start-lowered.End <= m.limits.ReturnIn &&
		m.limits.Return.Reaches(mv.To.Above(lowered.From).Abs())
}
