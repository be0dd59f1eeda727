package desk

import (
	"slices"
	"time"
)

// Mix is the desk as it was last heard: faders, mutes, memberships, meters, and the
// moves that it makes of them. Rules look at it through a View. It is made by
// NewMix and used from one goroutine.
type Mix struct {
	roster  Roster
	limits  MixLimits
	audible Ratio

	latest latest
	moves  *moves

	faders Faders  // as the hand left them, mutes apart
	muted  []bool  // in Faders order
	routes []route // never written through: another way makes another list

	inputs   []inputMeter
	groups   []groupMeter
	main     mainMeter
	room     meter
	mismatch residual
	scene    scene

	fed    []Power           // by group: what its inputs feed it in this beat
	refed  [meterSlots]Power // scratch of fedOver
	now    Balance
	moment Balance // scratch of View.Moment
	fit    fit     // scratch of View.Bleeds
	stale  bool    // more than one input's fader has changed since now was derived

	metered   int  // of how many inputs the desk tells a level
	accounted bool // those that are metered make up the main, as of the last beat
	beats     int
}

// inputMeter is what is heard of one input before the fader.
type inputMeter struct {
	meter
	peak    peaks
	squeeze squeezeMeter
	taken   [meterSlots]DB // by its own compressor, beat by beat as the meter's slots
	levels  spread         // of the beats in which it played, made when it is first heard

	gate   Power
	pre    bool // the desk meters it before the fader, and that is believed alone
	own    bool // of a level meter, and that is believed alone
	told   bool // the desk told something of its meters, though it be from behind a closed fader
	active bool // above its gate
	open   bool // audible, and on its way to the main

	sounding bool  // it is heard at this moment
	loud     Power // how loud it has been, see sounding

	recent    Power // over a few seconds, as of the last beat
	spills    spills
	spilled   bool // some of them is known
	overhears bool // it is above its gate, and with what it hears of others

	sounds  bool // in the mix and above its gate, as of the last beat
	changed int  // the beat since which that is so
}

// groupMeter keeps what is fed to a group and what its compressor does to that.
type groupMeter struct {
	squeezeMeter
	feed    feed
	in, out meter // the desk's own levels before and after the compressor
	beside  DB    // how far the model lies above the former
	beats   int   // by which that is known
	makeUp  DB
	active  bool
	metered bool // every input that plays into it is metered
}

type mainMeter struct {
	meter
	own     bool // of a level meter, and that is believed alone
	peak    peaks
	squeeze squeezeMeter
}

// NewMix is a desk of which nothing has been heard yet. An input that belongs to
// a DCA or group that the roster does not have is a fault of the caller's, and panics.
func NewMix(r Roster, l MixLimits, ml MoveLimits) *Mix {
	r = r.Clone() // the desk may name strips as it goes
	m := &Mix{
		roster: r, limits: l, audible: l.Audible.Ratio(), latest: newLatest(r), faders: newFaders(r),
		routes: make([]route, len(r.Inputs)), inputs: make([]inputMeter, len(r.Inputs)), groups: make([]groupMeter, len(r.Groups)),
		stale: true, fed: make([]Power, len(r.Groups)),
	}
	for k := range m.groups {
		m.groups[k].feed.learned = &learnedCurve{}
	}
	m.now = newBalance(r, m.routes)
	m.moves = newMoves(ml, &m.faders)
	m.muted = make([]bool, m.faders.Len())
	for i, in := range r.Inputs {
		m.routes[i] = route{
			membersOf(in.DCAs, len(r.DCAs), i, "DCA"), membersOf(in.Groups, len(r.Groups), i, "group"), in.Main,
		}
		gate := in.Gate
		if gate == 0 {
			gate = l.Gate
		}
		m.inputs[i].gate = gate.Power()
	}
	return m
}

// Hear takes one reading at its time. One for a strip that the roster does not have
// is ignored. What only the screens show is kept with the desk's last words.
func (m *Mix) Hear(at time.Duration, r *Reading) {
	switch r.Signal {
	case GroupThreshold, GroupRatio, GroupKnee:
		m.setting(at, r)
		return
	case InputCompThreshold, InputCompRatio, InputCompMakeUp:
		m.inputSetting(at, r)
		return
	}
	if !m.latest.take(at, r) {
		return
	}
	who := Mover{r.Signal.Of(), r.Index}
	switch r.Signal {
	case InputLevel:
		m.applyLevel(r)
	case InputFader, DCAFader, GroupFader, MainFader:
		m.applyFader(who, r.Gain())
		m.moves.fader(at, who, r.Gain())
	case InputMute, DCAMute, GroupMute, MainMute:
		m.applyMute(who, r.On())
		m.moves.mute(at, who, r.On())
	case InputSourceGain:
		m.moves.gain(at, r.Index, r.Gain())
	case InputPeak, InputReduction:
		m.applyInput(r)
	case GroupReduction, GroupLevelIn, GroupLevel, GroupMakeUp:
		m.applyGroup(r)
	case MainLevel, MainPeak, MainReduction, RoomLevel:
		m.applyMain(r)
	case InputDCA, InputGroup, InputMain:
		if m.applyRoute(r) {
			m.stale = true
			m.moves.rerouted(at, who)
		}
	case InputName, DCAName, GroupName:
		m.roster.Rename(who, r.Text)
	case SceneNumber, SceneName:
		if m.scene.take(r) {
			m.moves.recalled(at)
		}
	}
}

// setting takes one of a group's settings.
func (m *Mix) setting(at time.Duration, r *Reading) {
	var was curve
	if r.Index >= 0 && r.Index < len(m.groups) {
		was = m.curve(r.Index)
	}
	if m.latest.take(at, r) {
		m.setAnew(r.Index, &was)
	}
}

// setAnew takes a group's settings, if they are not what they were.
func (m *Mix) setAnew(k int, was *curve) {
	if is := m.curve(k); is.static && was.static && is.settings != was.settings {
		is.moved = 0 // the settings explain again what the meter shows, or it will tell
		m.groups[k].feed.reset(was, &is)
		m.stale = true
	}
}

func (m *Mix) applyInput(r *Reading) {
	in := &m.inputs[r.Index]
	if r.Signal == InputReduction {
		in.squeeze.hear(r.Gain())
		return
	}
	m.tells(in)
	if p, ok := m.beforeFader(r); ok {
		in.peak.hear(p)
		in.standIn(p / crest)
	}
}

// tells takes that the desk has a meter of an input.
func (m *Mix) tells(in *inputMeter) {
	if !in.told {
		in.told = true
		m.metered++
	}
}

func (m *Mix) applyGroup(r *Reading) {
	g := &m.groups[r.Index]
	switch r.Signal {
	case GroupReduction:
		g.squeezeMeter.hear(r.Gain())
	case GroupLevelIn:
		g.in.hear(r.Level().Power())
	case GroupLevel:
		g.out.hear(r.Level().Power())
	case GroupMakeUp:
		g.makeUp = r.Gain()
	}
}

func (m *Mix) applyMain(r *Reading) {
	switch r.Signal {
	case MainLevel:
		m.main.level(r.Level().Power())
	case MainPeak:
		m.main.peak.hear(r.Level().Power())
		if !m.main.own {
			m.main.hear(r.Level().Power() / crest)
		}
	case MainReduction:
		m.main.squeeze.hear(r.Gain())
	case RoomLevel:
		m.room.hear(r.Level().Power())
	}
}

// level takes the main's own level. What was made of peaks is forgotten.
func (m *mainMeter) level(p Power) {
	if !m.own {
		m.own, m.meter = true, meter{}
	}
	m.hear(p)
	m.peak.standIn(p)
}

func (m *Mix) applyFader(who Mover, db DB) {
	slot := m.faders.slot(who)
	if m.faders.at[slot] == db {
		return
	}
	m.faders.at[slot] = db
	if who.Strip != StripInput || m.stale {
		m.stale = true
		return
	}
	// One input's fader is what moves most of the time: only its gain is new.
	if !m.muted[slot] {
		m.now.faders.at[slot] = db
		m.now.gain[slot] = m.now.gainOf(slot, m.routes[slot])
		m.reopen(slot)
	}
}

func (m *Mix) applyMute(who Mover, on bool) {
	if mute := &m.muted[m.faders.slot(who)]; *mute != on {
		*mute, m.stale = on, true
	}
}

// applyRoute takes the desk's word on what an input belongs to, and reports
// whether it is news.
func (m *Mix) applyRoute(r *Reading) bool {
	in := m.routes[r.Index]
	list := &in.dcas
	if r.Signal == InputGroup {
		list = &in.groups
	}
	switch {
	case r.Signal == InputMain && in.main == r.On(), r.Signal != InputMain && list.has(r.To) == r.On():
		return false
	case r.Signal == InputMain:
		in.main = r.On()
	case r.On():
		*list = list.with(r.To)
	default:
		*list = list.without(r.To)
	}
	m.routes = slices.Clone(m.routes)
	m.routes[r.Index], m.now.routes = in, m.routes
	return true
}

// applyLevel takes a meter. One taken after the fader is forgotten where there is one
// before it too: a mixture of both would follow the hand.
func (m *Mix) applyLevel(r *Reading) {
	in := &m.inputs[r.Index]
	m.tells(in)
	if r.Post && in.pre {
		return
	}
	p, ok := m.beforeFader(r)
	if !ok {
		return
	}
	if !r.Post && !in.pre || !in.own {
		in.pre, in.own, in.meter = !r.Post, true, meter{} // what was made of the other is forgotten
	}
	in.hear(p)
	in.peak.standIn(p)
}

// crest is how far the peaks of music lie above its mean, by common practice: 12 dB. Where
// a desk shows peaks and no levels they stand in for levels, so far below: what is
// compared with a gate or with another input would else be far too loud, or not there.
var crest = Power(DB(12).Ratio())

// standIn takes a level that was made of a peak, until a level is heard.
func (in *inputMeter) standIn(p Power) {
	if !in.own {
		in.hear(p)
	}
}

// beforeFader is what a meter of an input says of the stage. One taken after the
// fader tells of it only while the fader is open enough to hear through.
func (m *Mix) beforeFader(r *Reading) (Power, bool) {
	p := r.Level().Power()
	if !r.Post {
		return p, true
	}
	m.refresh()
	g := m.now.gain[r.Index]
	return p / Power(max(g, m.audible)), g > m.audible
}

// refresh derives the gains again if anything has moved since.
func (m *Mix) refresh() {
	if !m.stale {
		return
	}
	m.stale = false
	m.now.faders.CopyFrom(&m.faders)
	for slot, muted := range m.muted {
		if muted {
			m.now.faders.at[slot] = Off
		}
	}
	m.answers(Beat)
	m.now.derive()
	for i := range m.inputs {
		m.reopen(i)
	}
}

// reopen works out whether anything of an input's signal could reach the main:
// one whose group is muted is out of the mix as surely as one that is muted itself.
func (m *Mix) reopen(i int) {
	m.inputs[i].open = m.now.gain[i] > m.audible && through(m.routes[i], m.now.group) > 0
}

// Fold closes a beat: every meter's slot, who is playing, and once a second how far
// the desk's own main meter is from the model.
func (m *Mix) Fold() {
	m.refresh()
	m.beats++
	for k := range m.groups {
		m.groups[k].active, m.groups[k].metered = false, true
	}
	clear(m.fed)
	for i := range m.inputs {
		m.foldInput(i)
	}
	m.overhears()
	for k := range m.groups {
		g := &m.groups[k]
		g.in.fold()
		g.out.fold()
		m.deriveSqueeze(k)
		g.squeezeMeter.fold(g.active)
		m.foldFeed(k)
		if m.beats%int(time.Second/Beat) == 0 {
			g.feed.learned.draw()
		}
	}
	m.main.meter.fold()
	m.main.peak.fold()
	m.main.squeeze.fold(m.music())
	m.room.fold()
	m.account()
	m.compareMain()
}

// foldFeed takes what a group was fed, and believes its meter over its curve.
func (m *Mix) foldFeed(k int) {
	g := &m.groups[k]
	c := m.curve(k)
	g.feed.add(m.fed[k], g.drive(m.fed[k]), g.reduction, &c)
	if since, moved := g.feed.hasMoved(&c); moved {
		g.feed.move(&c, since)
	}
}

// drive is the level that a group's compressor goes by in this beat: what the model feeds
// it, or what the desk meters there, if that is told, on the model's scale. A fader of which
// only the end is told feeds a group long before the model knows, and what the compressor
// does meanwhile would look like another compressor.
func (g *groupMeter) drive(fed Power) DBFS {
	model, own := fed.Level(), g.in.newest().Level()
	if !g.in.heard || min(model, own) <= quietGroup {
		return model
	}
	// Where a desk meters may lie some decibels beside; that is soon known and does not move.
	g.beats++
	step := max(1/DB(g.beats), 0.01)
	g.beside += min(max(DB(model-own)-g.beside, -step), step)
	return own + DBFS(g.beside)
}

func (m *Mix) foldInput(i int) {
	in := &m.inputs[i]
	in.taken[in.next] = in.squeeze.reduction
	in.fold()
	if in.heard && in.squeeze.heard {
		if _, told := m.inputSettings(i); !told {
			in.followOwn(DB(m.latest.of(InputCompMakeUp, i).value))
		}
	}
	in.peak.fold()
	in.recent = 0
	if in.heard {
		in.recent = in.mean(m.limits.ShowOver)
	}
	in.active = in.heard && in.recent > in.gate
	in.sounding = in.active && in.soundsNow()
	active := m.inputActive(i)
	if active != in.sounds {
		in.sounds, in.changed = active, m.beats
	}
	in.squeeze.fold(active)
	for _, k := range m.routes[i].groups {
		m.fed[k] += in.newest() * Power(m.now.gain[i])
		if active {
			m.groups[k].active = true
			m.groups[k].metered = m.groups[k].metered && in.heard
		}
	}
	if in.active {
		if in.levels.ring == nil {
			in.levels = newSpread(-120, 20, Passage, Minute)
		}
		in.levels.add(float64(in.recent.Level()))
	}
}

// compareMain holds the model against the desk's own main meter, once a second,
// while there is music: the noise of an idle desk is in no map, and how far a sum's
// peaks lie above it changes with who plays. Where some inputs have no meter a difference says
// nothing of the map.
func (m *Mix) compareMain() {
	if m.main.own && !m.anyUnmeteredOpen() && m.beats%int(time.Second/Beat) == 0 && m.music() {
		m.fill(m.limits.ShowOver)
		m.mismatch.add(m.main.mean(m.limits.ShowOver).Level(), m.now.Total())
	}
}

// balance writes the mix as it stands into b, levels and reduction as means over d.
func (m *Mix) balance(b *Balance, d time.Duration) {
	m.fill(d)
	b.CopyFrom(&m.now)
}

// fill brings m.now to the mix as it stands, with means over d.
func (m *Mix) fill(d time.Duration) {
	m.refresh()
	m.levels(m.now.stage, d)
	m.answers(d)
	m.now.deriveGroups()
	m.refeed(d)
}

// refeed asks the groups anew that are fed otherwise than they were over d, because some
// fader or mute has moved since: their answers are of what the stage played then, let in
// as it is now. To shift what they were fed as a whole would do where the same play; but
// who was let in a moment ago is in only the last of its beats.
func (m *Mix) refeed(d time.Duration) {
	again := false
	for k := range m.groups {
		g, a := &m.groups[k], &m.now.buses.answers[k]
		fed := m.now.fed[k]
		if c := m.curve(k); c.known && fed > 0 && (a.fed > fed*otherwise || fed > a.fed*otherwise) {
			m.now.buses.answers[k] = g.feed.refed(m.fedOver(k, min(max(int(d/Beat), 1), g.feed.full)), c)
			again = true
		}
	}
	if again {
		m.now.deriveGroups()
	}
}

// otherwise is half a dB.
const otherwise = 1.122

// fedOver is what a group would have been fed in each of the last n beats, the latest
// first, with gains as they are now.
func (m *Mix) fedOver(k, n int) []Power {
	clear(m.refed[:n])
	for i := range m.inputs {
		if in := &m.inputs[i]; m.routes[i].groups.has(k) && in.heard {
			for b := range min(n, in.full) {
				m.refed[b] += in.beat(b) * Power(m.now.gain[i])
			}
		}
	}
	return m.refed[:n]
}

// answers fills in what each group does to what is fed to it.
func (m *Mix) answers(d time.Duration) {
	for k := range m.groups {
		g := &m.groups[k]
		m.now.buses.makeUp[k] = g.makeUp.Ratio()
		m.now.buses.answers[k] = g.feed.answer(int(d/Beat), m.curve(k))
	}
}

// curve is how a group's compressor answers, by its settings where the desk tells them
// or else as it was seen to. It is not known where neither is, nor where what is fed to
// the group is not.
func (m *Mix) curve(k int) (c curve) {
	g := &m.groups[k]
	settings, told := m.settings(k)
	switch {
	case !g.metered || !g.heard:
	case told:
		c = curve{known: true, static: true, settings: settings}
	default:
		c.learned = g.feed.learned
		if !c.learned.known && g.feed.older != nil {
			c.learned = g.feed.older
		}
		c.known = c.learned.known
	}
	c.moved = g.feed.moved
	return c
}

// levels fills in the pre-fader power of every input. One without a meter is
// taken to be as loud as the mean of the metered ones that are playing, and with
// no meters at all every input is taken to be equally loud.
func (m *Mix) levels(stage []Power, d time.Duration) {
	var sum Power
	n := 0
	for i := range m.inputs {
		if in := &m.inputs[i]; in.heard {
			stage[i] = in.mean(d)
			if in.active {
				sum, n = sum+stage[i], n+1
			}
		}
	}
	supposed := unmetered
	if n > 0 {
		supposed = sum / Power(n)
	}
	for i := range m.inputs {
		if !m.inputs[i].heard {
			stage[i] = supposed
		}
	}
}

// unmetered is the level of every input of a desk without meters. Only that it
// is the same for all matters; -20 dBFS keeps totals looking like levels.
const unmetered = Power(0.01)

// driven reports whether a mover's fader moves an input's level.
func (m *Mix) driven(input int, by Mover) bool { return m.now.drives(by, input) }

func (m *Mix) inputActive(i int) bool {
	in := &m.inputs[i]
	return (in.active || !in.heard && !(m.accounted && m.unmetered(i))) && in.open
}
