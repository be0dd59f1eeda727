package dashboard

import (
	"encoding/json"
	"net/http/httptest"
	"strings"
	"testing"

	"pawl/rules"
	"pawl/rules/desk"
)

// TestSegmentFromElsewhere: a script may say that another part begins, a page of somebody
// else's may not, and what is not taken is answered with why.
func TestSegmentFromElsewhere(t *testing.T) {
	var pressed []rules.Press
	s := New(Options{AllowedHosts: []string{"pawl.local"}, Press: func(p rules.Press) error {
		pressed = append(pressed, p)
		if p.Do == rules.Back {
			return rules.ErrNoTap
		}
		return nil
	}})
	const j = "application/json"
	for _, c := range []struct {
		name, body, kind, host, origin, site string
		status                               int
		refused                              string // a part of it
		want                                 *rules.Press
	}{
		{name: "a part by name", body: `{"kind":"speech","name":"the reading"}`, kind: j, status: 200, want: &rules.Press{Do: rules.NewSegment, Kind: desk.Speech, Text: "the reading"}},
		{name: "the next", body: `{"next":true}`, kind: j + "; charset=utf-8", status: 200, want: &rules.Press{Do: rules.NewSegment, Next: true}},
		{name: "from our own page", body: `{"next":true}`, kind: j, host: "pawl.local:80", origin: "http://pawl.local:80", site: "same-origin", status: 200, want: &rules.Press{Do: rules.NewSegment, Next: true}},
		{name: "taken back, too late", body: `{"back":true}`, kind: j, status: 409, refused: "no part to take back", want: &rules.Press{Do: rules.Back}},
		{name: "from another page", body: `{"next":true}`, kind: j, origin: "http://elsewhere.example", status: 403, refused: "elsewhere"},
		{name: "from a page beside ours", body: `{"next":true}`, kind: j, site: "same-site", status: 403, refused: "elsewhere"},
		{name: "from nowhere", body: `{"next":true}`, kind: j, origin: "null", status: 403, refused: "elsewhere"},
		{name: "by a name that is not ours", body: `{"next":true}`, kind: j, host: "elsewhere.example", status: 403},
		{name: "as a form may send it", body: `{"next":true}`, kind: "text/plain", status: 415, refused: "application/json"},
		{name: "of no type", body: `{"next":true}`, status: 415, refused: "application/json"},
		{name: "nothing", kind: j, status: 400, refused: "want {"},
		{name: "no object", body: `[1]`, kind: j, status: 400, refused: "want {"},
		{name: "a key that is not there", body: `{"nxt":true}`, kind: j, status: 400, refused: "nxt"},
		{name: "two", body: `{"next":true}{"next":true}`, kind: j, status: 400, refused: "more follows"},
		{name: "both", body: `{"next":true,"back":true}`, kind: j, status: 400, refused: "stand alone"},
		{name: "next by name", body: `{"next":true,"name":"reel"}`, kind: j, status: 400, refused: "stand alone"},
		{name: "no such kind", body: `{"kind":"encore"}`, kind: j, status: 400, refused: "no such kind"},
		{name: "two lines", body: `{"kind":"music","name":"a\nb"}`, kind: j, status: 400, refused: "one line"},
		{name: "endless", body: `{"name":"` + strings.Repeat("x", 1<<20), kind: j, status: 413, refused: "at most 2048 bytes"},
		{name: "endless after it", body: `{"next":true}` + strings.Repeat(" ", 1<<20), kind: j, status: 413, refused: "at most 2048 bytes"},
	} {
		t.Run(c.name, func(t *testing.T) {
			pressed = nil
			r := httptest.NewRequest("POST", "http://127.0.0.1/api/segment", strings.NewReader(c.body))
			if c.host != "" {
				r.Host = c.host
			}
			for name, value := range map[string]string{"Content-Type": c.kind, "Origin": c.origin, "Sec-Fetch-Site": c.site} {
				if value != "" {
					r.Header.Set(name, value)
				}
			}
			w := httptest.NewRecorder()
			s.Handler().ServeHTTP(w, r)
			if w.Code != c.status {
				t.Errorf("got %d %q, want %d", w.Code, w.Body, c.status)
			}
			if c.host != "elsewhere.example" {
				var a answer
				if err := json.Unmarshal(w.Body.Bytes(), &a); err != nil || (c.refused == "") != (a.Refused == "") || !strings.Contains(a.Refused, c.refused) {
					t.Errorf("answered %q (%v), want %q", w.Body, err, c.refused)
				}
				checkJSON(t, schema(t, "#/$defs/Answer"), w.Body.Bytes())
			}
			switch {
			case c.want == nil && len(pressed) > 0:
				t.Errorf("pressed %+v", pressed)
			case c.want != nil && (len(pressed) != 1 || pressed[0] != *c.want):
				t.Errorf("pressed %+v, want %+v", pressed, *c.want)
			}
		})
	}
}
