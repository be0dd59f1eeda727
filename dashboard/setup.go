package dashboard

import (
	"encoding/json"
	"net/http"

	"pawl/rules/desk"
)

// Setup is everything the setup page shows, at one instant: what the files say,
// what arrives, and what the map makes of it. Nil lists leave as empty ones.
type Setup struct {
	T     float64 `json:"t"` // seconds on the daemon's clock; a T that stands still is an old Setup
	House string  `json:"house"`
	Desk  string  `json:"desk"` // the map's own name for the desk it is written for
	Link  Link    `json:"link"`

	// Faults are those of the house file and the map as they are on disk now, which
	// need not be the ones in force. FaultsAge is the time of day they were read at,
	// "10:42:05", or "" when the house came inside the program and has no file.
	Faults    []Fault `json:"faults"`
	FaultsAge string  `json:"faultsAge"`

	// Arriving are the kinds of message heard since the start, in the caller's
	// order; the page puts what no signal hears first. More counts the kinds that
	// are not listed.
	Arriving []Arriving `json:"arriving"`
	More     int        `json:"more"`

	Messages  uint64 `json:"messages"`  // since the start
	Unmapped  uint64 `json:"unmapped"`  // of them, in no line of the map
	Malformed uint64 `json:"malformed"` // packets that could not be read at all

	Inputs []Strip `json:"inputs"`
	DCAs   []Strip `json:"dcas"`
	Groups []Strip `json:"groups"`
	Main   Strip   `json:"main"`
}

// Fault is one thing wrong, or with Advice one thing worth knowing, in a file
// that a person wrote.
type Fault struct {
	File   string `json:"file"`
	Line   int    `json:"line"` // from 1; 0 when it is about the whole file
	Col    int    `json:"col"`  // from 1; 0 when not known
	Path   string `json:"path"` // where in the file's structure: "inputs[3].element"
	Text   string `json:"text"` // what was found, and what was wanted
	Hint   string `json:"hint"` // the next step, or ""
	Advice bool   `json:"advice"`
}

// Arriving is one kind of message: addresses that differ only in their numbers,
// with the same types.
type Arriving struct {
	Shape   string  `json:"shape"`   // "/berth/*/height"
	Types   string  `json:"types"`   // the OSC tags without their comma: "if"; "" for none
	Example string  `json:"example"` // one whole address as it came, or what stood for the stars: "1–16"; or ""
	Range   string  `json:"range"`   // of the values, in words: "0 to 1"; "" when they are no numbers
	Count   uint64  `json:"count"`
	Rate    float64 `json:"rate"`  // messages in a second, lately
	Age     float64 `json:"age"`   // seconds since the last
	Heard   string  `json:"heard"` // the signal that hears it: "input.fader"; "" when none does
}

// Strip is one input, DCA, group or the main, as the map understands it. It
// encodes a nil number as null, not heard yet, and a heard one as an object, so
// that a closed fader, {"db":null}, is told apart from it. It does not decode.
type Strip struct {
	Number  int        // as on the desk, from 1; 0 for the main
	Name    string     // from the house file or the desk; "" when nobody named it
	Element string     // its part in the music, or ""
	Fader   *desk.DB   // nil: not heard yet; rules.Off: closed
	Level   *desk.DBFS // nil: not heard yet; rules.Silence: no sound at all
	Muted   bool
	Age     float64 // seconds since anything of it was heard; 0 before
}

type stripJSON struct {
	Number  int        `json:"number"`
	Name    string     `json:"name"`
	Element string     `json:"element"`
	Fader   *faderJSON `json:"fader"`
	Level   *levelJSON `json:"level"`
	Muted   bool       `json:"muted"`
	Age     float64    `json:"age"`
}

type faderJSON struct {
	DB desk.DB `json:"db"`
}

type levelJSON struct {
	DBFS desk.DBFS `json:"dbfs"`
}

// MarshalJSON keeps "not heard yet" and "closed" apart, as the type says.
func (s Strip) MarshalJSON() ([]byte, error) {
	out := stripJSON{Number: s.Number, Name: s.Name, Element: s.Element, Muted: s.Muted, Age: s.Age}
	if s.Fader != nil {
		out.Fader = &faderJSON{*s.Fader}
	}
	if s.Level != nil {
		out.Level = &levelJSON{*s.Level}
	}
	return json.Marshal(out)
}

// listed replaces nil lists, so that a page never meets null for one.
func (s Setup) listed() Setup {
	s.Faults = list(s.Faults)
	s.Arriving = list(s.Arriving)
	s.Inputs = list(s.Inputs)
	s.DCAs = list(s.DCAs)
	s.Groups = list(s.Groups)
	return s
}

// setupAnswer is a Setup as /api/setup gives it.
type setupAnswer struct {
	Page string `json:"page"` // which pages this server serves, as in a whole frame
	Setup
}

// setup answers the setup page, which asks once a second.
func (s *Server) setup(w http.ResponseWriter, _ *http.Request) {
	if s.options.Setup == nil {
		plain(w, http.StatusNotFound, "Setup is not served here.")
		return
	}
	now, ready := s.options.Setup()
	if !ready {
		plain(w, http.StatusServiceUnavailable, "Pawl is starting. Setup is not ready yet.")
		return
	}
	data, err := json.Marshal(setupAnswer{s.assets.hash, now.listed()})
	if err != nil {
		plain(w, http.StatusInternalServerError, "write the setup: "+err.Error())
		return
	}
	sendJSON(w, data)
}
