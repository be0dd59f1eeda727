package dashboard

import (
	"bytes"
	"io"
	"net/http"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
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
	s := serve(t, "127.0.0.1:0", Options{Commands: func(Command) error { return nil }})
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
		s.Publish(st.state, st.tide, st.steps, true)
		checkJSON(t, form, next())
		s.Reset()
	}
	checkJSON(t, form, get(t, "http://"+s.at+"/api/state").body)
	if err := conn.WriteJSON(Command{Do: "seen", Number: 3}); err != nil {
		t.Fatal(err)
	}
	checkJSON(t, form, next())
}

func TestExamplesKeepToTheSchema(t *testing.T) {
	page, err := os.ReadFile("FRAMES.md")
	if err != nil {
		t.Fatal(err)
	}
	frames, command := schema(t, ""), schema(t, "#/$defs/command")
	examples := regexp.MustCompile("(?s)```json\n(.*?)```").FindAllSubmatch(page, -1)
	if len(examples) == 0 {
		t.Fatal("FRAMES.md has no examples")
	}
	for _, example := range examples {
		form := frames
		switch {
		case bytes.HasPrefix(example[1], []byte(`{"do"`)):
			form = command
		case bytes.HasPrefix(example[1], []byte(`{"page"`)):
			form = setupSchema(t)
		}
		checkJSON(t, form, example[1])
	}
}

func TestSchemaRefuses(t *testing.T) {
	form := schema(t, "")
	for name, text := range map[string]string{
		"an unknown frame": `{"frame":"half","state":{},"tide":[],"steps":[]}`,
		"no state":         `{"frame":"beat","tide":[],"steps":[]}`,
		"one thing more":   `{"frame":"answer","do":"seen","number":1,"refused":"","more":1}`,
	} {
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if form.Validate(v) == nil {
			t.Errorf("%s was accepted", name)
		}
	}
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
