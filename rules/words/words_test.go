package words

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"gopkg.in/yaml.v3"

	"pawl/rules"
	"pawl/rules/desk"
)

// texts reads a catalogue's templates by their whole names, each form apart.
func texts(t *testing.T, file string) map[string]string {
	t.Helper()
	b, err := fs.ReadFile(files, file)
	if err != nil {
		t.Fatal(err)
	}
	return textsIn(t, file, b)
}

// textsIn is texts of a file that may be nowhere but in a test.
func textsIn(t *testing.T, file string, b []byte) map[string]string {
	t.Helper()
	var top map[string]any
	if err := yaml.Unmarshal(b, &top); err != nil {
		t.Fatal(err)
	}
	all := map[string]string{}
	var walk func(name string, v any)
	walk = func(name string, v any) {
		switch v := v.(type) {
		case string:
			all[name] += v
		case map[string]any:
			for k, under := range v {
				if slices.Contains([]string{"zero", "one", "two", "few", "many", "other"}, k) {
					walk(name, under)
				} else {
					walk(strings.TrimPrefix(name+"."+k, "."), under)
				}
			}
		default:
			t.Errorf("%s: %s is neither a text nor a section", file, name)
		}
	}
	walk("", top)
	return all
}

// lacking names what a language still needs, in order: texts that English has, and texts
// that take something else than the English ones.
func lacking(english, have map[string]string) (all []string) {
	for id, text := range english {
		switch mine, ok := have[id]; {
		case !ok || mine == "":
			all = append(all, id+" is missing")
		case !slices.Equal(namesOf(mine), namesOf(text)):
			all = append(all, fmt.Sprintf("%s takes %v, the English one %v", id, namesOf(mine), namesOf(text)))
		case !slices.Equal(bracesOf(mine), bracesOf(text)):
			all = append(all, fmt.Sprintf("%s is filled with %v, the English one with %v", id, bracesOf(mine), bracesOf(text)))
		}
	}
	for id := range have {
		if _, ok := english[id]; !ok {
			all = append(all, id+" is nothing that Pawl says")
		}
	}
	slices.Sort(all)
	return all
}

// bracesOf are the names that a page puts into a label.
func bracesOf(text string) []string {
	found := braces.FindAllString(action.ReplaceAllString(text, ""), -1)
	slices.Sort(found)
	return slices.Compact(found)
}

// TestNoLanguageLacksAnything: a language is whole, or the build names what it lacks.
func TestNoLanguageLacksAnything(t *testing.T) {
	english := texts(t, Default+".yaml")
	for _, name := range catalogues(t) {
		for _, what := range lacking(english, texts(t, name)) {
			t.Errorf("%s: %s", name, what)
		}
	}
}

// TestWhatAThirdLanguageLacks begins a language as DEVELOPERS.md says, with a file that is
// nowhere but here: what is translated is said, and all the rest is named.
func TestWhatAThirdLanguageLacks(t *testing.T) {
	const begun = `
name:
  plain: "{{.of}}"
  and: "{{.some}} ekaj {{.last}}"
page:
  seen: "Vidita"
  refused: "Ne eblis."
ratchet:
  try: "Mallaŭtigu {{list .who}} je {{db .by}}."
  same: "Sama ekvilibro."
gap:
  lost:
    one: "{{count .n}} mankas."
    other: "{{count .n}} mankas."
gossip:
  heard: "Onidire."
`
	english, err := fs.ReadFile(files, Default+".yaml")
	if err != nil {
		t.Fatal(err)
	}
	c, err := LoadFrom(fstest.MapFS{"en.yaml": {Data: english}, "eo.yaml": {Data: []byte(begun)}})
	if err != nil {
		t.Fatal(err)
	}
	if got := c.For("eo").Labels()["seen"]; got != "Vidita" || c.String() != "en, eo" {
		t.Errorf("of %s, the new one calls it %q", c, got)
	}
	whole := texts(t, Default+".yaml")
	got := lacking(whole, textsIn(t, "eo.yaml", []byte(begun)))
	for _, want := range []string{
		"page.refused is filled with [], the English one with [{why}]", "ratchet.same takes [], the English one [by]", "page.calm is missing",
		"gloss.dca.means is missing", "report.found is missing", "fault.full is missing", "gossip.heard is nothing that Pawl says",
	} {
		if !slices.Contains(got, want) {
			t.Errorf("nothing says that %s", want)
		}
	}
	for _, done := range []string{"page.seen", "ratchet.try", "gap.lost", "name.and"} {
		if i := slices.IndexFunc(got, func(s string) bool { return strings.HasPrefix(s, done+" ") }); i >= 0 {
			t.Errorf("it is said that %s", got[i])
		}
	}
	if want := len(whole) - 5 + 1; len(got) != want {
		t.Errorf("%d texts are named, want %d: all but five, and one too many", len(got), want)
	}
}

func catalogues(t *testing.T) []string {
	t.Helper()
	names, err := fs.Glob(files, "*.yaml")
	if err != nil || !slices.Contains(names, Default+".yaml") {
		t.Fatalf("catalogues %v: %v", names, err)
	}
	return names
}

// TestEveryPhraseIsThere: what any rule or screen says has words in every language,
// and no catalogue has words that nobody says.
func TestEveryPhraseIsThere(t *testing.T) {
	said := spoken(t)
	for _, name := range catalogues(t) {
		have := texts(t, name)
		for id := range said {
			if have[id] == "" {
				t.Errorf("%s has no words for %q", name, id)
			}
		}
		for id := range have {
			section, _, _ := strings.Cut(id, ".")
			if !said[id] && section != "name" && section != "span" && section != Glosses && section != typed && !slices.Contains(Pages, section) {
				t.Errorf("%s has words for %q, which nothing says", name, id)
			}
		}
	}
}

// spoken is every phrase that the program says: those that the rules list, those that
// are written out in the source, and those that are made of a word of the desk's.
func spoken(t *testing.T) map[string]bool {
	t.Helper()
	said := map[string]bool{}
	for _, k := range rules.Kinds {
		for _, id := range k.Says {
			said[id] = true
		}
	}
	for _, how := range []desk.How{desk.ByHand, desk.MusicBegan, desk.SceneChanged, desk.Rerouted, desk.LevelKept} {
		said["mark."+string(how)], said["glance.as-"+string(how)] = true, true
	}
	for _, b := range []desk.Basis{desk.OnFaders, desk.Partly} {
		said["basis."+string(b)] = true
	}
	for id := range written(t) {
		said[id] = true
	}
	maps.Copy(said, reported(t))
	for id := range texts(t, Default+".yaml") {
		if strings.HasPrefix(id, "sheet.") { // its page names them, and a test of that wants each
			said[id] = true
		}
	}
	return said
}

// reported is what a report says by names that are put together, and what its page names.
func reported(t *testing.T) map[string]bool {
	t.Helper()
	said := map[string]bool{}
	for _, k := range rules.Kinds {
		said["report.rule-"+k.Name] = true
	}
	for _, unit := range []string{"per_hour", "s", "share", "db", "count"} {
		said["report.unit-"+unit] = true
	}
	for _, sort := range []string{"a-card", "a-card-unshown", "a-line", "a-line-unshown"} {
		said["report."+sort] = true
	}
	page, err := os.ReadFile("../../daemon/review/report.html")
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`say "([a-z-]+)"`).FindAllSubmatch(page, -1) {
		said["report."+string(m[1])] = true
	}
	return said
}

// written is every phrase that the source names: the first argument of Say.
func written(t *testing.T) map[string]bool {
	t.Helper()
	ids, set := map[string]bool{}, token.NewFileSet()
	for _, dir := range []string{"..", ".", "../../daemon", "../../daemon/listen", "../../daemon/review", "../../daemon/store", "../../daemon/survey", "../../dashboard"} {
		paths, err := filepath.Glob(dir + "/*.go")
		if err != nil || len(paths) == 0 {
			t.Fatalf("%s: %v", dir, err)
		}
		for _, path := range paths {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			f, err := parser.ParseFile(set, path, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(f, func(n ast.Node) bool {
				if id, ok := saying(n); ok {
					ids[id] = true
				}
				return true
			})
		}
	}
	return ids
}

func saying(n ast.Node) (id string, ok bool) {
	call, ok := n.(*ast.CallExpr)
	if !ok || len(call.Args) == 0 {
		return "", false
	}
	name := ""
	switch f := call.Fun.(type) {
	case *ast.Ident:
		name = f.Name
	case *ast.SelectorExpr:
		name = f.Sel.Name
	}
	lit, isLit := call.Args[0].(*ast.BasicLit)
	if !slices.Contains([]string{"Say", "Refuse", "of", "fixed", "named"}, name) || !isLit || lit.Kind != token.STRING {
		return "", false
	}
	id, err := strconv.Unquote(lit.Value)
	if name == "fixed" { // a text of the report
		id = "report." + id
	}
	return id, err == nil
}

// TestKindsListWhatTheySay: a rule's phrases that the source names are in its row.
func TestKindsListWhatTheySay(t *testing.T) {
	listed := map[string]bool{}
	for _, k := range rules.Kinds {
		for _, id := range k.Says {
			listed[id] = true
		}
	}
	for id := range written(t) {
		section, _, _ := strings.Cut(id, ".")
		if slices.ContainsFunc(rules.Kinds, func(k rules.Kind) bool { return k.Name == section }) && !listed[id] {
			t.Errorf("%q is said and not in the row of its rule", id)
		}
	}
}

var (
	action = regexp.MustCompile(`(?s){{.*?}}`)
	text   = regexp.MustCompile(`"[^"]*"`)
	field  = regexp.MustCompile(`([a-z]*) *\.([a-z]+)`)
)

// fieldsOf is what a template takes from its phrase, each with the verb that tells
// what it is: "span" for a length of time, "names" for people, "" for a text.
func fieldsOf(template string) map[string]string {
	takes := map[string]string{}
	for _, a := range action.FindAllString(template, -1) {
		for _, m := range field.FindAllStringSubmatch(text.ReplaceAllString(a, ""), -1) {
			verb, name := m[1], m[2]
			if was, ok := takes[name]; !ok || was == "if" || was == "part" || was == "" {
				takes[name] = verb
			}
		}
	}
	return takes
}

func namesOf(template string) []string { return slices.Sorted(maps.Keys(fieldsOf(template))) }

func TestSay(t *testing.T) {
	s := Own().For("en")
	piano, band := desk.Who{Strip: desk.StripInput, Name: "piano"}, desk.Who{Strip: desk.StripDCA, Name: "band"}
	split := func(faders, stage, groups, main, total desk.DB, since float64) rules.Phrase {
		return rules.Say("ratchet.split", rules.DB("faders", faders), rules.DB("stage", stage), rules.DB("groups", groups), rules.DB("main", main),
			rules.DB("total", total), rules.Figure{Name: "since", Value: since, Unit: rules.Seconds})
	}
	for _, c := range []struct {
		p    rules.Phrase
		want string
	}{
		{rules.Phrase{}, ""},
		{rules.Phrase{ID: "no such phrase"}, "no such phrase"},
		{rules.Say("glance.causes", rules.DB("faders", 2.1), rules.DB("stage", -0.5), rules.DB("groups", 0.04), rules.DB("main", 0)),
			"2.1 from the faders, −0.5 from the stage"},
		{rules.Say("glance.causes", rules.DB("faders", 0), rules.DB("stage", 0), rules.DB("groups", -1.1), rules.DB("main", 3)),
			"0.0 from the faders, 0.0 from the stage, −1.1 from the groups, 3.0 from the main"},
		{rules.Say("move.raise", rules.DB("by", 2), rules.DB("to", desk.Off)).Naming("who", piano), "piano up 2.0 dB, to −∞ dB"},
		{split(1.9, 0, 0, 0, 1.9, 65), "From the faders +1.9 dB: the total is 1.9 dB louder than 65 s ago."},
		{split(3.7, 0.5, -1.1, 0, 3.1, 150), "From the faders +3.7 dB, from the stage +0.5 dB, from the groups −1.1 dB: the total is 3.1 dB louder than 2 min 30 s ago."},
		{split(2, -1, 0, -1, 0, 180), "From the faders +2.0 dB, from the stage −1.0 dB, from the main −1.0 dB: the total is as loud as 3 min ago."},
		{split(0, 0, 0, -2, -2, 0), "From the main −2.0 dB: the total is 2.0 dB quieter than 0 s ago."},
		{split(0, 0, 0, 0, 0, 5), "Nothing added to it: the total is as loud as 5 s ago."},
		{rules.Say("ratchet.try", rules.DB("by", 3)).Naming("who", band), "Bring the band DCA down 3.0 dB."},
		{rules.Say("ratchet.try", rules.DB("by", 3)).Naming("who", band, piano), "Bring the band DCA and the piano down 3.0 dB each."},
		{rules.Say("ratchet.raised", rules.DB("least", 2.01), rules.DB("most", 2.04), rules.Time("over", 45e9)).Naming("who", piano, band, piano),
			"Piano, band DCA and piano went up one after another, by 2.0 dB each over 45 s."},
	} {
		if got := s.Say(c.p); got != c.want {
			t.Errorf("%s: got %q, want %q", c.p.ID, got, c.want)
		}
	}
}

// Spanish names nobody "el" or "la", as nobody knows which of the two a name of the house
// is; its verbs count, and its "and" hangs on the sound that follows.
func TestSpanish(t *testing.T) {
	s := Own().For("es-AR")
	input := func(name string) desk.Who { return desk.Who{Strip: desk.StripInput, Name: name} }
	voz, coro, band := input("voz principal"), input("coro"), desk.Who{Strip: desk.StripDCA, Name: "banda"}
	metal := desk.Who{Strip: desk.StripGroup, Name: "metales"}
	for _, c := range []struct {
		p    rules.Phrase
		want string
	}{
		{rules.Say("ratchet.try", rules.DB("by", 3)).Naming("who", band), "Baja DCA banda 3,0 dB."},
		{rules.Say("ratchet.try", rules.DB("by", 3)).Naming("who", voz, coro, band), "Baja voz principal, coro y DCA banda 3,0 dB por fader."},
		{rules.Say("ratchet.try-back").Naming("who", voz), "Devuelve voz principal adonde estaba: no aportó nada."},
		{rules.Say("ratchet.try-back").Naming("who", voz, input("instrumentos")), "Devuelve voz principal e instrumentos adonde estaban: no aportaron nada."},
		{rules.Say("open-mics.try").Naming("who", coro, input("Híbridos")), "Pon coro e Híbridos en mute hasta que hagan falta."},
		{rules.Say("open-mics.try").Naming("who", coro, input("hierros")), "Pon coro y hierros en mute hasta que hagan falta."},
		{rules.Say("open-mics.try").Naming("who", coro), "Pon coro en mute hasta que haga falta."},
		{rules.Say("solo-raise.went", rules.DB("by", 2)).Naming("who", voz).Naming("soloed", coro), "Voz principal subió 2,0 dB mientras sonaba en solo coro."},
		{rules.Say("ratchet.group-holds", rules.DB("by", 1.1)).Naming("who", metal), "Grupo metales quitó 1,1 dB: su compresor aprieta otro tanto más que al principio."},
		{rules.Say("main-down.lowered", rules.DB("down", 3), rules.DB("to", -13)), "El máster está 3,0 dB más abajo mientras suena la música, en −13,0 dB."},
		{rules.Say("muted-voice.speaks", rules.Number("voices", 2), rules.Level("level", -24)).Naming("who", voz, coro),
			"Voz principal y coro están en mute, y 2 personas hablan o cantan por ahí."},
		{rules.Say("ratchet.split", rules.DB("faders", 3.7), rules.DB("stage", 0), rules.DB("groups", -1.1), rules.DB("main", 0), rules.DB("total", 2.6), rules.Time("since", 150e9)),
			"De los faders +3,7 dB, de los grupos −1,1 dB: el total suena 2,6 dB más fuerte que hace 2 min 30 s."},
		{rules.Say("room-loud.dose", rules.Time("since", 3600e9), rules.Number("dose", 1200000), rules.DB("day", 85)), "En 60 min, quien estuviera donde está el micrófono ha recibido el " +
			"1.200.000 % de la dosis de un día, según la cuenta de NIOSH 98-126 (85,0 dB(A) durante 8 h)."},
	} {
		if got := s.Say(c.p); got != c.want {
			t.Errorf("%s: got %q, want %q", c.p.ID, got, c.want)
		}
	}
}

// TestNothingIsLeftInEnglish: no text of another language is the English one, but for
// those that have no words of their own to speak of.
func TestNothingIsLeftInEnglish(t *testing.T) {
	english, braces, word := texts(t, Default+".yaml"), regexp.MustCompile(`{.*?}`), regexp.MustCompile(`\pL{4,}`)
	for _, name := range catalogues(t) {
		for id, text := range texts(t, name) {
			own := strings.NewReplacer("fader", "", "Fader", "", "ratio", "", "dBFS", "", "Pawl", "", "Total", "").Replace(braces.ReplaceAllString(action.ReplaceAllString(text, ""), ""))
			if name != Default+".yaml" && text == english[id] && word.MatchString(own) {
				t.Errorf("%s: %s is still in English: %q", name, id, text)
			}
		}
	}
}

func TestLabels(t *testing.T) {
	s := Own().For("en")
	for _, c := range []struct {
		who  desk.Who
		want string
	}{
		{desk.Who{Strip: desk.StripInput, Name: "piano"}, "piano"}, {desk.Who{Strip: desk.StripDCA, Name: "band"}, "band DCA"},
		{desk.Who{Strip: desk.StripDCA, Name: "Low DCA"}, "Low DCA"}, {desk.Who{Strip: desk.StripGroup, Name: "brass"}, "brass group"},
		{desk.Who{Strip: desk.StripGroup, Name: "drum group"}, "drum group"}, {desk.Who{Strip: desk.StripMain, Name: "main"}, "main"},
	} {
		if got := s.Label(c.who).Label; got != c.want {
			t.Errorf("%v: %q, want %q", c.who, got, c.want)
		}
	}
}

// A second language is a file and nothing else: numbers, plurals and lists are its
// own, and a reader of a dialect of it gets it.
func TestAnotherLanguage(t *testing.T) {
	c, err := LoadFrom(fstest.MapFS{
		"en.yaml": {Data: []byte("glance:\n  rise: \"{{plus .rise}}\"\n  only: here\n")},
		"es.yaml": {Data: []byte("glance:\n  rise: \"{{plus .rise}} más\"\nname:\n  plain: \"{{.of}}\"\n  and: \"{{.some}} y {{.last}}\"\n  dca: \"DCA {{.of}}\"\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	if got := c.For("es-MX").Say(rules.Say("glance.rise", rules.DB("rise", -2.5))); got != "−2,5 dB más" {
		t.Errorf("got %q, want the decimal comma of Spanish", got)
	}
	if got := c.For("es").Label(desk.Who{Strip: desk.StripDCA, Name: "banda"}).Label; got != "DCA banda" {
		t.Errorf("got %q, want the order of Spanish", got)
	}
	if got := c.For("xx").Tag(); got != "en" {
		t.Errorf("a reader of no language we have gets %q", got)
	}
	if got := fmt.Sprint(c.Languages()); got != "[{en English} {es español}]" || !c.Has("es") || c.Has("fr") {
		t.Errorf("languages %s", got)
	}
}

func BenchmarkSay(b *testing.B) {
	s := Own().For("en")
	p := rules.Say("glance.causes", rules.DB("faders", 2.1), rules.DB("stage", -0.5), rules.DB("groups", 0.4), rules.DB("main", 0))
	b.ReportAllocs()
	for b.Loop() {
		s.Say(p)
	}
}

// TestLineSummary: what a terminal prints and a report holds of a line check.
func TestLineSummary(t *testing.T) {
	s := Own().For("en")
	fiddle, band := desk.Who{Strip: desk.StripInput, Name: "fiddle"}, desk.Who{Strip: desk.StripDCA, Name: "band"}
	low := rules.LineRemark{Kind: rules.LineLow, Says: rules.Say("line.low", rules.Level("mean", -30.03), rules.Level("least", -24)), Try: rules.Say("line.raise", rules.DB("by", 6))}
	dca := rules.LineRemark{Kind: rules.LineDCA, Says: rules.Say("line.dca", rules.DB("at", -3), rules.Number("inputs", 8)).Naming("who", band), Try: rules.Say("line.dca-try")}
	e := &rules.LineChecked{
		State: rules.LineEnded, Inputs: []rules.LineInput{{Who: fiddle, DCAs: []desk.Who{band}, Remarks: []rules.LineRemark{low}}}, Desk: []rules.LineRemark{dca},
		What: []rules.Phrase{rules.Say("line.sum", rules.Number("checked", 1), rules.Number("all", 2), rules.Number("fine", 0), rules.Time("took", 66e9)), rules.Say("line.left").Naming("who", fiddle)},
	}
	want := []string{
		"Line check, 66 s: 1 of 2 inputs heard, 0 of them with nothing to mend.", "Not heard: fiddle.",
		"Fiddle: Low: −30.0 dBFS on average, and −24.0 dBFS is where the guide begins. Raise its gain by 6.0 dB.",
		"Band DCA stands at −3.0 dB, and moves 8 of the inputs. Put it to 0 dB, unless that is meant.",
	}
	if got := s.LineSummary(e); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	said := s.Entry(e).(*rules.LineChecked)
	if said.Inputs[0].Remarks[0].Words.Try != "Raise its gain by 6.0 dB." || said.Inputs[0].DCAs[0].Label != "band DCA" || len(said.Words) != 2 {
		t.Errorf("said %+v", said)
	}
	if e.Inputs[0].Remarks[0].Words != nil || e.Inputs[0].DCAs[0].Label != "" {
		t.Error("the entry itself was changed")
	}
}
