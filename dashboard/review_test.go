package dashboard

import (
	"encoding/json"
	"fmt"
	"net/http/httptest"
	"strings"
	"testing"

	"pawl/daemon/timeline"
)

// Every story, as it really leaves the server.
func TestReviewKeepsToTheSchema(t *testing.T) {
	t.Parallel()
	weeks := schema(t, "#/$defs/Weeks")
	list, one, curves := schema(t, "#/$defs/ReviewList"), schema(t, "#/$defs/ReviewOne"), schema(t, "#/$defs/Curves")
	for _, st := range reviewStories() {
		review := st.review(t)
		s := New(Options{Review: review})
		w := ask(s, "localhost", "/api/review/services")
		if w.Code != 200 {
			if w.Code != 404 && w.Code != 503 || !strings.Contains(w.Header().Get("Content-Type"), "text/plain") || strings.TrimSpace(w.Body.String()) == "" {
				t.Errorf("%s: %d %q", st.name, w.Code, w.Body)
			}
			continue
		}
		checkJSON(t, list, w.Body.Bytes())
		checkJSON(t, weeks, ask(s, "localhost", "/api/review/weeks").Body.Bytes())
		all, err := review.List()
		if err != nil {
			t.Fatal(err)
		}
		for _, service := range all {
			at := fmt.Sprintf("/api/review/services/%d", service.ID)
			checkJSON(t, one, ask(s, "localhost", at).Body.Bytes())
			checkJSON(t, curves, ask(s, "localhost", at+"/curves").Body.Bytes())
			checkJSON(t, curves, ask(s, "localhost", at+"/curves?from=10&until=40&points=7").Body.Bytes())
		}
	}
}

// A query that makes no sense gets what is nearest to it, and never more than a screen
// can show.
func TestReviewCurvesOfNonsense(t *testing.T) {
	s := New(Options{Review: of(ratchetEvening)(t)})
	for _, query := range []string{"from=x&until=y&points=z", "from=NaN&until=Inf&points=99999999999999999999", "from=1e300&until=-1e300&points=-3", "from=40&until=10&points=0"} {
		w := ask(s, "localhost", "/api/review/services/1/curves?"+query)
		var c timeline.Curves
		if err := json.Unmarshal([]byte(strings.ReplaceAll(w.Body.String(), "null", "0")), &c); err != nil || w.Code != 200 || len(c.Rise) == 0 || len(c.Rise) > timeline.MostPoints {
			t.Errorf("%s: %d, %d points, %v", query, w.Code, len(c.Rise), err)
		}
	}
	for _, path := range []string{"/api/review/services/2", "/api/review/services/x", "/api/review/services/-1/curves", "/api/review/services/99999999999999999999"} {
		if w := ask(s, "localhost", path); w.Code != 404 || !strings.Contains(w.Body.String(), "no such service") {
			t.Errorf("%s: %d %q", path, w.Code, w.Body)
		}
	}
}

// TestReviewEdits: what is asked is done, what cannot be is refused in words, and a page
// of somebody else's may do nothing.
func TestReviewEdits(t *testing.T) {
	const j, services = "application/json", "/api/review/services"
	for _, c := range []struct {
		name, path, body, kind, origin string
		status                         int
		refused                        string
		number                         int
	}{
		{name: "a name", path: "/1", body: `{"do":"rename","text":"<b>Harvest</b>"}`, status: 200, number: 1},
		{name: "who was mixing", path: "/1", body: `{"do":"label","text":"late team"}`, status: 200, number: 1},
		{name: "a note", path: "/1", body: `{"do":"note","t":30,"text":"more piano"}`, status: 200, number: 1},
		{name: "a split", path: "/1", body: `{"do":"split","t":60}`, status: 200, number: 3},
		{name: "a join", path: "/2", body: `{"do":"join","with":1}`, status: 200, number: 1},
		{name: "a deletion", path: "/1", body: `{"do":"delete"}`, status: 200, number: 1},
		{name: "a split outside", path: "/1", body: `{"do":"split","t":99999}`, status: 409, refused: "one side of that moment"},
		{name: "a join with itself", path: "/1", body: `{"do":"join","with":1}`, status: 409, refused: "they are one"},
		{name: "a note that is too long", path: "/1", body: `{"do":"note","text":"` + strings.Repeat("x", 500) + `"}`, status: 409, refused: "400"},
		{name: "a name of two lines", path: "/1", body: `{"do":"rename","text":"a\nb"}`, status: 409, refused: "one line"},
		{name: "of no service", path: "/9", body: `{"do":"delete"}`, status: 404, refused: "no such service"},
		{name: "a note that is not there", path: "/1", body: `{"do":"unnote","with":5}`, status: 409, refused: "no such note"},
		{name: "nothing like it", path: "/1", body: `{"do":"praise"}`, status: 400, refused: "no such edit"},
		{name: "a beginning of a service", path: "/1", body: `{"do":"begin"}`, status: 400, refused: "no such edit"},
		{name: "a beginning", path: "", body: `{"do":"begin"}`, status: 409, refused: "not been heard"},
		{name: "an end of none", path: "", body: `{"do":"end"}`, status: 409, refused: "no service goes on"},
		{name: "a deletion of all", path: "", body: `{"do":"delete"}`, status: 400, refused: "no such edit"},
		{name: "from another page", path: "/1", body: `{"do":"delete"}`, origin: "http://elsewhere.example", status: 403, refused: "elsewhere"},
		{name: "as a form may send it", path: "/1", body: `{"do":"delete"}`, kind: "text/plain", status: 415, refused: "application/json"},
		{name: "a key that is not there", path: "/1", body: `{"do":"delete","sure":true}`, status: 400, refused: "sure"},
		{name: "endless", path: "/1", body: `{"text":"` + strings.Repeat("x", 1<<20), status: 413, refused: "at most"},
	} {
		t.Run(c.name, func(t *testing.T) {
			review := of(ratchetEvening, ratchetEvening)(t)
			before := listText(t, review)
			r := httptest.NewRequest("POST", "http://127.0.0.1"+services+c.path, strings.NewReader(c.body))
			r.Header.Set("Content-Type", j)
			if c.kind != "" {
				r.Header.Set("Content-Type", c.kind)
			}
			if c.origin != "" {
				r.Header.Set("Origin", c.origin)
			}
			w := httptest.NewRecorder()
			New(Options{Review: review}).Handler().ServeHTTP(w, r)
			var a answer
			if err := json.Unmarshal(w.Body.Bytes(), &a); err != nil || w.Code != c.status || (c.refused == "") != (a.Refused == "") || !strings.Contains(a.Refused, c.refused) || a.Number != c.number {
				t.Errorf("got %d %s (%v), want %d, number %d, refused %q", w.Code, w.Body, err, c.status, c.number, c.refused)
			}
			checkJSON(t, schema(t, "#/$defs/Answer"), w.Body.Bytes())
			if same := listText(t, review) == before; c.status != 200 && !same {
				t.Error("it was refused, and something changed")
			}
		})
	}
}

// listText is the list as JSON, to compare.
func listText(t *testing.T, review Review) string {
	t.Helper()
	all, err := review.List()
	if err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func TestReviewWithoutARecord(t *testing.T) {
	s := New(Options{})
	for _, path := range []string{"", "/1", "/1/curves"} {
		if w := ask(s, "localhost", "/api/review/services"+path); w.Code != 404 || strings.TrimSpace(w.Body.String()) != "this Pawl keeps no record" {
			t.Errorf("%q: %d %q", path, w.Code, w.Body)
		}
	}
	r := httptest.NewRequest("POST", "http://127.0.0.1/api/review/services/1", strings.NewReader(`{"do":"delete"}`))
	r.Header.Set("Content-Type", "application/json")
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, r)
	if w.Code != 404 || !strings.Contains(w.Body.String(), "this Pawl keeps no record") {
		t.Errorf("an edit: %d %q", w.Code, w.Body)
	}
}
