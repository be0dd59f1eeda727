package dashboard

import (
	"bytes"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
)

func TestRoutes(t *testing.T) {
	metrics := http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { _, _ = io.WriteString(w, "pawl_up 1\n") })
	s := New(Options{Metrics: metrics})
	bare := New(Options{Ready: func() error { return errors.New("the house file is not read yet") }})
	tests := []struct {
		name, method, path string
		of                 *Server
		status             int
		body               string
	}{
		{"the page", "GET", "/", s, 200, "<title>Pawl</title>"},
		{"the state", "GET", "/api/state", s, 200, `"phase":"waiting"`},
		{"alive", "GET", "/healthz", s, 200, "alive"},
		{"ready", "GET", "/readyz", s, 200, "ready"},
		{"not ready", "GET", "/readyz", bare, 503, "the house file is not read yet"},
		{"metrics", "GET", "/metrics", s, 200, "pawl_up 1"},
		{"no metrics", "GET", "/metrics", bare, 404, ""},
		{"the list of services", "GET", "/review", s, 200, ">Review · Pawl</title>"},
		{"one service", "GET", "/review/12", s, 200, ">Service · Pawl</title>"},
		{"nothing there", "GET", "/coffee", s, 404, ""},
		{"a file of another version", "GET", "/assets/0000000000000000/app.js", s, 404, ""},
		{"a file we keep to ourselves", "GET", "/assets/" + s.assets.hash + "/index.html", s, 404, ""},
		{"a way out of the folder", "GET", "/assets/" + s.assets.hash + "/..%2fserve.go", s, 404, ""},
		{"not to be written", "POST", "/api/state", s, 405, ""},
		{"no websocket", "GET", "/live", s, 400, ""},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			w := httptest.NewRecorder()
			r := httptest.NewRequest(test.method, "http://127.0.0.1"+test.path, nil)
			test.of.Handler().ServeHTTP(w, r)
			if w.Code != test.status || !strings.Contains(w.Body.String(), test.body) {
				t.Errorf("got %d %.80q, want %d with %q", w.Code, w.Body, test.status, test.body)
			}
		})
	}
}

func TestHeaders(t *testing.T) {
	s := New(Options{})
	h := ask(s, "127.0.0.1:80", "/").Header()
	policy := h.Get("Content-Security-Policy")
	for _, want := range []string{"default-src 'none'", "script-src 'self'", "connect-src 'self' ws://127.0.0.1:80 ", "frame-ancestors 'none'"} {
		if !strings.Contains(policy, want) {
			t.Errorf("the policy %q lacks %q", policy, want)
		}
	}
	if strings.Contains(policy, "unsafe") {
		t.Errorf("the policy %q lets scripts in from the page itself", policy)
	}
	for name, want := range map[string]string{"X-Content-Type-Options": "nosniff", "Cache-Control": "no-cache", "Referrer-Policy": "no-referrer"} {
		if got := h.Get(name); got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
}

func TestHosts(t *testing.T) {
	s := New(Options{AllowedHosts: []string{"pawl.local."}})
	for host, want := range map[string]int{
		"127.0.0.1:80": 200, "10.0.0.4": 200, "[::1]:80": 200, "[fe80::1]": 200, "localhost": 200, "LOCALHOST:1": 200, "pawl.local": 200,
		"pawl.local.": 200, "elsewhere.example": 403, "pawl.local.elsewhere.example": 403, "[fe80::1%25;x]:80": 403, "": 403, "localhost:x": 403,
	} {
		if got := ask(s, host, "/").Code; got != want {
			t.Errorf("host %q: got %d, want %d", host, got, want)
		}
	}
}

func ask(s *Server, host, path string) *httptest.ResponseRecorder {
	r := httptest.NewRequest("GET", "http://127.0.0.1"+path, nil)
	r.Host = host
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, r)
	return w
}

// Every file that the page and its parts name is there, with a type of its own
// and leave to be kept for ever.
func TestAssets(t *testing.T) {
	s := New(Options{})
	named := regexp.MustCompile(`(?:href|src)="(/assets/[^"]+)"`).FindAllStringSubmatch(string(s.assets.pages["en/index.html"])+string(s.assets.pages["en/setup.html"])+
		string(s.assets.pages["en/review.html"])+string(s.assets.pages["en/service.html"]), -1)
	if len(named) < 10 {
		t.Fatalf("the pages name %d files, want more", len(named))
	}
	for _, m := range named {
		w := ask(s, "localhost", m[1])
		if w.Code != 200 || w.Header().Get("Content-Type") == "" || !strings.Contains(w.Header().Get("Cache-Control"), "immutable") {
			t.Errorf("%s: %d, %v", m[1], w.Code, w.Header())
		}
	}
}

// The page must work in a hall with no internet, so it names nothing outside.
func TestNothingFromOutside(t *testing.T) {
	outside := regexp.MustCompile(`(?:https?:)?//[a-z0-9-]+\.[a-z]`)
	for name, data := range New(Options{}).assets.files {
		if strings.HasPrefix(name, "vendor/") || strings.HasSuffix(name, "licence.txt") || strings.HasSuffix(name, ".svg") {
			continue // comments there name their authors, and SVG names its own namespace
		}
		data = bytes.ReplaceAll(data, []byte("http://www.w3.org/2000/svg"), nil) // a name, which nobody asks for
		if found := outside.Find(data); found != nil {
			t.Errorf("%s names %s", name, found)
		}
	}
}
