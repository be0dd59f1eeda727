package dashboard

import (
	"net/http"
	"unicode"
	"unicode/utf8"
)

// Handler answers every address of the page; FRAMES.md lists them. It may be
// served by a server of the caller's own, but then nobody ends the live
// connections: prefer Serve.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	if s.options.First != nil {
		return s.guard(s.firstHour(mux))
	}
	mux.HandleFunc("GET /{$}", s.servePage("index.html"))
	mux.HandleFunc("GET /coach", s.servePage("coach.html"))
	mux.HandleFunc("GET /setup", s.servePage("setup.html"))
	mux.HandleFunc("GET /review", s.servePage("review.html"))
	mux.HandleFunc("GET /review/{id}", s.servePage("service.html"))
	mux.HandleFunc("GET /linecheck", s.servePage("linecheck.html"))
	mux.HandleFunc("GET /sheet", s.sheet)
	mux.HandleFunc("GET /assets/{hash}/{name...}", s.assets.serveFile)
	mux.HandleFunc("GET /live", s.live)
	mux.HandleFunc("GET /api/state", s.state)
	mux.HandleFunc("GET /api/setup", s.setup)
	mux.HandleFunc("POST /api/segment", s.segment)
	mux.HandleFunc("GET /api/review/services", s.reviewList)
	mux.HandleFunc("GET /api/review/services/{id}", s.reviewOne)
	mux.HandleFunc("GET /api/review/services/{id}/curves", s.reviewCurves)
	mux.HandleFunc("GET /api/review/weeks", s.reviewWeeks)
	mux.HandleFunc("POST /api/review/services", s.reviewEdit)
	mux.HandleFunc("POST /api/review/services/{id}", s.reviewEdit)
	mux.HandleFunc("GET /api/linecheck", s.lineCheck)
	mux.HandleFunc("POST /api/linecheck", s.pressLine)
	mux.HandleFunc("POST /api/review/services/{id}/otherwise", s.otherwise)
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) { plain(w, http.StatusOK, "alive") })
	mux.HandleFunc("GET /readyz", s.ready)
	if s.options.Metrics != nil {
		mux.Handle("GET /metrics", s.options.Metrics)
	}
	return s.guard(mux)
}

// firstHour is what is served while there is no house to watch yet.
func (s *Server) firstHour(mux *http.ServeMux) *http.ServeMux {
	mux.Handle("GET /{$}", http.RedirectHandler("/setup", http.StatusSeeOther))
	mux.HandleFunc("GET /setup", s.servePage("first.html"))
	mux.HandleFunc("GET /assets/{hash}/{name...}", s.assets.serveFile)
	mux.HandleFunc("GET /api/first", s.first)
	mux.HandleFunc("POST /api/first", s.pressFirst)
	// By which the page knows when watching has begun.
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) { plain(w, http.StatusOK, "alive, in its first hour") })
	return mux
}

// state is the whole frame, for whoever would rather ask than listen.
func (s *Server) state(w http.ResponseWriter, r *http.Request) {
	data, err := s.hub.snapshot(s.audience(r))
	if err != nil {
		plain(w, http.StatusInternalServerError, "write the state: "+err.Error())
		return
	}
	sendJSON(w, data)
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

func sendJSON(w http.ResponseWriter, data []byte) { sendStatus(w, http.StatusOK, data) }

func sendStatus(w http.ResponseWriter, status int, data []byte) {
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
