package dashboard

import (
	"encoding/json"
	"net/http"
	"strings"

	"pawl/rules"
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
	FaultsAge string  `json:"faults_age" like:"^([0-9]{2}:[0-9]{2}:[0-9]{2})?$"`

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
	Number  int        `json:"number"`  // as on the desk, from 1; 0 for the main
	Name    string     `json:"name"`    // from the house file or the desk; "" when nobody named it
	Element string     `json:"element"` // its part in the music, or ""
	Fader   *desk.DB   `json:"fader"`   // nil: not heard yet; desk.Off: closed
	Level   *desk.DBFS `json:"level"`   // nil: not heard yet; desk.Silence: no sound at all
	Muted   bool       `json:"muted"`
	Age     float64    `json:"age"` // seconds since anything of it was heard; 0 before
}

// plainStrip has no methods, so that a Strip can be written inside its own MarshalJSON.
type plainStrip Strip

// stripJSON is one input, DCA, group or the main as the page gets it, null for a number
// that was not heard yet.
type stripJSON struct {
	plainStrip
	Fader *faderJSON `json:"fader"`
	Level *levelJSON `json:"level"`
}

// faderJSON is a fader that was heard.
type faderJSON struct {
	DB desk.DB `json:"db"` // null for closed
}

// levelJSON is a level that was heard.
type levelJSON struct {
	DBFS desk.DBFS `json:"dbfs"` // null for no sound at all
}

// MarshalJSON keeps "not heard yet" and "closed" apart, as the type says.
func (s Strip) MarshalJSON() ([]byte, error) {
	out := stripJSON{plainStrip: plainStrip(s)}
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
	s.Arriving = each(s.Arriving, func(a Arriving) Arriving {
		a.Range = trueMinus.Replace(" " + a.Range)[1:]
		return a
	})
	s.Inputs = list(s.Inputs)
	s.DCAs = list(s.DCAs)
	s.Groups = list(s.Groups)
	return s
}

// trueMinus sets the minus that all other figures of the page have.
var trueMinus = strings.NewReplacer(" -", " −")

func list[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

// setupAnswer is a Setup as /api/setup gives it.
type setupAnswer struct {
	Page string `json:"page" like:"^[0-9a-f]{16}$"` // which pages this server serves, as in a whole frame
	Setup
}

// setup answers the setup page, which asks once a second.
func (s *Server) setup(w http.ResponseWriter, r *http.Request) {
	if s.options.Setup == nil {
		plain(w, http.StatusNotFound, sentence(s.speaker(r).Say(rules.Say("refused.no-setup"))))
		return
	}
	now, ready := s.options.Setup()
	if !ready {
		plain(w, http.StatusServiceUnavailable, sentence(s.speaker(r).Say(rules.Say("refused.starting"))))
		return
	}
	now = now.listed()
	now.Link.Text = s.speaker(r).Say(now.Link.Says)
	answerJSON(w, http.StatusOK, setupAnswer{s.assets.hash, now})
}
