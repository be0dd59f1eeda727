package dashboard

import (
	"fmt"
	"math"
	"testing"

	"github.com/chromedp/chromedp"

	"pawl/rules"
	"pawl/rules/desk"
)

// coachStory is one moment that the coach's page must show well.
type coachStory struct {
	story
	ledger *rules.Ledger
	book   *rules.Book
}

// coachScreens are a tablet, a laptop, and what the page must at least be usable on.
var coachScreens = []screen{{"tablet", 1180, 820}, {"laptop", 1440, 900}, {"upright", 820, 1180}, {"phone", 390, 844}, {"narrow", 320, 640}}

// tellCoach is tell with what coaches are told besides.
func (s serving) tellCoach(st coachStory) teller {
	s.Coaching(st.ledger, st.book)
	return s.tell(st.story)
}

// raised is a row of the ledger: how far an input went up, and how much of it stands out.
func raised(index int, name string, by, clearer desk.DB) rules.LedgerRow {
	w := who(name)
	w.Index = index
	r := rules.LedgerRow{Who: w, Moved: by != 0, Change: rules.Upwards, Gain: -10 + by, Raised: by, Known: true, Swallowed: by - clearer, Clearer: clearer, Curve: []desk.DB{}}
	switch {
	case by < 0:
		r.Change = rules.Downwards
	case by == 0:
		r.Change = rules.Unchanged
		return r
	}
	for n := range 56 {
		steps := math.Floor(math.Min(float64(n+index*3)/14, 3)) / 3
		r.Curve = append(r.Curve, -10+by*desk.DB(steps))
	}
	r.Curve = append(r.Curve, r.Gain)
	return r
}

func coachLedger() *rules.Ledger {
	closed := raised(7, "trumpet", 0, 0)
	closed.Moved, closed.Change, closed.Known, closed.Gain, closed.Curve = true, rules.Closed, false, desk.Off, []desk.DB{-12, -12, -12, -13, desk.Off}
	rows := []rules.LedgerRow{
		raised(2, "piano", 6, 2.1), raised(4, "fiddle", 3.5, 0.2), raised(3, "accordion", 2.5, -0.8), raised(9, "organ pad", 1.5, -1.9), raised(10, "lead voice", -1.5, -4.4), closed,
	}
	for i, name := range []string{"cajon", "upright bass", "mandolin", "harp", "horn", "harmony voice 1", "harmony voice 2", "choir pair", "reader's mic", "click"} {
		rows = append(rows, raised(20+i, name, 0, -2.9))
	}
	return &rules.Ledger{T: moment(storyNow), Since: moment(storyNow - 900), Step: 16, Basis: desk.OnMeters, Inputs: rows}
}

// trace is a finding with what became of it.
func trace(number int, rule string, weight rules.Weight, what string, change func(*rules.Trace)) rules.Trace {
	f := &rules.Finding{
		Stamp: rules.Stamp{N: uint64(number), T: moment(storyNow - 60*float64(number)), Entry: rules.FindingEntry}, Number: number, Rule: rule, State: rules.Open, Weight: weight,
		About: []desk.Who{}, Inputs: []string{}, Said: rules.Said{What: quotedAll(what, "It has for 20 s."), Try: quoted("Bring the piano down 2.0 dB."), Facts: []rules.Fact{}},
	}
	t := rules.Trace{Finding: f, Opened: f.T}
	change(&t)
	return t
}

func when(seconds float64) *rules.Moment {
	m := moment(seconds)
	return &m
}

func coachBook() *rules.Book {
	budget := rules.Say("held.budget", rules.Number("most", 2), rules.Figure{Name: "every", Value: 600, Unit: rules.Seconds})
	return &rules.Book{
		Traces: []rules.Trace{
			trace(9, "ratchet", rules.Nudge, "Piano, accordion, fiddle and organ pad went up one after another, by 1.5 to 6.0 dB each over 1 min 40 s.", func(t *rules.Trace) { t.On, t.Shown = true, when(storyNow-120) }),
			trace(8, "fill-over-lead", rules.Whisper, "The fiddle plays on while the lead voice is heard: −2.0 dB against it, for 12 s.", func(t *rules.Trace) { t.HeldBack = &budget }),
			trace(7, "squeezed-group", rules.Nudge, "The compressor of the band group holds it down by 4.1 dB.", func(t *rules.Trace) {
				seen := rules.Say("held.seen")
				t.HeldBack, t.Shown, t.Seen = &seen, when(storyNow-600), when(storyNow-580)
			}),
			trace(5, "crowded", rules.Whisper, "Foundation, pad, rhythm, lead and fill have all played at once for 15 s.", func(t *rules.Trace) { t.Shown, t.Ended = when(storyNow-1700), when(storyNow-1650) }),
			trace(4, "open-mics", rules.Whisper, "More microphones are open than at the mark.", func(t *rules.Trace) { t.HeldBack, t.Ended = &budget, when(storyNow-1900) }),
		},
		Notes: []rules.Noted{{T: moment(storyNow - 45), Text: "what was the primary instrument here?", Question: true}, {T: moment(storyNow - 400), Text: "the harp came in late, and nobody minded"}},
		Lines: []rules.CoachLine{
			{Number: 2, Text: "listen to the words, then to the piano", T: moment(storyNow - 300), State: rules.ToldSeen, Until: moment(storyNow - 291)},
			{Number: 1, Text: "good start", T: moment(storyNow - 2000), State: rules.ToldGone, Until: moment(storyNow - 1910)},
		},
		Order: coachOrder("opening song", "welcome", "Song 3", "Reading", "reel", "last song"),
	}
}

func coachOrder(names ...string) (all []rules.OrderPart) {
	for i, name := range names {
		p := rules.OrderPart{Number: i + 1, Name: name, Kind: desk.Music, Now: i == 2, Next: i == 3}
		if i == 1 || i == 3 {
			p.Kind = desk.Speech
		}
		all = append(all, p)
	}
	if len(all) > 4 {
		fiddle := who("fiddle")
		all[4].Primary = &fiddle
	}
	return all
}

// coached is a story of the operator's page with the coach's besides.
func coached(name string, st story, change func(*coachStory)) coachStory {
	c := coachStory{story: st, ledger: coachLedger(), book: coachBook()}
	c.name = name
	change(&c)
	return c
}

func coachStories() []coachStory {
	as := func(*coachStory) {}
	return []coachStory{
		{story: named("coach-waiting", waitingStory()), ledger: &rules.Ledger{Inputs: []rules.LedgerRow{}}, book: &rules.Book{Order: coachOrder("opening song", "welcome")}},
		coached("coach-calm", calmStory(), func(c *coachStory) {
			c.book.Traces, c.book.Notes, c.book.Lines = nil, nil, nil
			for i := range c.ledger.Inputs {
				c.ledger.Inputs[i] = raised(i, c.ledger.Inputs[i].Who.Name, 0, 0)
			}
		}),
		coached("coach-card", ratchetStory("", ""), as),
		coached("coach-held", calmStory(), func(c *coachStory) {
			budget := rules.Say("held.budget", rules.Number("most", 2), rules.Figure{Name: "every", Value: 600, Unit: rules.Seconds})
			c.book.Traces[0].On, c.book.Traces[0].Shown, c.book.Traces[0].HeldBack = false, nil, &budget
		}),
		coached("coach-holding", calmStory(), func(c *coachStory) {
			held := rules.Say("held.coach")
			c.now.Hold = true
			c.book.Traces[0].On, c.book.Traces[0].Shown, c.book.Traces[0].HeldBack = false, nil, &held
			c.book.Traces[1].HeldBack = &held
		}),
		coached("coach-line", calmStory(), func(c *coachStory) {
			c.now.Told = &rules.CoachLine{Number: 3, Text: "the choir is coming in now: give them room, and wait with the piano", T: moment(storyNow - 20), State: rules.ToldOn, Until: moment(storyNow + 70)}
			c.book.Lines = append([]rules.CoachLine{*c.now.Told}, c.book.Lines...)
		}),
		coached("coach-order", calmStory(), func(c *coachStory) { c.then, c.book.Edited = "part", true }),
		coached("coach-long", longStory(), func(c *coachStory) {
			const long = "Upright piano on the far side of the gallery, microphone 2"
			for i := range c.ledger.Inputs {
				c.ledger.Inputs[i].Who.Name = long
			}
			c.ledger.Inputs[1].Who.Name = "Unbrokenlongnameofaninputthatnobodycouldread"
			c.book.Order = coachOrder(long, "Unbrokenlongnameofapartthatnobodycouldreadatall", long+" again", "The reading with a very long name that somebody wrote in a hurry", "e", "f")
			c.book.Notes[0].Text = "Unbrokenlongquestionthatnobodycouldreadinonelineofanarrowcolumn " + long
			c.book.Lines[0].Text = "Unbrokenlinethatissentbysomebodywhodoesnotbelieveinspacesatallandgoesonandonand"
		}),
		coached("coach-64", manyStory(), func(c *coachStory) {
			c.ledger.Inputs = nil
			for i := range 64 {
				by := desk.DB(0)
				if i < 40 {
					by = desk.DB(12-i) / 2
				}
				c.ledger.Inputs = append(c.ledger.Inputs, raised(i, fmt.Sprintf("player in row %d", i+1), by, by/3))
			}
		}),
		coached("coach-faders", fadersStory(), func(c *coachStory) { c.ledger.Basis = desk.OnFaders }),
		coached("coach-stopped", ratchetStory("", "stop"), func(c *coachStory) { c.then = "stop" }),
	}
}

func named(name string, st story) story {
	st.name = name
	return st
}

// showCoach opens the coach's page on a story, on a tablet.
func showCoach(t *testing.T, p pageTest, st coachStory) {
	t.Helper()
	must(t, p.tab, chromedp.EmulateViewport(1180, 820), chromedp.Navigate(p.server.url()+"coach"),
		chromedp.Poll[chromedp.Void](fmt.Sprintf(`document.getElementById("time").textContent === %q && document.getElementById("order-list").children.length === %d`, st.clock(), len(st.book.Order))))
	switch st.then {
	case "part":
		must(t, p.tab, click("#order-list li:nth-child(4) .part"), chromedp.Poll[chromedp.Void](`!document.querySelector("#order-list li:nth-child(4) .tools").hidden`))
	case "stop":
		p.server.stop()
		must(t, p.tab, chromedp.Poll[chromedp.Void](`document.getElementById("line").dataset.tone === "old"`))
	}
}

// TestCoachStories does for the coach's page what TestStories does for the operator's.
func TestCoachStories(t *testing.T) {
	ctx := newBrowser(t)
	for _, st := range coachStories() {
		if *storiesDir == "" && st.name != "coach-long" && st.name != "coach-64" && st.name != "coach-order" {
			continue
		}
		t.Run(st.name, func(t *testing.T) {
			p := pageTest{T: t, server: serve(t, "127.0.0.1:0", Options{})}
			defer p.server.tellCoach(st).stop()
			tab, closeTab := chromedp.NewContext(ctx)
			defer closeTab()
			p.tab = tab
			showCoach(t, p, st)
			onEach(t, tab, coachScreens, st.name, func(*testing.T) {})
		})
	}
}

// TestCoachFitsInSpanish: the longer words have room too, on the narrowest screen as well.
func TestCoachFitsInSpanish(t *testing.T) {
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{Language: "es"})}
	st := coachStoryOf(t, "coach-order")
	defer p.server.tellCoach(st).stop()
	showCoach(t, p, st)
	p.waitFor(`document.documentElement.lang === "es" && document.getElementById("hold").textContent === "Retener tarjetas"`)
	onEach(t, p.tab, coachScreens, "coach-es", func(*testing.T) {})
}
