package dashboard

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"pawl/daemon/survey"
	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/words"
)

// guided is a first hour whose questions are the guide's own, about three inputs of a desk in a
// test's hand.
type guided struct {
	mu     sync.Mutex
	t      *testing.T
	survey *survey.Survey
	guide  *survey.Guide
	at     time.Duration
	says   []rules.Phrase
	beats  float64
}

func newGuided(t *testing.T) *guided {
	g := &guided{t: t, survey: survey.New(survey.Options{})}
	for n := 1; n <= 3; n++ {
		g.say(fmt.Sprintf("/in/%d/up", n), float32(0.5))
		g.say(fmt.Sprintf("/in/%d/shut", n), int32(0))
	}
	g.pass(50)
	g.guide = g.survey.Guide()
	g.pass(20)
	return g
}

func (g *guided) say(address string, arg any) {
	packet, err := wire.AppendMessage(nil, address, arg)
	if err != nil {
		g.t.Fatal(err)
	}
	g.survey.Hear(g.at, packet)
}

// pass lets tenths of a second go by, with a meter moving.
func (g *guided) pass(tenths int) {
	for range tenths {
		g.at += 100 * time.Millisecond
		g.say("/glow", float32(-20-int(g.at/time.Millisecond)%7))
	}
}

// hand moves things on the desk, each an address and a number, and waits two seconds.
func (g *guided) hand(moves map[string]any) {
	g.mu.Lock()
	defer g.mu.Unlock()
	for address, to := range moves {
		g.say(address, to)
	}
	g.pass(20)
}

func (g *guided) first() First {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.beats++
	a := g.guide.Asks()
	f := First{T: g.beats, Stage: FirstAsking, Messages: 41200, Link: Link{Phase: Hearing, Says: rules.Say("link.heard", rules.Figure{Name: "age", Value: 0.1, Unit: rules.Seconds})},
		Ask: survey.OnPage(g.guide.Ask()), Says: survey.OnPage(g.says),
		Asks: FirstAsks{Number: a.Number, Nothing: a.Nothing, None: a.None, Back: a.Back, Wrong: a.Wrong, Done: a.Done, ToCome: a.ToCome}}
	for _, m := range g.survey.Moving(2 * time.Second) {
		f.Moving = append(f.Moving, FirstMoved{Moved: m.What, At: m.To})
	}
	if g.guide.Question() == "" {
		f.Stage, f.Map, f.House = FirstNaming, "desk.map.yaml", "hall.house.yaml"
		f.Inputs = []FirstInput{{1, "bajo", "element: foundation", "bajo"}, {2, "voz principal", "element: lead, voice: yes", "voz principal"}, {3, "claqueta", "cue: yes, main: no", "clic"}}
	}
	return f
}

func (g *guided) press(p FirstPress) error {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.says = g.guide.Tell(p.Text)
	return nil
}

// englishWords are such as no Spanish sentence has.
var englishWords = regexp.MustCompile(`(?i)(^|\PL)(the|and|it|its|is|are|of|to|that|this|was|from|with|move|moved|mark|type|press|back|none|stop|fader's|input|group|nothing|yes|voice|element)(\PL|$)`)

// TestGuideInSpanish walks through the questions on the page in Spanish, with what people press
// and type there, right and otherwise. All that it asks and remarks is in Spanish, and fits.
func TestGuideInSpanish(t *testing.T) {
	g := newGuided(t)
	p := pageTest{T: t, tab: newBrowser(t), server: serve(t, "127.0.0.1:0", Options{First: g.first, PressFirst: g.press, Language: "es"})}
	p.watchConsole()
	p.do(chromedp.EmulateViewport(390, 844), chromedp.Navigate(p.server.url()))
	spanish := words.Own().For("es")
	up := func(n int, to float32) map[string]any { return map[string]any{fmt.Sprintf("/in/%d/up", n): to} }
	shut := func(n int, to int32) map[string]any { return map[string]any{fmt.Sprintf("/in/%d/shut", n): to} }
	for _, step := range []struct {
		hand map[string]any
		do   string // a button, or what is typed in quotes
		want string // of what is said
	}{
		{nil, "go-on", "Bien: 1 valor se movió solo, como hacen los medidores."},
		{nil, "back", "De vuelta en la pregunta anterior; lo que se respondió ya no cuenta."},
		{nil, "go-on", "Eso fue rápido: hacen falta 3 segundos para ver qué se mueve solo. No toques nada, y entonces pulsa «Hecho»."},
		{nil, "go-on", "Bien:"},
		{nil, "go-on", "No cambió nada de lo que suele estar quieto. Si ya estaba ahí, muévelo y devuélvelo. Si la consola no lo cuenta, pulsa «No hay en esta consola»."},
		{map[string]any{"/in/1/up": float32(0), "/in/1/glass": float32(0)}, "go-on", "pasó de"},
		{nil, "wrong", "Entonces es /in/1/"},
		{nil, "wrong", "Nada más se movió así."},
		{map[string]any{"/in/2/up": float32(0)}, "go-on", "Vi que /in/2/up pasó de 0,5 a 0."},
		{nil, "another", "Entonces no era el canal 1. Devuélvelo adonde estaba, y empieza otra vez con el canal 1."},
	} {
		g.hand(step.hand)
		answered(p, spanish, g, step.do, step.want)
	}
	// All anew, since much was refused.
	g.hand(up(1, 0.5))
	g.mu.Lock()
	g.guide, g.says = g.survey.Guide(), nil
	g.pass(40)
	g.mu.Unlock()
	for _, step := range []struct {
		hand map[string]any
		do   string
		want string
	}{
		{nil, "go-on", "Bien:"},
		{up(1, 0), "go-on", "Vi que /in/1/up pasó de"},
		{up(1, 1), "'diez", "«diez» no es un número de dB; escribe uno como −10, o ninguno, o basta."},
		{nil, "'ayuda", "Palabras que sirven: atrás vuelve a la pregunta anterior; no ese,"},
		{nil, "'10", "Vi que /in/1/up pasó de 0 a 1."},
		{up(3, 1), "go-on", "Se movió el fader del canal 3, hasta 1, y no el fader del canal 1, que sigue en 1. Devuélvelo, y mueve el que se pedía."},
		{up(1, 0.75), "go-on", "Vi que /in/1/up pasó de 1 a 0,75."},
		{up(1, 0.5), "'10", "Vi que /in/1/up pasó de 0,75 a 0,5. Está por debajo de la marca de 0, así que 10 se toma como −10."},
		{up(1, 0.25), "'-10", "−10 ya se dio, en 0,5, y ahora está en 0,25. Escribe el número impreso donde está ahora, o pulsa «Volver», las veces que haga falta, para volver a dar el de antes."},
		{nil, "'5", "Está por debajo de la marca −10, así que no puede estar en −5."},
		{nil, "'cerrado", "El fondo ya se conoce."},
		{nil, "'-30", "Vi que /in/1/up pasó de 0,5 a 0,25."},
		{up(1, 0.9), "'-3", "Está por encima de la marca de 0, donde no cabe −3."},
		{nil, "'5", "Vi que /in/1/up pasó de 0,25 a 0,9."},
		{nil, "'-20", "Queda anotado −20: cuando esté ahí, solo pulsa «Hecho»."},
		{nil, "'atrás", "De vuelta en la pregunta anterior"},
		{nil, "'hecho", "Los números del fader son su posición, y ninguna ley sencilla pasa por las 4 marcas"},
		{shut(1, 1), "go-on", "Vi que /in/1/shut pasó de 0 a 1."},
		{nil, "go-on", "No cambió nada"},
		{nil, "go-on", "No veo el mute del canal 1: la consola no lo cuenta, o lo cuenta de un modo que no sé leer."},
		{nil, "none", "Queda fuera."},
		{nil, "go-on", "No cambió nada"},
		{nil, "go-on", "No veo el fader del grupo 1"},
		{nil, "go-on", "No cambió nada"},
		{nil, "none", "Queda fuera."},
		{nil, "stop", "Terminado. Se usa lo visto hasta aquí."},
	} {
		g.hand(step.hand)
		answered(p, spanish, g, step.do, step.want)
	}
	p.waitFor(`document.getElementById("inputs").children.length > 2`)
	p.do(chromedp.EmulateViewport(1180, 820), drawn)
	checkSpanish(t, p.text(shownTexts))
	checkFits(t, p.tab)
	if got := p.text(`[...document.querySelectorAll("#inputs label")].map(e => e.textContent).join("; ")`); got != "base; melodía, voz; señal de guía, fuera del máster" {
		t.Errorf("the guesses are %q", got)
	}
}

// answered presses or types on the page, and wants what is said, all of it in Spanish.
func answered(p pageTest, s *words.Speaker, g *guided, do, want string) {
	p.Helper()
	if typed, ok := strings.CutPrefix(do, "'"); ok {
		p.waitFor(`document.getElementById("number").checkVisibility()`)
		p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("number").value = ""; 0`), click("#number"), chromedp.KeyEvent(typed), chromedp.KeyEvent(kb.Enter))
	} else {
		p.do(click("#" + do))
	}
	p.waitFor(`!document.body.hasAttribute("aria-busy")`)
	now := g.first()
	now.say(s)
	said := strings.Join(now.Said, " ")
	if !strings.Contains(said, want) {
		p.Errorf("%s: said %q, want %q in it", do, said, want)
	}
	if now.Stage != FirstAsking {
		return
	}
	shown, err := json.Marshal(now.Question + " | " + said)
	if err != nil {
		p.Fatal(err)
	}
	p.waitFor(`document.getElementById("question").textContent + " | " + [...document.querySelectorAll("#said p")].map(e => e.textContent).join(" ") === ` + string(shown))
	checkSpanish(p.T, p.text(shownTexts))
	checkFits(p.T, p.tab)
	if *storiesDir != "" {
		p.shootInto(fmt.Sprintf("guide-es-%02.0f", now.T))
	}
}

// checkSpanish wants no English among what is shown.
func checkSpanish(t *testing.T, shown string) {
	t.Helper()
	checkNoEnglish(t, shown)
	var texts []string
	if err := json.Unmarshal([]byte(shown), &texts); err != nil {
		t.Fatal(err)
	}
	for _, text := range texts {
		if found := englishWords.FindString(text); found != "" {
			t.Errorf("%q has %q", text, strings.TrimSpace(found))
		}
	}
}
