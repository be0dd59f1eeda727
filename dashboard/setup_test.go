package dashboard

import (
	"encoding/json"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"pawl/rules/desk"
)

func setupSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	return schema(t, "#/$defs/SetupAnswer")
}

// always is a Setup that is ready and does not change.
func always(s Setup) func() (Setup, bool) { return func() (Setup, bool) { return s, true } }

func askSetup(t *testing.T, setup func() (Setup, bool)) *httptest.ResponseRecorder {
	t.Helper()
	return ask(New(Options{Setup: setup}), "localhost", "/api/setup")
}

// Every story, as it really leaves the server.
func TestSetupKeepsToTheSchema(t *testing.T) {
	form := setupSchema(t)
	checkJSON(t, form, askSetup(t, always(Setup{Link: Link{Phase: "waiting"}})).Body.Bytes())
	for _, st := range setupStories() {
		w := askSetup(t, always(st.setup))
		if w.Code != 200 || w.Header().Get("Cache-Control") != "no-store" {
			t.Errorf("%s: got %d, %v", st.name, w.Code, w.Header())
		}
		checkJSON(t, form, w.Body.Bytes())
	}
}

func TestSetupSchemaRefuses(t *testing.T) {
	form := setupSchema(t)
	whole := askSetup(t, always(liveSetup().setup)).Body.String()
	for name, change := range map[string][2]string{
		"a bare fader":   {`"fader":{"db":-6.5}`, `"fader":-6.5`},
		"one thing more": {`"house":`, `"more than this":1,"house":`},
		"no main":        {`"main":`, `"men":`},
		"another phase":  {`"phase":"hearing"`, `"phase":"humming"`},
	} {
		changed := strings.Replace(whole, change[0], change[1], 1)
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(changed))
		if err != nil || changed == whole {
			t.Fatalf("%s: nothing to refuse: %v", name, err)
		}
		if form.Validate(v) == nil {
			t.Errorf("%s was accepted", name)
		}
	}
}

func TestStripTellsClosedFromUnheard(t *testing.T) {
	fader, level, off, silence := desk.DB(-4), desk.DBFS(-20.25), desk.Off, desk.Silence
	tests := []struct {
		name  string
		strip Strip
		want  string
	}{
		{"not heard", Strip{Number: 3}, `{"number":3,"name":"","element":"","muted":false,"age":0,"fader":null,"level":null}`},
		{"heard", Strip{Number: 3, Name: "piano", Element: "rhythm", Fader: &fader, Level: &level, Muted: true, Age: 0.5},
			`{"number":3,"name":"piano","element":"rhythm","muted":true,"age":0.5,"fader":{"db":-4},"level":{"dbfs":-20.25}}`},
		{"closed", Strip{Fader: &off, Level: &silence},
			`{"number":0,"name":"","element":"","muted":false,"age":0,"fader":{"db":null},"level":{"dbfs":null}}`},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			got, err := json.Marshal(test.strip)
			if err != nil || string(got) != test.want {
				t.Errorf("got %s, %v, want %s", got, err, test.want)
			}
		})
	}
}

func TestSetupWithoutAnswer(t *testing.T) {
	tests := []struct {
		name   string
		setup  func() (Setup, bool)
		status int
		body   string
	}{
		{"not served", nil, 404, "no setup page"},
		{"not ready", func() (Setup, bool) { return Setup{}, false }, 503, "not ready yet"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			w := askSetup(t, test.setup)
			if w.Code != test.status || !strings.Contains(w.Body.String(), test.body) {
				t.Errorf("got %d %q, want %d with %q", w.Code, w.Body, test.status, test.body)
			}
		})
	}
}
