package dashboard

import (
	"math"

	"pawl/rules"
	"pawl/rules/desk"
)

// A story is one moment of Harbour Hall that the page must show well.
type story struct {
	name  string
	state State
	tide  []Tide
	steps []Step
	then  string // what to do in the browser before looking: "open", "more", "stop", "focus"
}

// move is one raise or lower of a story's script.
type move struct {
	at  float64
	who string
	by  desk.DB
}

const storyNow = 5400.0 // an hour and a half in, so that ten minutes fill the tide

var ratchetMoves = []move{
	{250, "band DCA", 2}, {310, "band DCA", -2},
	{430, "piano", 2}, {446, "accordion", 1.5}, {462, "fiddle", 2}, {478, "organ pad", 1.5},
	{495, "piano", 2.5}, {511, "accordion", 1}, {530, "fiddle", 1.5},
}

func stories() []story {
	return []story{
		waitingStory(), notUnderstoodStory(), firstSecondsStory(), calmStory(), whisperStory(), whisperOpenStory(),
		ratchetStory("ratchet", ""), ratchetStory("ratchet-open", "open"), nowStory(), easedStory(),
		quietStory(), ratchetStory("stopped", "stop"), faultsStory(), fadersStory(), longStory(),
		manyStory(), negativeStory(), lowStory(), bigStory(), focusStory(),
	}
}

// ready is the state that most stories share: meters, three groups, five parts.
func ready(rise, faders, stage desk.DB, sentence string) State {
	return State{
		T: storyNow, TimeOfDay: "19:32:05", House: "Harbour Hall", Basis: "meters",
		Link:  Link{Phase: "hearing", Age: 0.1, Desk: "10.0.0.20:9400", Packets: 812345},
		Total: -18 + desk.DBFS(rise), Mark: Mark{T: storyNow - 900, Total: -18, How: rules.MarkedByHand},
		Rise: rise, Split: Split{Faders: faders, Stage: stage}, Sentence: sentence,
		Groups: []Squeeze{
			squeezed("band", 2.1, 1.2, 3.4), squeezed("voices", 1.6, 0.4, 2.8), squeezed("brass", 0.2, 0, 0.9),
		},
		Elements: []Part{
			{"foundation", "upright bass", true}, {"pad", "organ pad", true}, {"rhythm", "piano", true},
			{"lead", "lead voice", true}, {"fill", "", false},
		},
	}
}

func squeezed(name string, median, low, high desk.DB) Squeeze {
	return Squeeze{Name: name, Reduction: &median, Low: &low, High: &high, Source: "reported", Active: true}
}

// script plays moves over ten minutes of music that breathes a little.
func script(moves []move, stage func(s float64) desk.DB) ([]Tide, []Step) {
	tide := make([]Tide, 0, 600)
	var steps []Step
	var faders desk.DB
	for s := range 600 {
		at := float64(s)
		for _, m := range moves {
			if m.at == at {
				faders += m.by * 0.45 // one mover is about half of what is heard
				steps = append(steps, Step{T: storyNow - 600 + at, Who: m.who, By: m.by})
			}
		}
		sources := stage(at) + desk.DB(0.22*math.Sin(at/9.1)+0.12*math.Sin(at/3.7+1)+0.2*math.Sin(at/41)*math.Sin(at/5.3))
		tide = append(tide, Tide{T: storyNow - 600 + at, Total: -18 + desk.DBFS(faders+sources),
			Rise: faders + sources, Faders: faders, Stage: sources})
	}
	return tide, steps
}

func steady(float64) desk.DB { return 0.3 }

func calmStory() story {
	tide, steps := script([]move{{120, "lead voice", 1}, {300, "band DCA", 2}, {372, "band DCA", -2}}, steady)
	return story{name: "calm", tide: tide, steps: steps,
		state: ready(0.7, 0.5, 0.2, "+0.7 dB since the mark: 0.5 from the faders, 0.2 from the stage.")}
}

func whisperStory() story {
	st := calmStory()
	st.name = "whisper"
	st.state.Line = &Card{Number: 2, Rule: "squeeze", Weight: "whisper", Phase: "open", T: storyNow - 8,
		Text: "Piano and accordion were raised in turns, by 1.5 dB each over 48 s. The faders added 1.6 dB; the stage took 0.2 dB: the total is 1.4 dB louder " +
			"than 1 min 10 s ago. It is the same balance, 1.4 dB louder. Piano went up 1.5 dB and is no clearer: all of it went to volume.",
		Try: "Bring the piano and the accordion down 1.5 dB each: the balance between them stays, and the total comes down by 1.4 dB, to where this began."}
	return st
}

func whisperOpenStory() story {
	st := whisperStory()
	st.name, st.then = "whisper-open", "more"
	return st
}

func ratchetCard() *Card {
	evidence := []Evidence{{storyNow - 172, "a calm start: 45 s without a raise", ""}}
	for _, m := range ratchetMoves[2:] {
		evidence = append(evidence, Evidence{storyNow - 600 + m.at, m.who + " up " + m.by.String(), m.who})
	}
	evidence = append(evidence,
		Evidence{storyNow - 68, "piano, accordion, fiddle and organ pad are all up by 1 dB or more", ""},
		Evidence{storyNow - 66, "no raise was taken back", ""},
		Evidence{storyNow - 65, "the faders' part of the total has reached 3.0 dB", ""},
		Evidence{storyNow - 64, "the balance is within 0.8 dB of where it began", ""})
	return &Card{Number: 3, Rule: "ratchet", Weight: "nudge", Phase: "open", T: storyNow - 64,
		Text: "Piano, accordion, fiddle and organ pad were raised in turns, by 12.0 dB between them over 1 min 40 s. " +
			"The faders added 5.4 dB; the stage added 0.4 dB: the total is 5.8 dB louder. It is the same balance, 4.3 dB louder.",
		Try: "Bring the band DCA down 4.0 dB: the balance stays, and the total comes down by 4.0 dB, to 1.8 dB above where this began.", Evidence: evidence}
}

func ratchetStory(name, then string) story {
	tide, steps := script(ratchetMoves, steady)
	st := ready(5.8, 5.4, 0.4, "+5.8 dB since the mark: 5.4 from the faders, 0.4 from the stage.")
	st.Card = ratchetCard()
	st.Groups[0] = squeezed("band", 5.2, 2.9, 6.6)
	return story{name: name, state: st, tide: tide, steps: steps, then: then}
}

func focusStory() story { return ratchetStory("focus", "focus") }

func easedStory() story {
	tide, steps := script(append(ratchetMoves[:len(ratchetMoves):len(ratchetMoves)], move{570, "band DCA", -10}), steady)
	st := ready(1.1, 0.9, 0.2, "+1.1 dB since the mark: 0.9 from the faders, 0.2 from the stage.")
	st.Card = ratchetCard()
	st.Card.Phase, st.Card.Try, st.Card.Text = "eased", "", "The band came back down by 4.5 dB. The balance was kept."
	return story{name: "eased", state: st, tide: tide, steps: steps}
}

func nowStory() story {
	st := calmStory()
	st.name = "now"
	st.state.Card = &Card{Number: 9, Rule: "muted voice", Weight: "now", Phase: "open", T: storyNow - 2,
		Text: "Somebody is speaking into the reader's mic, and it is muted.", Try: "unmute the reader's mic.",
		Evidence: []Evidence{{storyNow - 2, "reader's mic at -24.0 dBFS before its fader, for 1.5 s", "reader's mic"}}}
	return st
}

func waitingStory() story {
	return story{name: "waiting", state: State{T: 12, TimeOfDay: "19:02:12", House: "Harbour Hall",
		Link: Link{Phase: "waiting", Desk: "10.0.0.20:9400"}}}
}

func notUnderstoodStory() story {
	return story{name: "not-understood", state: State{T: 12, TimeOfDay: "19:02:12", House: "Harbour Hall",
		Link: Link{Phase: "not-understood", Desk: "10.0.0.20:9400", Packets: 18412, Age: 0.05, Example: "/berth/07/height"}}}
}

func firstSecondsStory() story {
	st := ready(0, 0, 0, "")
	st.Basis, st.Mark = "", Mark{}
	return story{name: "first-seconds", state: st}
}

func quietStory() story {
	st := ratchetStory("quiet", "")
	st.state.Card = nil
	st.state.Link.Phase, st.state.Link.Age = "quiet", 27
	return st
}

func faultsStory() story {
	st := calmStory()
	st.name = "faults"
	st.state.Notices = []Notice{{Kind: "house", Text: "The house file was read again and is wrong, so the old one stays in force.\n" +
		"houses/harbour.yaml:14:12: inputs[3].element: unknown element \"rythm\"; want foundation, pad, rhythm, lead or fill\n" +
		"    did you mean \"rhythm\"?\n" +
		"houses/harbour.yaml:31:9: limits.ratchet.limit: 3; want a number with its unit\n    write 3 dB"}}
	return st
}

func fadersStory() story {
	st := ratchetStory("faders-only", "")
	st.state.Basis = "faders"
	st.state.Rise, st.state.Split = 5.4, Split{Faders: 5.4}
	st.state.Sentence = "+5.4 dB since the mark, all of it from the faders."
	st.state.Groups = []Squeeze{{Name: "band"}, {Name: "voices"}, {Name: "brass"}}
	for i, t := range st.tide {
		st.tide[i].Rise, st.tide[i].Stage = t.Faders, 0
	}
	return st
}

func longStory() story {
	st := ratchetStory("long-names", "")
	const name = "Upright piano on the far side of the gallery, left microphone"
	for i := range st.steps {
		st.steps[i].Who = name
	}
	st.state.House = "Harbour Hall, the great room above the boat sheds, with both galleries open"
	st.state.Groups[0].Name, st.state.Groups[1].Name = "Accompanying instruments", "Unbrokenlongnameofagroupofvoices"
	st.state.Elements[2].Primary = name
	st.state.Card.Text = name + ", " + name + " and four more were raised in turns, by 12.0 dB between them over 1 min 40 s. " +
		"The faders added 5.4 dB: the total is 5.4 dB louder. It is the same balance, 4.3 dB louder."
	st.state.Card.Try = "bring " + name + " down by 4 dB."
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
	tide, steps := script(moves, steady)
	st := ready(1.9, 1.6, 0.3, "+1.9 dB since the mark: 1.6 from the faders, 0.3 from the stage.")
	for _, n := range []string{"low", "keys", "strings", "horns", "choir"} {
		st.Groups = append(st.Groups, squeezed(n, 2.4, 1, 4))
	}
	high := desk.DB(14.5)
	st.Groups[4].Reduction, st.Groups[4].High = &high, &high
	st.Groups[5].Active = false
	return story{name: "many", state: st, tide: tide, steps: steps}
}

func negativeStory() story {
	tide, steps := script([]move{{180, "band DCA", -4}, {400, "choir pair", -3}}, func(s float64) desk.DB {
		return desk.DB(min(s/300, 1.2))
	})
	return story{name: "negative", tide: tide, steps: steps,
		state: ready(-2.0, -3.2, 1.2, "-2.0 dB since the mark: -3.2 from the faders, +1.2 from the stage.")}
}

// lowStory falls further than the tide follows: speech after songs, and the pauses.
func lowStory() story {
	tide, steps := script([]move{{90, "band DCA", -8}, {330, "reader's mic", 2}, {450, "band DCA", 5}}, func(s float64) desk.DB {
		switch {
		case s > 200 && s < 300:
			return -7
		case s > 300 && s < 318, s > 380 && s < 386, s > 430 && s < 436:
			return -21.5
		}
		return 0.3
	})
	return story{name: "low", tide: tide, steps: steps,
		state: ready(-0.2, -0.5, 0.3, "-0.2 dB since the mark: -0.5 from the faders, +0.3 from the stage.")}
}

func bigStory() story {
	moves := []move{{100, "band DCA", 8}, {220, "brass DCA", 6}, {340, "piano", 5}, {420, "main", 4}}
	tide, steps := script(moves, func(s float64) desk.DB { return desk.DB(s / 150) })
	for i := range tide {
		if i > 420 {
			tide[i].Rise += 3
		}
		if i > 250 && i < 275 { // a pause between songs
			tide[i].Rise, tide[i].Total = desk.Off, desk.Silence
		}
	}
	st := ready(17.3, 10.3, 4, "+17.3 dB since the mark: 10.3 from the faders, 4.0 from the stage, 3.0 from the main.")
	st.Split.Main = 3
	st.Confidence = "The map does not explain all of the main level: an input may be missing from it."
	return story{name: "big", state: st, tide: tide, steps: steps}
}
