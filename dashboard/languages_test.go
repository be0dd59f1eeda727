package dashboard

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/chromedp/chromedp"
	"github.com/gorilla/websocket"

	"pawl/rules"
	"pawl/rules/words"
)

// bilingual is the catalogues with a second language that only the tests have, so that
// they hang on no translation: English with some words of German.
func bilingual(t *testing.T) *words.Catalogues {
	t.Helper()
	english := englishFile(t)
	german := strings.NewReplacer(
		"Mostly the faders.", "Vor allem die Fader.", "%s from the faders", "%s von den Fadern", "%s from the stage", "%s von der Bühne",
		"when you set it", "von dir gesetzt", "Mark this mix", "Diesen Mix merken", `"{{.of}} DCA"`, `"DCA {{.of}}"`, `"{{.of}} group"`, `"Gruppe {{.of}}"`,
		"It is the same balance, {{if up .by}}{{db .by}} louder", "Es ist dieselbe Balance, {{if up .by}}{{db .by}} lauter",
		"heard {{num .age}} s ago", "vor {{num .age}} s gehört",
	).Replace(string(english))
	c, err := words.LoadFrom(fstest.MapFS{"en.yaml": {Data: english}, "de.yaml": {Data: []byte(german)}})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func englishFile(t *testing.T) []byte {
	t.Helper()
	english, err := os.ReadFile("../rules/words/en.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return english
}

// dialIn comes as a page of a reader who chose a language.
func dialIn(t *testing.T, s serving, lang string) *websocket.Conn {
	t.Helper()
	conn, _, err := websocket.DefaultDialer.Dial("ws://"+s.at+"/live?lang="+lang, http.Header{"Origin": {"http://" + s.at}})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	return conn
}

// facts is a frame without a word of any language.
func facts(t *testing.T, data []byte) any {
	t.Helper()
	var v any
	if err := json.Unmarshal(data, &v); err != nil {
		t.Fatal(err)
	}
	return wordless(v)
}

func wordless(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for _, key := range []string{"words", "label", "text", "language"} {
			delete(v, key)
		}
		for key := range v {
			v[key] = wordless(v[key])
		}
	case []any:
		for i := range v {
			v[i] = wordless(v[i])
		}
	}
	return v
}

// Two readers get the same facts of one moment, each in words of their own.
func TestTwoLanguagesFromOnePublish(t *testing.T) {
	s := serve(t, "127.0.0.1:0", Options{Words: bilingual(t)})
	tags := []string{"en", "de", "de-AT"}
	var conns []*websocket.Conn
	for _, tag := range tags {
		conns = append(conns, dialIn(t, s, tag))
	}
	st := ratchetStory("", "")
	form := schema(t, "")
	before := s.Stats().Frames
	for _, conn := range conns {
		if _, _, err := conn.ReadMessage(); err != nil {
			t.Fatal(err)
		}
	}
	s.Publish(st.now, []rules.Entry{st.now.Card, moved(5399, "band DCA", 2)}, true)
	if got := s.Stats().Frames - before; got != 2 {
		t.Errorf("%d frames were made for two languages, want 2", got)
	}
	var said []heard
	var known []any
	for _, conn := range conns {
		_, data, err := conn.ReadMessage()
		if err != nil {
			t.Fatal(err)
		}
		checkJSON(t, form, data)
		var f heard
		if err := json.Unmarshal(data, &f); err != nil {
			t.Fatal(err)
		}
		said, known = append(said, f), append(known, facts(t, data))
	}
	if !reflect.DeepEqual(known[0], known[1]) {
		t.Errorf("one reader got %v, the other %v; want the same facts", known[0], known[1])
	}
	for i, want := range []struct{ language, causes, mark, same, label string }{
		{"en", "5.4 from the faders, 0.4 from the stage", "since {at}, when you set it", "It is the same balance, 4.3 dB louder.", "band DCA"},
		{"de", "5,4 von den Fadern, 0,4 von der Bühne", "since {at}, von dir gesetzt", "Es ist dieselbe Balance, 4,3 dB lauter.", "DCA band"},
	} {
		f := said[i]
		if f.Language != want.language || f.Now.Words.Causes != want.causes || f.Now.Words.Mark != want.mark ||
			f.Now.Card.Words.What[2] != want.same || f.Entries[0].Words.What[2] != want.same || f.Entries[1].Who.Label != want.label {
			t.Errorf("in %s came %+v, want %+v", tags[i], f, want)
		}
	}
	if !reflect.DeepEqual(said[1], said[2]) {
		t.Errorf("a reader of %s got %+v, want what one of %s gets", tags[2], said[2], tags[1])
	}
}

func TestWhichLanguage(t *testing.T) {
	c := bilingual(t)
	for _, test := range []struct{ name, house, asked, want string }{
		{"nobody chose", "", "", "en"}, {"the house did", "de", "", "de"}, {"the reader did", "de", "en", "en"},
		{"one that is not known", "de", "ja", "de"}, {"one that is not known and no house", "", "ja", "en"},
		{"no language at all", "de", "%22%3Cb%3E", "de"}, {"too much of it", "de", strings.Repeat("x-", 3000), "de"},
	} {
		t.Run(test.name, func(t *testing.T) {
			s := New(Options{Words: c, Language: test.house, Setup: always(liveSetup().setup)})
			path := "/api/state"
			if test.asked != "" {
				path += "?lang=" + test.asked
			}
			var f heard
			if err := json.Unmarshal(ask(s, "localhost", path).Body.Bytes(), &f); err != nil {
				t.Fatal(err)
			}
			if f.Language != test.want || len(f.Languages) != 2 || f.Languages[0].Tag != "en" || f.Languages[1].Name != "Deutsch" {
				t.Errorf("got %q of %v, want %q of en and de", f.Language, f.Languages, test.want)
			}
		})
	}
}

func TestSetupSpeaksTheReadersLanguage(t *testing.T) {
	st := liveSetup().setup
	st.Link.Says = rules.Say("link.heard", rules.Figure{Name: "age", Value: 0.1, Unit: rules.Seconds})
	s := New(Options{Words: bilingual(t), Setup: always(st)})
	for path, want := range map[string]string{"/api/setup": "heard 0.1 s ago", "/api/setup?lang=de": "vor 0,1 s gehört"} {
		if got := ask(s, "localhost", path).Body.String(); !strings.Contains(got, want) {
			t.Errorf("%s says %.300s, want %q in it", path, got, want)
		}
	}
}

// With one language there is nothing to choose. With two the page asks for the one
// that was chosen, now and when it is opened again, and writes figures as it does.
func TestReaderChoosesALanguage(t *testing.T) {
	p := pageTest{T: t, tab: newBrowser(t)}
	p.server = serve(t, "127.0.0.1:0", Options{Words: bilingual(t)})
	st := ratchetStory("", "")
	defer p.server.tell(st).stop()
	p.watchConsole()
	p.do(chromedp.EmulateViewport(1180, 820), chromedp.Navigate(p.server.url()))
	const said = `document.getElementById("rise-number").textContent + " " + document.getElementById("rest").textContent + " " + document.getElementById("mark").textContent === `
	p.waitFor(said + `"+5.8 Mostly the faders. Mark this mix" && document.documentElement.lang === "en"`)
	p.do(click("#pages-summary"))
	p.waitFor(`document.getElementById("language").checkVisibility() && document.getElementById("language").selectedOptions[0].textContent === "English"`)
	p.checkTargets()
	p.do(chromedp.Evaluate[chromedp.Void](`(s => { s.value = "de"; s.dispatchEvent(new Event("change")); })(document.getElementById("language"))`))
	const german = said + `"+5,8 Vor allem die Fader. Diesen Mix merken" && document.documentElement.lang === "de"
		&& document.getElementById("card-rest").textContent.endsWith("4,3 dB lauter.") && document.querySelector("#beam em").textContent === "faders +5,4"
		&& document.getElementById("language").value === "de" && document.querySelectorAll("#language option").length === 2`
	p.waitFor(german)
	p.do(chromedp.Navigate(p.server.url()))
	p.waitFor(german)
	p.shootInto("languages-tablet")
	p.do(chromedp.EmulateViewport(390, 844))
	p.waitFor(`innerWidth === 390 && document.querySelector("footer").getBoundingClientRect().height < 56 && document.documentElement.scrollWidth <= innerWidth`)
	p.checkTargets()
	p.shootInto("languages-phone")
}

// shootInto keeps a picture beside those of the stories, when they are wanted.
func (p pageTest) shootInto(name string) {
	p.Helper()
	if *storiesDir != "" {
		shoot(p.T, p.tab, filepath.Join(*storiesDir, name+".png"))
	}
}

func TestOneLanguageIsNoChoice(t *testing.T) {
	english, err := words.LoadFrom(fstest.MapFS{"en.yaml": {Data: englishFile(t)}})
	if err != nil {
		t.Fatal(err)
	}
	p := newPageTestIn(t, english, calmStory())
	p.waitFor(`document.getElementById("language").hidden`)
}
