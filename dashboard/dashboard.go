// Package dashboard serves what the people in the room look at: the operator's
// page with the live frames behind it, the installer's setup page, and the few
// plain addresses that a machine asks (state, metrics, health).
//
// It shows and it passes on presses of buttons. It judges nothing, keeps no
// record, and knows neither the desk nor the map: whoever owns the engine hands
// it one State at a time and gets Commands back. A slow or sleeping tablet is
// its problem alone and never reaches the caller.
package dashboard

import (
	"log/slog"
	"net/http"
)

// Options is what a Server is built from. The zero value serves the page and
// refuses every press of a button.
type Options struct {
	// Commands is given each press of a button, from the goroutine of the tablet
	// that sent it, so several calls may be under way at once. It must not block.
	// An error's text is shown to the person who pressed. Nil refuses them all.
	Commands func(Command) error

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

	// AllowedHosts are the names, without a port, under which the page may be
	// asked for besides localhost and any bare IP address. A page elsewhere that
	// rebinds its own name to this machine is not among them, and is refused.
	AllowedHosts []string

	// Log hears of refused and dropped tablets; nil is silent.
	Log *slog.Logger
}

// Command is one press of a button on a page.
type Command struct {
	Do     string `json:"do"`     // "seen", "not-now" or "mark"
	Number int    `json:"number"` // which finding; 0 for mark
}

// Server is the page and its live frames. Make it with New.
type Server struct {
	options Options
	hosts   map[string]bool
	assets  assets
	hub     *hub
}

// New makes a Server that says it waits for the desk until the first Publish.
func New(o Options) *Server {
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	a := loadAssets()
	return &Server{options: o, hosts: hostSet(o.AllowedHosts), assets: a, hub: newHub(a.hash, o.Log)}
}

// Publish makes st what every tablet shows. Tide and steps are only those new
// since the last call, oldest first; the server keeps ten minutes of them.
//
// Frames leave at most ten times a second, carrying the newest state and all that
// came between, except that urgent (a finding opened, grew or eased) leaves at
// once. Call it at least once a second even when nothing changed: a page that
// hears nothing for three seconds tells its reader that what it shows is old.
//
// It never blocks on a tablet. Call it from one goroutine, and leave the slices
// and pointers in st alone afterwards: they are read until the next call.
func (s *Server) Publish(st State, tide []Tide, steps []Step, urgent bool) {
	s.hub.publish(st, tide, steps, urgent)
}

// Reset forgets the ten minutes of tide and steps, for a new mark or a new house
// file. The next Publish then reaches every tablet as a whole frame. Call it from
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
