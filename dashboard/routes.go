package dashboard

import (
	"encoding/json"
	"net/http"
	"unicode"
	"unicode/utf8"

	"pawl/dashboard/keys"
)

// Handler answers every address of the page; FRAMES.md lists them. It may be
// served by a server of the caller's own, but then nobody ends the live
// connections: prefer Serve.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	s.forAll(mux)
	if s.options.First != nil {
		s.firstHour(mux)
		return s.guard(mux)
	}
	page := func(pattern string, least keys.Role, file string) {
		mux.HandleFunc(pattern, s.admit(least, true, s.servePage(file)))
	}
	page("GET /{$}", keys.Watch, "index.html")
	page("GET /coach", keys.Coach, "coach.html")
	page("GET /setup", keys.Installer, "setup.html")
	page("GET /review", keys.Watch, "review.html")
	page("GET /review/{id}", keys.Watch, "service.html")
	page("GET /linecheck", keys.Watch, "linecheck.html")
	mux.HandleFunc("GET /sheet", s.admit(keys.Watch, true, s.sheet))
	answer := func(pattern string, least keys.Role, by http.HandlerFunc) {
		mux.HandleFunc(pattern, s.admit(least, false, by))
	}
	answer("GET /live", keys.Watch, s.live)
	answer("GET /api/state", keys.Watch, s.state)
	answer("GET /api/setup", keys.Installer, s.setup)
	answer("POST /api/segment", keys.Watch, s.segment)
	answer("GET /api/review/services", keys.Watch, s.reviewList)
	answer("GET /api/review/services/{id}", keys.Watch, s.reviewOne)
	answer("GET /api/review/services/{id}/curves", keys.Watch, s.reviewCurves)
	answer("GET /api/review/weeks", keys.Watch, s.reviewWeeks)
	answer("POST /api/review/services", keys.Coach, s.reviewEdit)
	answer("POST /api/review/services/{id}", keys.Coach, s.reviewEdit)
	answer("GET /api/linecheck", keys.Watch, s.lineCheck)
	answer("POST /api/linecheck", keys.Watch, s.pressLine)
	answer("POST /api/review/services/{id}/otherwise", keys.Coach, s.otherwise)
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) { plain(w, http.StatusOK, "alive") })
	mux.HandleFunc("GET /readyz", s.ready)
	if s.options.Metrics != nil {
		answer("GET /metrics", keys.Watch, s.options.Metrics.ServeHTTP)
	}
	return s.guard(mux)
}

// forAll is what is served to whoever has no key yet, and at all times.
func (s *Server) forAll(mux *http.ServeMux) {
	mux.HandleFunc("GET /assets/{hash}/{name...}", s.assets.serveFile)
	mux.HandleFunc("GET /pair", s.servePage("pair.html"))
	mux.HandleFunc("POST /api/pair", s.pair)
	mux.HandleFunc("GET /api/may", s.admit(keys.Watch, false, s.mayAnswer))
	mux.HandleFunc("GET /api/keys", s.admit(keys.Installer, false, s.listKeys))
	mux.HandleFunc("POST /api/keys", s.admit(keys.Installer, false, s.pressKeys))
}

// firstHour is what is served while there is no house to watch yet.
func (s *Server) firstHour(mux *http.ServeMux) {
	mux.Handle("GET /{$}", http.RedirectHandler("/setup", http.StatusSeeOther))
	mux.HandleFunc("GET /setup", s.admit(keys.Installer, true, s.servePage("first.html")))
	mux.HandleFunc("GET /api/first", s.admit(keys.Installer, false, s.first))
	mux.HandleFunc("POST /api/first", s.admit(keys.Installer, false, s.pressFirst))
	// By which the page knows when watching has begun.
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) { plain(w, http.StatusOK, "alive, in its first hour") })
}

// state is the whole frame, for whoever would rather ask than listen.
func (s *Server) state(w http.ResponseWriter, r *http.Request) {
	a := s.audience(r)
	if s.noCoach(w, r, a) {
		return
	}
	data, err := s.hub.snapshot(a)
	if err != nil {
		plain(w, http.StatusInternalServerError, "write the state: "+err.Error())
		return
	}
	sendJSON(w, http.StatusOK, data)
}

func (s *Server) ready(w http.ResponseWriter, _ *http.Request) {
	if s.options.Ready != nil {
		if err := s.options.Ready(); err != nil {
			plain(w, http.StatusServiceUnavailable, err.Error())
			return
		}
	}
	plain(w, http.StatusOK, "ready")
}

// answerJSON sends an answer that is made for the one who asks.
func answerJSON(w http.ResponseWriter, status int, answer any) {
	data, err := json.Marshal(answer)
	if err != nil {
		plain(w, http.StatusInternalServerError, "write the answer: "+err.Error())
		return
	}
	sendJSON(w, status, data)
}

func sendJSON(w http.ResponseWriter, status int, data []byte) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, _ = w.Write(data)
}

// sentence is a reason as a sentence of its own.
func sentence(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + text[size:] + "."
}

func plain(w http.ResponseWriter, status int, text string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, _ = w.Write([]byte(text + "\n"))
}
