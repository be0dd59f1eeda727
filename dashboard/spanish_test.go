package dashboard

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

// spanishNames are what the people of a hall call their movers there.
var spanishNames = map[string]string{
	"piano": "piano", "accordion": "acordeón", "fiddle": "violín", "organ pad": "colchón de órgano", "upright bass": "contrabajo",
	"lead voice": "voz principal", "choir pair": "coro", "band": "banda", "voices": "voces", "brass": "metales",
}

// inSpanish is a story in a hall where Spanish is spoken.
func inSpanish(st story) story {
	for _, e := range st.entries {
		if m, ok := e.(*rules.Moved); ok {
			m.Who = spanish(m.Who)
		}
	}
	for i, g := range st.now.Groups {
		st.now.Groups[i].Who = spanish(g.Who)
	}
	for _, p := range st.now.Parts {
		if p.Lead != nil {
			*p.Lead = spanish(*p.Lead)
		}
	}
	st.now.House, st.now.Segment.Name, st.now.Segment.Next = "Sala del Puerto", "Canción 3", ""
	for _, f := range []*rules.Finding{st.now.Card, st.now.Line} {
		if f != nil {
			castInSpanish(f)
		}
	}
	return st
}

func spanish(w desk.Who) desk.Who {
	if name := spanishNames[w.Name]; name != "" {
		w.Name = name
	}
	return w
}

func castInSpanish(f *rules.Finding) {
	phrases := append(slices.Clone(f.What), f.Try, f.Then)
	for _, fact := range f.Facts {
		phrases = append(phrases, fact.Phrase)
	}
	for _, p := range phrases {
		for _, cast := range p.Who {
			for i, w := range cast {
				cast[i] = spanish(w)
			}
		}
	}
}

// mutedStory is of a reader who is not heard.
func mutedStory() story {
	st := nowStory()
	reader := desk.Who{Strip: desk.StripInput, Name: "micro de lectura"}
	st.now.Card.Said = rules.Said{
		What: []rules.Phrase{rules.Say("muted-voice.speaks", rules.Number("voices", 1), rules.Level("level", -24)).Naming("who", reader)},
		Try:  rules.Say("muted-voice.try").Naming("who", reader),
		Then: rules.Say("muted-voice.then"),
	}
	return st
}

// shownTexts is every piece of text that is in sight or told to a screen reader.
const shownTexts = `JSON.stringify([...document.querySelectorAll("main *, footer *")].filter(e => e.checkVisibility() && e.tagName !== "OPTION").flatMap(e =>
	[e.ariaLabel ?? "", ...[...e.childNodes].filter(n => n.nodeType === 3).map(n => n.data.trim())]).filter(Boolean).concat(document.title))`

// cutOff names what does not fit its own box, but for names, which are cut by design.
const cutOff = `[...document.querySelectorAll("button, h2, summary, small, footer p, #lead, #rest, #since, #card-act, #card-then, .feel, .word, #beam em")].filter(e =>
	e.checkVisibility() && e.clientWidth > 1 && !e.closest("#segment, #house") && !e.matches(".term") && ((e.scrollWidth > e.clientWidth + 1 || e.matches("#beam em") && e.scrollHeight > e.clientHeight + 1) && getComputedStyle(e).display !== "inline")).map(e => e.id + " " + e.textContent).join("; ")`

// The page in Spanish, on every screen: with a card, in passing, before the desk is heard
// and when what is shown is old. Nothing is left in English, and nothing is cut off.
func TestSpanishStories(t *testing.T) {
	t.Parallel()
	ctx := newBrowser(t)
	stopped := ratchetStory("stopped", "stop")
	told := []story{waitingStory(), whisperOpenStory(), ratchetStory("ratchet-open", "open"), mutedStory(), quietStory(), stopped}
	if *storiesDir != "" {
		told = append(told, notUnderstoodStory(), firstSecondsStory(), calmStory(), whisperStory(), ratchetStory("ratchet", ""), easedStory(),
			fadersStory(), longStory(), manyStory(), negativeStory(), bigStory())
	}
	for _, st := range told {
		st = inSpanish(st)
		t.Run(st.name, func(t *testing.T) {
			s := serve(t, "127.0.0.1:0", Options{Language: "es"})
			defer s.tell(st).stop()
			tab, closeTab := chromedp.NewContext(ctx)
			defer closeTab()
			show(t, tab, s, st)
			p := pageTest{T: t, tab: tab}
			p.waitFor(`document.documentElement.lang === "es"`)
			onEach(t, tab, screens, "es-"+st.name, func(t *testing.T) {
				p := pageTest{T: t, tab: tab}
				if cut := p.text(cutOff); cut != "" {
					t.Errorf("cut off: %s", cut)
				}
				checkNoEnglish(t, p.text(shownTexts))
			})
		})
	}
}

// checkNoEnglish wants none of the English labels among what is shown, whole or with its
// braces filled.
func checkNoEnglish(t *testing.T, shown string) {
	t.Helper()
	var texts []string
	if err := json.Unmarshal([]byte(shown), &texts); err != nil {
		t.Fatal(err)
	}
	spanish := words.Own().For("es").Labels()
	for id, label := range words.Own().For("en").Labels() {
		if label == spanish[id] {
			continue
		}
		before, after, _ := strings.Cut(label, "{")
		for _, text := range texts {
			if text == label || after != "" && len(before) > 3 && strings.HasPrefix(text, before) {
				t.Errorf("%q is left in English: the label %q", text, id)
			}
		}
	}
	if len(texts) < 10 {
		t.Errorf("only %q is shown", texts)
	}
}

// A reader who chooses Spanish has the whole page in it, down to what is drawn.
func TestReaderChoosesSpanish(t *testing.T) {
	p := newPageTest(t, inSpanish(ratchetStory("", "")))
	p.do(chromedp.Evaluate[chromedp.Void](`(s => { s.value = "es"; s.dispatchEvent(new Event("change")); })(document.getElementById("language"))`))
	p.waitFor(`document.documentElement.lang === "es" && document.getElementById("time").textContent !== ""`)
	for expression, want := range map[string]string{
		`document.getElementById("said").innerText.replace(/\s+/g, " ")`:         "+5,8 dB Más fuerte. Sobre todo los faders. desde las 19:17, cuando marcaste la mezcla",
		`document.getElementById("beam").ariaLabel`:                              "Respecto a la marca: 5,4 de los faders, 0,4 del escenario",
		`document.querySelector("#beam .figures").innerText`:                     "faders +5,4\nescenario +0,4",
		`document.querySelector("#beam .scale .set").textContent`:                "desde 19:17",
		`document.getElementById("line-said").textContent`:                       "Piano, acordeón, violín y colchón de órgano subieron en cadena, de 1,5 a 4,5 dB por fader en 1 min 40 s.",
		`document.getElementById("card-act").textContent`:                        "Baja DCA banda 4,0 dB.",
		`document.getElementById("card-then").textContent`:                       "El balance interno se mantiene, y el total baja 4,0 dB, hasta 1,8 dB por encima de donde empezó esto.",
		`document.getElementById("card-movers").innerText.replace(/\s+/g, " ")`:  "piano +4,5 dB violín +3,5 dB acordeón +2,5 dB colchón de órgano +1,5 dB",
		`document.getElementById("card-kind").textContent`:                       "Conviene mirar · 19:31:01",
		`document.getElementById("card-presses").innerText.replace(/\s+/g, " ")`: "Visto Ahora no callar en esta parte",
		`document.getElementById("link").textContent`:                            "Consola conectada",
		`document.getElementById("tide-plot").ariaLabel`:                         "En la marca hasta hace 3 min. Ahora +5,8 dB: 5,4 de los faders, 0,4 del escenario. Subidas a la vista: 8.",
		`document.querySelector("#tide-steps li").textContent`:                   "violín +1,5 dB, hace 70 s",
		`document.title`: "Conviene mirar: Baja DCA banda 4,0 dB. · Pawl",
	} {
		if got := p.text(expression); got != want {
			t.Errorf("%s is %q, want %q", expression, got, want)
		}
	}
	p.checkTargets()
}
