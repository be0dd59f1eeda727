package dashboard

import (
	"bytes"
	"io"
	"net/http"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

// schema compiles frames.schema.json, or one definition in it.
func schema(t *testing.T, fragment string) *jsonschema.Schema {
	t.Helper()
	s, err := jsonschema.NewCompiler().Compile("frames.schema.json" + fragment)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func checkJSON(t *testing.T, s *jsonschema.Schema, data []byte) {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(v); err != nil {
		t.Errorf("%.200s…\n%v", data, err)
	}
}

// Every story, as it really leaves the server.
func TestFramesKeepToTheSchema(t *testing.T) {
	form := schema(t, "")
	s := serve(t, "127.0.0.1:0", Options{Press: func(rules.Press) error { return nil }})
	conn := dial(t, s)
	next := func() []byte {
		t.Helper()
		_, data, err := conn.ReadMessage()
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	checkJSON(t, form, next()) // before anything was published
	for _, st := range stories() {
		s.Publish(st.now, append(everyKind(), st.entries...), true)
		checkJSON(t, form, next())
		s.Reset()
	}
	checkJSON(t, form, get(t, "http://"+s.at+"/api/state").body)
	if err := conn.WriteJSON(rules.Press{Do: rules.Seen, Number: 3}); err != nil {
		t.Fatal(err)
	}
	checkJSON(t, form, next())
}

func TestExamplesKeepToTheSchema(t *testing.T) {
	page, err := os.ReadFile("FRAMES.md")
	if err != nil {
		t.Fatal(err)
	}
	frames, press := schema(t, ""), schema(t, "#/$defs/Press")
	examples := regexp.MustCompile("(?s)```json\n(.*?)```").FindAllSubmatch(page, -1)
	if len(examples) == 0 {
		t.Fatal("FRAMES.md has no examples")
	}
	for _, example := range examples {
		form := frames
		switch {
		case bytes.HasPrefix(example[1], []byte(`{"do"`)) && bytes.Contains(example[1], []byte(`"input"`)):
			form = schema(t, "#/$defs/LinePress")
		case bytes.HasPrefix(example[1], []byte(`{"do"`)):
			form = press
		case bytes.HasPrefix(example[1], []byte(`{"page"`)) && bytes.Contains(example[1], []byte(`"play_seconds"`)):
			form = schema(t, "#/$defs/LineAnswer")
		case bytes.HasPrefix(example[1], []byte(`{"page"`)):
			form = schema(t, "#/$defs/SetupAnswer")
		case bytes.HasPrefix(example[1], []byte(`{"services"`)):
			form = schema(t, "#/$defs/ReviewList")
		case bytes.HasPrefix(example[1], []byte(`{"service"`)):
			form = schema(t, "#/$defs/ReviewOne")
		case bytes.HasPrefix(example[1], []byte(`{"from"`)):
			form = schema(t, "#/$defs/Curves")
		case bytes.HasPrefix(example[1], []byte(`{"inputs"`)):
			form = schema(t, "#/$defs/Ledger")
		case bytes.HasPrefix(example[1], []byte(`{"traces"`)):
			form = schema(t, "#/$defs/Book")
		case bytes.HasPrefix(example[1], []byte(`{"t"`)):
			form = schema(t, "#/$defs/Edit")
		}
		checkJSON(t, form, example[1])
	}
}

func TestSchemaRefuses(t *testing.T) {
	form := schema(t, "")
	data, err := frame{Frame: "beat", Now: ratchetStory("", "").now.dated(), Entries: everyKind()}.encode(newVoice(words.Own().For("")))
	if err != nil {
		t.Fatal(err)
	}
	checkJSON(t, form, data)
	beat := string(data)
	for name, text := range map[string]string{
		"an unknown frame":          strings.Replace(beat, `"beat"`, `"half"`, 1),
		"no language":               strings.Replace(beat, `"language":"en",`, "", 1),
		"no now":                    `{"frame":"beat","language":"en","entries":[]}`,
		"another phase":             strings.Replace(beat, `"phase":"hearing"`, `"phase":"humming"`, 1),
		"another weight":            strings.Replace(beat, `"weight":"nudge"`, `"weight":"heavy"`, 1),
		"a figure without its unit": strings.Replace(beat, `"faders_db":`, `"faders":`, 1),
		"an entry of two kinds":     strings.Replace(beat, `"entry":"mark"`, `"entry":"move"`, 1),
		"one thing more":            `{"frame":"answer","do":"seen","number":1,"refused":"","more":1}`,
	} {
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if text == beat || form.Validate(v) == nil {
			t.Errorf("%s was accepted", name)
		}
	}
}

// everyKind is one entry of each.
func everyKind() []rules.Entry {
	all := []rules.Entry{
		ratchetCard(), moved(5390, "piano", 2), aSecond(5391, split(1, 0, 0, 0)),
		&rules.Marked{How: desk.LevelKept, Total: -18}, &rules.Parted{Number: 2, Kind: desk.Speech, Name: "the reading"},
		&rules.Pressed{Press: rules.Press{Do: rules.Note, Text: "louder than last week"}},
		&rules.Linked{Heard: true, Away: moment(12)}, &rules.Housed{House: "Harbour Hall"}, &rules.LineChecked{State: rules.LineEnded, How: rules.LineStopped, Inputs: []rules.LineInput{}, Desk: []rules.LineRemark{}, What: []rules.Phrase{}},
	}
	for kind, e := range entries {
		i := slices.IndexFunc(all, func(o rules.Entry) bool { return reflect.TypeOf(o) == reflect.TypeOf(e) })
		all[i].Head().T, all[i].Head().Entry = moment(5390), kind
	}
	return told(all)
}

type reply struct {
	status int
	header http.Header
	body   []byte
}

func get(t *testing.T, url string) reply {
	t.Helper()
	r, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return reply{r.StatusCode, r.Header, body}
}
