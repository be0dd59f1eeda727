// Package dashboard serves what the people in the room look at: the operator's
// page with the live frames behind it, the installer's setup page, the review of
// services that are over, and the few plain addresses that a machine asks (state,
// metrics, health).
//
// It shows and it passes on presses of buttons. It judges nothing, keeps no
// record, and knows neither the desk nor the map: whoever owns the engine hands
// it one picture and the new entries at a time and gets presses back. A slow or sleeping tablet is
// its problem alone and never reaches the caller.
package dashboard

import (
	"log/slog"
	"net/http"

	"golang.org/x/time/rate"

	"pawl/dashboard/keys"
	"pawl/rules"
	"pawl/rules/words"
)

// Options is what a Server is built from. The zero value serves the page and
// refuses every press of a button.
type Options struct {
	// Press is given each press of a button, from the goroutine of the tablet that
	// sent it, so several calls may be under way at once. It must not block for long.
	// An error's text is shown to the person who pressed. Nil refuses them all.
	Press func(rules.Press) error

	// Words are the languages that a reader may choose from, and Language is the one
	// for whoever chooses none; "" is the catalogues' own default. Nil Words are
	// those that come with the program.
	Words    *words.Catalogues
	Language string

	// Metrics answers /metrics; nil leaves it unserved.
	Metrics http.Handler

	// Ready says why the daemon cannot serve yet, or nil when it can. A nil Ready
	// is always ready. Called from any goroutine.
	Ready func() error

	// Setup gives what the setup page shows, or false while that is not ready. It
	// is called from any goroutine, once a second for each page that looks, and must
	// answer at once; the lists it returns are read after it has. With nil, the page
	// says that setup is not served.
	Setup func() (Setup, bool)

	// First gives what the page of a first hour shows, and PressFirst is given what is
	// pressed there; an error's text is shown to whoever pressed. With First set, that page is
	// served at /setup and nothing else besides, as there is nothing to watch yet. Both are
	// called from any goroutine and must answer at once.
	First      func() First
	PressFirst func(FirstPress) error

	// LineCheck gives what the line check's page shows, as Setup does for the setup page,
	// and is called likewise.
	LineCheck func() (LineCheck, bool)

	// Review is the record behind the review pages; with nil they say that this Pawl
	// keeps none.
	Review Review

	// Otherwise judges recorded services again; with nil no packets are kept of them.
	Otherwise Otherwise

	// AllowedHosts are the names, without a port, under which the page may be
	// asked for besides localhost and any bare IP address. A page elsewhere that
	// rebinds its own name to this machine is not among them, and is refused.
	AllowedHosts []string

	// Keys are of those who may look from elsewhere than this machine, and what they may do;
	// without a key they get no further than a page that asks for a code. Nil lets everybody
	// in, who may then do everything.
	Keys *keys.File

	// Tablets are the addresses at which others than this machine can open the page, each with
	// a "/" at its end; none, or a nil Tablets, if it is for this machine alone.
	Tablets func() []string

	// Log hears of refused and dropped tablets; nil is silent.
	Log *slog.Logger
}

// Server is the page and its live frames. Make it with New.
type Server struct {
	options Options
	hosts   map[string]bool
	assets  assets
	hub     *hub

	presses  *rate.Limiter // of all together
	guesses  *guesses
	refusals *rate.Sometimes
}

// New makes a Server that says it waits for the desk until the first Publish.
func New(o Options) *Server {
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Words == nil {
		o.Words = words.Own()
	}
	a := loadAssets(o.Words)
	return &Server{options: o, hosts: hostSet(o.AllowedHosts), assets: a, hub: newHub(a.hash, o.Words, o.Log), presses: pressesOfAll(), guesses: newGuesses(), refusals: refusals()}
}

// Publish makes now what every tablet shows. Entries are only those new since the
// last call, oldest first; the server keeps ten minutes of them.
//
// Frames leave at most ten times a second, carrying the newest picture and all
// entries that came between, except that urgent (a finding came, grew or went) leaves
// at once. Call it at least once a second even when nothing changed: a page that
// hears nothing for three seconds tells its reader that what it shows is old.
//
// It never blocks on a tablet. Call it from one goroutine, and leave what now and
// entries point at alone afterwards.
func (s *Server) Publish(now Now, entries []rules.Entry, urgent bool) {
	s.hub.publish(now, entries, urgent)
}

// Coaching makes these what coaches' pages show besides, from the next Publish on; a book
// that is as before is not sent again. Leave both alone afterwards, and call it from the
// goroutine that publishes. Other pages are told nothing of it.
func (s *Server) Coaching(l *rules.Ledger, b *rules.Book) { s.hub.publishCoach(coaching{l, b}) }

// Reset forgets the ten minutes of entries, for a new house file. The next Publish then reaches every tablet as a whole frame. Call it from
// the goroutine that publishes.
func (s *Server) Reset() { s.hub.reset() }

// Stats is how the live frames fare, for the metrics.
type Stats struct {
	Clients int    // tablets connected now
	Dropped uint64 // tablets told to come back because they could not keep up
	Refused uint64 // tablets turned away because as many as we serve were here
	Frames  uint64 // frames made, each once however many tablets got it
	Faults  uint64 // states that could not be written as JSON, and were not sent
}

// Stats may be called from any goroutine.
func (s *Server) Stats() Stats { return s.hub.stats() }

// languageCookie is in which a page keeps the language that its reader chose.
const languageCookie = "pawl-language"

// speaker is whom a reader of this request is told by: as the address asks for, else as
// the reader chose on some page, else as the house speaks.
func (s *Server) speaker(r *http.Request) *words.Speaker {
	var wanted []string
	if tag := r.URL.Query().Get("lang"); tag != "" {
		wanted = append(wanted, tag)
	}
	if chosen, err := r.Cookie(languageCookie); err == nil {
		wanted = append(wanted, chosen.Value)
	}
	return s.options.Words.For(append(wanted, s.options.Language)...)
}

// audience is who a request comes from: a coach's page says so.
func (s *Server) audience(r *http.Request) audience {
	return audience{s.speaker(r), r.URL.Query().Get("as") == "coach"}
}
