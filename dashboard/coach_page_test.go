package dashboard

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

// newCoachTest opens the coach's page on st, in a browser of its own.
func newCoachTest(t *testing.T, st coachStory) pageTest {
	t.Helper()
	p := pageTest{T: t, tab: newBrowser(t), presses: make(chan rules.Press, 16)}
	p.server = serve(t, "127.0.0.1:0", Options{Press: p.press, Words: words.Own()})
	p.story = p.server.tellCoach(st)
	t.Cleanup(p.story.stop)
	if st.then != "stop" { // where the browser rightly complains
		p.watchConsole()
	}
	showCoach(t, p, st)
	return p
}

func coachStoryOf(t *testing.T, name string) coachStory {
	t.Helper()
	for _, st := range coachStories() {
		if st.name == name {
			return st
		}
	}
	t.Fatalf("no story %q", name)
	return coachStory{}
}

func (p pageTest) wantPress(want rules.Press) {
	p.Helper()
	if got := <-p.presses; got != want {
		p.Errorf("pressed %+v, want %+v", got, want)
	}
}

func (p pageTest) typeInto(selector, text string) {
	p.Helper()
	p.do(click(selector), chromedp.KeyEvent(text))
	p.waitFor(fmt.Sprintf(`document.querySelector(%q).value === %q`, selector, text))
}

// The page says what the daemon reckoned, and reckons nothing itself.
func TestCoachShowsWhatIsBehind(t *testing.T) {
	p := newCoachTest(t, coachStoryOf(t, "coach-card"))
	for expression, want := range map[string]string{
		`[...document.querySelector("#ledger-moved tbody tr").children].map(e => e.textContent).join(" ")`: "piano  +6.0 3.9 +2.1",
		`document.querySelector("#ledger-moved tbody tr:nth-child(3)").innerText`:                          "−0.8",
		`document.querySelector("#ledger-moved tbody tr:nth-child(6)").innerText`:                          "closed",
		`document.querySelector("#ledger-still summary").textContent`:                                      "Did not move: 10",
		`document.querySelector("#findings-open li:nth-child(2)").innerText`:                               "Not shown: no more than 2 in 10 min",
		`document.querySelector("#findings-open li:nth-child(3)").innerText`:                               "Seen · a card",
		`document.querySelector("#findings-over summary").textContent`:                                     "Over: 2",
		`document.getElementById("rise-number").textContent`:                                               "+5.8",
		`document.getElementById("card-act").textContent`:                                                  "Bring the band DCA down 4.0 dB.",
		`document.querySelector("#order-list [aria-current=step]").innerText`:                              "Song 3",
		`document.getElementById("tell-lines").innerText`:                                                  "seen at 19:27:14",
		`document.getElementById("note-list").innerText`:                                                   "Afterwards: what was the primary instrument here?",
		`String(document.getElementById("card-presses").checkVisibility())`:                                "false",
	} {
		p.waitFor(fmt.Sprintf(`(%s).replaceAll("\n", " ").includes(%q)`, expression, want))
	}
}

func TestCoachPresses(t *testing.T) {
	p := newCoachTest(t, coachStoryOf(t, "coach-line"))
	p.do(click("#hold"))
	p.wantPress(rules.Press{Do: rules.Hold, On: true})
	p.do(click("#tell-lines li:first-child button"))
	p.wantPress(rules.Press{Do: rules.TellBack, Number: 3})
	p.typeInto("#tell-text", "wait for the words")
	p.waitFor(`document.getElementById("tell-count").textContent === "18 of 80"`)
	p.key(kb.Enter)
	p.wantPress(rules.Press{Do: rules.Tell, Text: "wait for the words"})
	p.waitFor(`document.getElementById("tell-text").value === "" && document.getElementById("tell-send").disabled`)
	p.do(click("#order-next"))
	p.wantPress(rules.Press{Do: rules.NewSegment, Next: true})
	p.typeInto("#order-text", "notices")
	p.do(click("#order-add"))
	p.wantPress(rules.Press{Do: rules.OrderAdd, Text: "notices", Kind: desk.Music})
}

// By the time that a sentence is typed, what it is about is over.
func TestNotesKeepTheMomentOfTheFirstLetter(t *testing.T) {
	st := coachStoryOf(t, "coach-calm")
	p := newCoachTest(t, st)
	p.typeInto("#note-text", "w")
	p.waitFor(`document.getElementById("note-at").textContent === "· at 19:32:05"`)
	later := st.now
	later.T, later.At = moment(storyNow+40), st.now.At+40
	p.story.change(later)
	p.waitFor(`document.getElementById("time").textContent === "19:32" && document.getElementById("note-at").textContent === "· at 19:32:05"`)
	p.key("ho?")
	p.do(click("#note-ask"))
	p.wantPress(rules.Press{Do: rules.Question, Text: "who?", At: moment(storyNow)})
	p.waitFor(`document.getElementById("note-at").textContent === ""`)
}

// The running order by the keyboard alone: who moves a part keeps it under the fingers.
func TestOrderByKeyboard(t *testing.T) {
	st := coachStoryOf(t, "coach-calm")
	p := newCoachTest(t, st)
	const part = `#order-list li:nth-child(4) .part`
	p.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`document.querySelector(%q).focus()`, part)))
	p.do(chromedp.KeyEvent(kb.ArrowUp, chromedp.KeyModifiers(chromedp.ModifierAlt))) // with Alt
	p.wantPress(rules.Press{Do: rules.OrderMove, Number: 4, Place: 3})
	book := *st.book
	book.Order = coachOrder("opening song", "welcome", "Reading", "Song 3", "reel", "last song")
	book.Order[2].Number, book.Order[3].Number = 4, 3
	p.server.Coaching(st.ledger, &book)
	p.waitFor(`document.querySelector("#order-list li:nth-child(3) .name").textContent === "Reading" && document.activeElement.textContent.startsWith("Reading")`)
	p.key(kb.Enter)
	p.waitFor(`!document.querySelector("#order-list li:nth-child(3) .tools").hidden && document.activeElement.getAttribute("aria-expanded") === "true"`)
	p.do(click("#order-list li:nth-child(3) .tools button:last-child"))
	p.waitFor(`document.activeElement.textContent === "Press again"`)
	p.key(kb.Enter)
	p.wantPress(rules.Press{Do: rules.OrderRemove, Number: 4})
}

// The operator sees what the coach sent and that the coach holds, and takes the line off.
func TestOperatorSeesTheCoach(t *testing.T) {
	st := coachStoryOf(t, "coach-line").story
	st.name = "told"
	p := newPageTest(t, st)
	p.waitFor(`document.getElementById("line-said").textContent.startsWith("From the coach: the choir is coming in now")`)
	p.waitFor(`[...document.querySelectorAll("#announce p")].some(e => e.textContent.startsWith("From the coach: "))`)
	p.do(click("#line-seen"))
	p.wantPress(rules.Press{Do: rules.TellSeen, Number: 3})
	held := st.now
	held.Told, held.Hold = nil, true
	p.story.change(held)
	p.waitFor(`document.getElementById("line-said").textContent === "Nothing needs you. The coach holds what can wait." && document.getElementById("line-seen").hidden`)
}

func TestCoachAxe(t *testing.T) {
	t.Parallel()
	axe := axeSource(t)
	for _, st := range coachStories() {
		t.Run(st.name, func(t *testing.T) {
			p := newCoachTest(t, st)
			p.do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("#ledger-still, #findings details").forEach(d => (d.open = true))`))
			p.checkTargets()
			p.checkAxe(axe)
		})
	}
}

// What only coaches are told reaches nobody else, and only when it is new.
func TestCoachesAreToldApart(t *testing.T) {
	h, watcher, coach := testHub(), onlooker(), onlooker()
	coach.audience.coach = true
	h.publishCoach(coaching{coachLedger(), coachBook()})
	h.publish(at(1), nil, true)
	h.join(watcher)
	h.join(coach)
	h.publishCoach(coaching{coachLedger(), coachBook()}) // a new ledger, and the same book
	f := frame{Frame: "beat", Now: at(2)}
	if news := h.coach.news(h.coached); news.Ledger == nil || news.Book != nil {
		t.Errorf("new are a ledger: %v, a book: %v; want only the ledger", news.Ledger != nil, news.Book != nil)
	}
	f.coaching = h.coach
	for _, c := range []struct {
		coach bool
		want  bool
	}{{false, false}, {true, true}} {
		f.coach = c.coach
		data, err := f.encode(newVoice(words.Own().For("")))
		if err != nil {
			t.Fatal(err)
		}
		var got map[string]any
		decode(t, data, &got)
		if _, ledger := got["ledger"]; ledger != c.want {
			t.Errorf("for a coach %v: a ledger %v", c.coach, ledger)
		}
		if _, book := got["book"]; book != c.want {
			t.Errorf("for a coach %v: a book %v", c.coach, book)
		}
	}
}

func decode(t *testing.T, data []byte, into any) {
	t.Helper()
	if err := json.Unmarshal(data, into); err != nil {
		t.Fatal(err)
	}
}

// A part is called otherwise by the keyboard alone.
func TestCoachRenamesAPart(t *testing.T) {
	p := newCoachTest(t, coachStoryOf(t, "coach-order"))
	name := "#order-list li:nth-child(4) .tools input"
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("` + name + `").select(); 0`))
	p.key("Homily")
	p.waitFor(`document.querySelector("` + name + `").value === "Homily"`)
	p.key(kb.Enter)
	p.wantPress(rules.Press{Do: rules.OrderRename, Number: 4, Text: "Homily"})
}
