package dashboard

import (
	"math"
	"strings"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// A story is one moment of Harbour Hall that the page must show well.
type story struct {
	name    string
	now     Now
	entries []rules.Entry
	then    string // what to do in the browser before looking: "open", "more", "stop", "focus"
}

// move is one raise or lower of a story's script.
type move struct {
	at  float64
	who string
	by  desk.DB
}

const storyNow = 5400.0 // an hour and a half in, so that ten minutes fill the tide

// moment is so many seconds into a service.
func moment(seconds float64) rules.Moment { return rules.Moment(seconds * float64(time.Second)) }

// evening is when the stories happen, at a time of the day in UTC.
func evening(hour, minute, second int) float64 {
	return float64(time.Date(2026, time.March, 4, hour, minute, second, 0, time.UTC).Unix())
}

// clock is the minute that the page says it is, in a browser that lives by UTC.
func (st story) clock() string { return time.Unix(int64(st.now.At), 0).UTC().Format("15:04") }

// who is a mover by the name that the operator has for it.
func who(name string) desk.Who {
	if band, ok := strings.CutSuffix(name, " DCA"); ok {
		return desk.Who{Strip: desk.StripDCA, Name: band}
	}
	if name == "main" {
		return desk.Who{Strip: desk.StripMain, Name: name}
	}
	return desk.Who{Strip: desk.StripInput, Name: name}
}

func whos(names ...string) []desk.Who {
	out := []desk.Who{}
	for _, name := range names {
		out = append(out, who(name))
	}
	return out
}

// quoted says a text as it is, in every language.
func quoted(text string) rules.Phrase { return rules.Say("link.trouble").Quoting("why", text) }

func quotedAll(texts ...string) []rules.Phrase {
	out := []rules.Phrase{}
	for _, text := range texts {
		out = append(out, quoted(text))
	}
	return out
}

var ratchetMoves = []move{
	{250, "band DCA", 2}, {310, "band DCA", -2},
	{430, "piano", 2}, {446, "accordion", 1.5}, {462, "fiddle", 2}, {478, "organ pad", 1.5},
	{495, "piano", 2.5}, {511, "accordion", 1}, {530, "fiddle", 1.5},
}

func stories() []story {
	return []story{
		waitingStory(), notUnderstoodStory(), firstSecondsStory(), calmStory(), whisperStory(), whisperOpenStory(),
		ratchetStory("ratchet", ""), ratchetStory("ratchet-open", "open"), nowStory(), easedStory(),
		quietStory(), goneStory(), ratchetStory("stopped", "stop"), faultsStory(), fadersStory(), longStory(),
		manyStory(), negativeStory(), apartStory(), notchedStory(), lowStory(), bigStory(), focusStory(),
		grewStory(), speechStory(), eightStory(), holdStory(), toldStory(),
	}
}

// split is a change with its causes, in the order in which they are told.
func split(faders, stage, groups, main desk.DB) desk.Split {
	return desk.Split{Faders: faders, Stage: stage, Groups: groups, Main: main}
}

func splitFigures(s desk.Split, more ...rules.Figure) rules.Phrase {
	return rules.Say("", append([]rules.Figure{rules.DB("faders", s.Faders), rules.DB("stage", s.Stage), rules.DB("groups", s.Groups), rules.DB("main", s.Main)}, more...)...)
}

// ready is the moment that most stories share: meters, three groups, five parts.
func ready(s desk.Split) Now {
	causes := splitFigures(s)
	causes.ID = "glance.causes"
	lead, rest := glance(s)
	return Now{
		Picture: rules.Picture{
			T: moment(storyNow), Segment: rules.SegmentPicture{Number: 3, Since: moment(storyNow - 250), Kind: desk.Music, Name: "Song 3", Part: 3, How: desk.Tapped, Next: "Reading"}, Basis: desk.OnMeters, Explained: true, Playing: 11,
			Total: -18 + desk.DBFS(s.Total()), Rise: s.Total(), Split: s,
			Mark: rules.MarkPicture{Set: true, T: moment(storyNow - 900), Total: -18, How: desk.ByHand},
			Lead: lead, Rest: rest, Causes: causes, Plenty: 3,
			Groups: []rules.GroupPicture{
				squeezed(0, "band", 2.1, 1.2, 3.4), squeezed(1, "voices", 1.6, 0.4, 2.8), squeezed(2, "brass", 0.2, 0, 0.9),
			},
			Parts: []rules.Part{
				played(desk.Foundation, "upright bass"), played(desk.Pad, "organ pad"), played(desk.Rhythm, "piano"),
				played(desk.Lead, "lead voice"), {Element: desk.Fill},
			},
		},
		At: evening(19, 32, 5), House: "Harbour Hall",
		Link: Link{Phase: Hearing, Age: 0.1, Desk: "10.0.0.20:9400", Packets: 812345, Says: rules.Say("link.heard", rules.Figure{Name: "age", Value: 0.1, Unit: rules.Seconds})},
	}
}

// glance is what the judge calls a change of the faders and the stage.
func glance(s desk.Split) (lead, rest rules.Phrase) {
	rise := s.Total()
	if rise.Abs() < 1 {
		return rules.Say("glance.as-hand"), rules.Phrase{}
	}
	id := map[bool]string{true: "louder", false: "quieter"}[rise > 0]
	if rise.Abs() < 3 {
		id = "little-" + id
	}
	by := "mostly-faders"
	if s.Faders/rise < 0.6 {
		by = "several"
	}
	return rules.Say("glance." + id), rules.Say("glance." + by)
}

func played(e desk.Element, name string) rules.Part {
	lead := who(name)
	return rules.Part{Element: e, Present: true, Lead: &lead}
}

func squeezed(index int, name string, median, low, high desk.DB) rules.GroupPicture {
	g := unheardGroup(index, name)
	g.Known, g.Source, g.Median, g.Low, g.High = true, "reported", median, low, high
	return g
}

// unheardGroup plays, and nobody says what its compressor does.
func unheardGroup(index int, name string) rules.GroupPicture {
	return rules.GroupPicture{Who: desk.Who{Strip: desk.StripGroup, Index: index, Name: name}, Active: true}
}

// told gives entries their heads, in their order.
func told(entries []rules.Entry) []rules.Entry {
	for i, e := range entries {
		e.Head().N = uint64(i + 1)
	}
	return entries
}

// aSecond is where the mix stood at a second.
func aSecond(t float64, s desk.Split) *rules.Second {
	return &rules.Second{Stamp: rules.Stamp{T: moment(t), Entry: rules.SecondEntry}, Playing: 11, Total: -18 + desk.DBFS(s.Total()), Rise: s.Total(), Split: s}
}

// moved is a move that ended at t.
func moved(t float64, name string, by desk.DB) *rules.Moved {
	kind := desk.Raise
	if by < 0 {
		kind = desk.Lower
	}
	return &rules.Moved{Stamp: rules.Stamp{T: moment(t), Entry: rules.MoveEntry}, Who: who(name), Kind: kind, Began: moment(t - 2), Ended: moment(t), From: -10, To: -10 + by, By: by}
}

// script plays moves over ten minutes of music that breathes a little.
func script(moves []move, stage func(s float64) desk.DB) []rules.Entry {
	var out []rules.Entry
	var faders desk.DB
	for s := range 600 {
		at := float64(s)
		for _, m := range moves {
			if m.at == at {
				faders += m.by * 0.45 // one mover is about half of what is heard
				out = append(out, moved(storyNow-600+at, m.who, m.by))
			}
		}
		sources := stage(at) + desk.DB(0.22*math.Sin(at/9.1)+0.12*math.Sin(at/3.7+1)+0.2*math.Sin(at/41)*math.Sin(at/5.3))
		out = append(out, aSecond(storyNow-600+at, split(faders, sources, 0, 0)))
	}
	return told(out)
}

// seconds are those of entries, to be changed in place, with how many seconds in.
func seconds(entries []rules.Entry, change func(i int, s *rules.Second)) {
	i := 0
	for _, e := range entries {
		if s, ok := e.(*rules.Second); ok {
			change(i, s)
			i++
		}
	}
}

func steady(float64) desk.DB { return 0.3 }

func calmStory() story {
	return story{name: "calm", now: ready(split(0.5, 0.2, 0, 0)),
		entries: script([]move{{120, "lead voice", 1}, {300, "band DCA", 2}, {372, "band DCA", -2}}, steady)}
}

// finding is one that was said so many seconds ago.
func finding(number int, rule string, weight rules.Weight, ago float64, said rules.Said) *rules.Finding {
	return &rules.Finding{
		Stamp:  rules.Stamp{N: uint64(1000 + number), T: moment(storyNow - ago), Entry: rules.FindingEntry},
		Number: number, Rule: rule, State: rules.Open, Weight: weight, Shown: true, Said: said,
	}
}

// again is a finding said anew, with other words.
func again(f *rules.Finding, change func(*rules.Finding)) *rules.Finding {
	next := *f
	next.N++
	change(&next)
	return &next
}

func whisperStory() story {
	st := calmStory()
	st.name = "whisper"
	change := splitFigures(split(1.6, -0.2, 0, 0), rules.DB("total", 1.4), rules.Time("since", 70*time.Second))
	change.ID = "ratchet.split"
	st.now.Line = finding(2, "ratchet", rules.Whisper, 8, rules.Said{
		What: []rules.Phrase{
			rules.Say("ratchet.raised", rules.DB("least", 1.5), rules.DB("most", 1.5), rules.Time("over", 48*time.Second)).Naming("who", whos("piano", "accordion")...),
			change,
			rules.Say("ratchet.same", rules.DB("by", 1.4)),
			rules.Say("ratchet.stands", rules.DB("raised", 1.5), rules.DB("clearer", 0), rules.DB("volume", 1.4)).Naming("who", who("piano")),
		},
		Try:  rules.Say("ratchet.try", rules.DB("by", 1.5)).Naming("who", whos("piano", "accordion")...),
		Then: rules.Say("ratchet.then", rules.DB("lower", 1.4), rules.DB("above", 0)).Naming("who", whos("piano", "accordion")...).Naming("alongside", whos()...),
	})
	return st
}

func whisperOpenStory() story {
	st := whisperStory()
	st.name, st.then = "whisper-open", "more"
	return st
}

func ratchetCard() *rules.Finding {
	var facts []rules.Fact
	for _, m := range ratchetMoves[2:] {
		p := rules.Say("move.raise", rules.DB("by", m.by), rules.DB("from", -10), rules.DB("to", -10+m.by)).Naming("who", who(m.who))
		facts = append(facts, rules.Fact{T: moment(storyNow - 600 + m.at), Phrase: p})
	}
	totals := splitFigures(split(5.4, 0.4, 0, 0), rules.Level("then", -18), rules.Level("now", -12.2))
	totals.ID = "ratchet.totals"
	why := rules.Say("ratchet.why", rules.Number("movers", 4), rules.DB("up", 1), rules.DB("raised", 12), rules.DB("lowered", 0), rules.DB("part", 5.4), rules.DB("limit", 3))
	back := rules.Say("ratchet.back", rules.DB("by", 4), rules.DB("to", -4)).Naming("who", who("band DCA"))
	for _, p := range []rules.Phrase{totals, why, back, rules.Say("ratchet.back-total", rules.DB("part", 1.4), rules.DB("lower", 4))} {
		facts = append(facts, rules.Fact{T: moment(storyNow - 64), Phrase: p})
	}
	change := splitFigures(split(5.4, 0.4, 0, 0), rules.DB("total", 5.8), rules.Time("since", 106*time.Second))
	change.ID = "ratchet.split"
	return finding(3, "ratchet", rules.Nudge, 64, rules.Said{
		What: []rules.Phrase{
			rules.Say("ratchet.raised", rules.DB("least", 1.5), rules.DB("most", 4.5), rules.Time("over", 100*time.Second)).
				Naming("who", whos("piano", "accordion", "fiddle", "organ pad")...),
			change,
			rules.Say("ratchet.same", rules.DB("by", 4.3)),
		},
		Try:   rules.Say("ratchet.try", rules.DB("by", 4)).Naming("who", who("band DCA")),
		Then:  rules.Say("ratchet.then", rules.DB("lower", 4), rules.DB("above", 1.8)).Naming("who", who("band DCA")).Naming("alongside", whos()...),
		Facts: facts,
	})
}

func ratchetStory(name, then string) story {
	now := ready(split(5.4, 0.4, 0, 0))
	now.Card = ratchetCard()
	now.Groups[0] = squeezed(0, "band", 5.2, 2.9, 6.6)
	return story{name: name, now: now, entries: script(ratchetMoves, steady), then: then}
}

// grewStory is of a card that climbs on.
func grewStory() story {
	st := ratchetStory("grew", "")
	st.now.Card = again(st.now.Card, func(f *rules.Finding) { f.State = rules.Grew })
	return st
}

// speechStory is between two songs, with somebody speaking and nobody playing.
func speechStory() story {
	st := calmStory()
	st.name = "speech"
	st.now.Segment = rules.SegmentPicture{Number: 4, Since: moment(storyNow - 70), Kind: desk.Speech, Name: "Reading", Part: 4, How: desk.Tapped, Next: "Song 4"}
	st.now.Playing = 1
	for i := range st.now.Groups {
		st.now.Groups[i].Active = false
	}
	for i := range st.now.Parts {
		st.now.Parts[i].Present = i == 3
	}
	return st
}

// eightStory is of a small desk: eight inputs, no group, three elements.
func eightStory() story {
	st := calmStory()
	st.name = "eight"
	st.now.Groups, st.now.Playing = nil, 5
	st.now.Parts = []rules.Part{played(desk.Foundation, "bass"), {Element: desk.Pad}, played(desk.Rhythm, "guitar"), played(desk.Lead, "voice 1"), {Element: desk.Fill}}
	st.entries = script([]move{{240, "voice 1", 1.5}, {420, "guitar", -1}}, steady)
	return st
}

// holdStory is of a coach who holds what can wait, and toldStory of one who has sent a line.
func holdStory() story {
	st := calmStory()
	st.name, st.now.Hold = "hold", true
	return st
}

func toldStory() story {
	st := calmStory()
	st.name, st.now.Told = "told", &rules.CoachLine{Number: 4, State: rules.ToldOn, Text: "Bring the choir up a little in the last verse, and leave it there."}
	return st
}

func focusStory() story { return ratchetStory("focus", "focus") }

func easedStory() story {
	now := ready(split(0.9, 0.2, 0, 0))
	now.Line = again(ratchetCard(), func(f *rules.Finding) {
		f.State, f.Try, f.Then = rules.Eased, rules.Phrase{}, rules.Phrase{}
		f.What = []rules.Phrase{rules.Say("ratchet.eased", rules.DB("faders", 0.9))}
	})
	return story{name: "eased", now: now,
		entries: script(append(ratchetMoves[:len(ratchetMoves):len(ratchetMoves)], move{570, "band DCA", -10}), steady)}
}

func nowStory() story {
	st := calmStory()
	st.name = "now"
	st.now.Card = finding(9, "muted voice", rules.Now, 2, rules.Said{
		What:  quotedAll("Somebody is speaking into the reader's mic, and it is muted."),
		Try:   quoted("Unmute the reader's mic."),
		Facts: []rules.Fact{{T: moment(storyNow - 2), Phrase: quoted("reader's mic at −24.0 dBFS before its fader, for 1.5 s")}},
	})
	return st
}

// early is a few seconds after the start, with nothing heard that could be shown.
func early(l Link) Now {
	return Now{Picture: rules.Picture{T: moment(12), Explained: true, Lead: rules.Say("glance.closed")}, At: evening(19, 2, 12), House: "Harbour Hall", Link: l}
}

func waitingStory() story {
	return story{name: "waiting", now: early(Link{Phase: Waiting, Desk: "10.0.0.20:9400", Says: rules.Say("link.waiting").Quoting("desk", "10.0.0.20:9400")})}
}

func notUnderstoodStory() story {
	return story{name: "not-understood", now: early(Link{
		Phase: NotUnderstood, Desk: "10.0.0.20:9400", Packets: 18412, Age: 0.05, Example: "/berth/07/height",
		Says: rules.Say("link.not-understood").Quoting("example", "/berth/07/height"),
	})}
}

func firstSecondsStory() story {
	st := story{name: "first-seconds", now: ready(desk.Split{})}
	st.now.Basis, st.now.Mark = desk.NoBasis, rules.MarkPicture{}
	st.now.Lead, st.now.Rest = rules.Say("glance.listening"), rules.Phrase{}
	st.now.Causes = rules.Phrase{}
	return st
}

func quietStory() story {
	st := ratchetStory("quiet", "")
	st.now.Card = nil
	st.now.Link.Phase, st.now.Link.Age = Quiet, 27
	return st
}

func faultsStory() story {
	st := calmStory()
	st.name = "faults"
	st.now.Notices = []Notice{{Kind: "house", Says: rules.Say("notice.house").Quoting("why",
		"houses/harbour.yaml:14:12: inputs[3].element: unknown element \"rythm\"; want foundation, pad, rhythm, lead or fill\n"+
			"    did you mean \"rhythm\"?\n"+
			"houses/harbour.yaml:31:9: limits.ratchet.limit: 3; want a number with its unit\n    write 3 dB")}}
	return st
}

func fadersStory() story {
	st := ratchetStory("faders-only", "")
	s := split(5.4, 0, 0, 0)
	now := ready(s)
	st.now.Basis, st.now.Rise, st.now.Split, st.now.Lead, st.now.Rest = desk.OnFaders, s.Total(), s, now.Lead, now.Rest
	st.now.Causes = now.Causes
	st.now.Groups = []rules.GroupPicture{unheardGroup(0, "band"), unheardGroup(1, "voices"), unheardGroup(2, "brass")}
	seconds(st.entries, func(_ int, s *rules.Second) { s.Split.Stage, s.Rise = 0, s.Split.Faders })
	return st
}

func longStory() story {
	st := ratchetStory("long-names", "")
	const name = "Upright piano on the far side of the gallery, left microphone"
	for _, e := range st.entries {
		if m, ok := e.(*rules.Moved); ok {
			m.Who = who(name)
		}
	}
	st.now.House = "Harbour Hall, the great room above the boat sheds, with both galleries open"
	st.now.Groups[0].Who.Name, st.now.Groups[1].Who.Name = "Accompanying instruments", "Unbrokenlongnameofagroupofvoices"
	st.now.Parts[2] = played(desk.Rhythm, name)
	c := st.now.Card
	c.What[0].Who = rules.Cast{"who": whos(name, name, "accordion", "fiddle", "organ pad", "harp")}
	c.Try.Who = rules.Cast{"who": whos(name)}
	st.now.Mark.How = desk.Rerouted // of which there is most to say
	return st
}

func manyStory() story {
	moves := make([]move, 0, 64)
	for i := range 64 {
		by := desk.DB(1)
		if i%2 == 1 {
			by = -0.9
		}
		moves = append(moves, move{float64(20 + 9*i), "input " + string(rune('A'+i%26)), by})
	}
	now := ready(split(1.6, 0.3, 0, 0))
	for i, n := range []string{"low", "keys", "strings", "horns", "choir"} {
		now.Groups = append(now.Groups, squeezed(3+i, n, 2.4, 1, 4))
	}
	now.Groups[4].Median, now.Groups[4].High = 14.5, 14.5
	now.Groups[5].Active = false
	return story{name: "many", now: now, entries: script(moves, steady)}
}

func negativeStory() story {
	return story{name: "negative", now: ready(split(-3.2, 1.2, 0, 0)),
		entries: script([]move{{180, "band DCA", -4}, {400, "choir pair", -3}}, func(s float64) desk.DB { return desk.DB(min(s/300, 1.2)) })}
}

// apartStory has the players take back a part of what the faders did.
func apartStory() story {
	return story{name: "apart", now: ready(split(5.2, -2.4, 0, 0)),
		entries: script([]move{{180, "band DCA", 3}, {400, "choir pair", 3}}, func(s float64) desk.DB { return desk.DB(-s / 250) })}
}

// notchedStory has the total in the middle of a faders' part that is hardly longer than its figure.
func notchedStory() story {
	st := apartStory()
	st.name, st.now = "notched", ready(split(2.9, -1.3, 0, 0))
	return st
}

// lowStory falls further than the tide follows: speech after songs, and the pauses.
func lowStory() story {
	return story{name: "low", now: ready(split(-0.5, 0.3, 0, 0)),
		entries: script([]move{{90, "band DCA", -8}, {330, "reader's mic", 2}, {450, "band DCA", 5}}, func(s float64) desk.DB {
			switch {
			case s > 200 && s < 300:
				return -7
			case s > 300 && s < 318, s > 380 && s < 386, s > 430 && s < 436:
				return -21.5
			}
			return 0.3
		})}
}

func bigStory() story {
	moves := []move{{100, "band DCA", 8}, {220, "brass DCA", 6}, {340, "piano", 5}, {420, "main", 4}}
	entries := script(moves, func(s float64) desk.DB { return desk.DB(s / 150) })
	seconds(entries, func(i int, s *rules.Second) {
		if i > 420 {
			s.Split.Main, s.Rise = 3, s.Rise+3
		}
		if i > 250 && i < 275 { // a pause between songs
			s.Rise, s.Total = desk.Off, desk.Silence
		}
	})
	now := ready(split(10.3, 4, 0, 3))
	now.Explained = false
	return story{name: "big", now: now, entries: entries}
}

// goneStory is of a desk that was not heard for a minute and a half.
func goneStory() story {
	st := calmStory()
	st.name = "gone"
	st.entries = append(st.entries[:300:300], st.entries[400:]...)
	return st
}
