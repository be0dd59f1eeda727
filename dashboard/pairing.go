package dashboard

import (
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"

	"rsc.io/qr"

	"pawl/dashboard/keys"
	"pawl/rules"
)

// pairPress is the body of a POST to /api/pair: the code that a screen was given.
type pairPress struct {
	Code string `json:"code"`
}

// paired is the answer to it. The key itself is in a cookie that no script can read.
type paired struct {
	May     string `json:"may" is:",watch,coach,installer"`
	Refused string `json:"refused"`
}

// pair gives a screen a key of its own for a code.
func (s *Server) pair(w http.ResponseWriter, r *http.Request) {
	var asked pairPress
	status, err := s.hearPosted(w, r, &asked, `{"code":"ABCD-EFGH"}`)
	if err != nil {
		answerJSON(w, status, paired{Refused: err.Error()})
		return
	}
	if s.options.Keys == nil {
		answerJSON(w, http.StatusOK, paired{May: keys.Installer.String()})
		return
	}
	// Whether a code is good is not even looked at when too many were tried.
	if !s.guesses.allow(r.RemoteAddr) {
		w.Header().Set("Retry-After", "10")
		answerJSON(w, http.StatusTooManyRequests, paired{Refused: s.says(r, rules.Say("refused.pair-slow"))})
		return
	}
	secret, k, err := s.options.Keys.Accept(asked.Code)
	if err != nil {
		s.refusals.Do(func() { s.options.Log.Info("code refused", "from", r.RemoteAddr, "error", err) })
		answerJSON(w, http.StatusForbidden, paired{Refused: s.notPaired(r, err)})
		return
	}
	s.options.Log.Info("screen paired", "key", k.ID, "may", k.May.String(), "from", r.RemoteAddr)
	setKey(w, r, secret)
	answerJSON(w, http.StatusOK, paired{May: k.May.String()})
}

// notPaired is why a screen got no key, for whoever holds it.
func (s *Server) notPaired(r *http.Request, err error) string {
	switch {
	case errors.Is(err, keys.ErrWrong):
		return s.says(r, rules.Say("refused.code"))
	case errors.Is(err, keys.ErrTooMany):
		return s.says(r, rules.Say("refused.keys-full"))
	}
	return s.says(r, rules.Say("refused.keys-file").Quoting("why", err.Error()))
}

// mayAnswer tells a page that cannot connect whether it is for want of a key.
func (s *Server) mayAnswer(w http.ResponseWriter, r *http.Request) {
	answerJSON(w, http.StatusOK, paired{May: visitorOf(r).may.String()})
}

// keysAnswer is what /api/keys gives: who may look from elsewhere.
type keysAnswer struct {
	T       float64   `json:"t"`     // the time of the answer, in seconds since 1970
	Local   bool      `json:"local"` // the page is for this machine alone, and nothing can be paired
	Keys    []keyJSON `json:"keys"`
	Refused string    `json:"refused"` // why the keys cannot be read
}

// keyJSON is one key in it.
type keyJSON struct {
	ID     string    `json:"id"`
	May    string    `json:"may" is:"watch,coach,installer"`
	Called string    `json:"called"`
	Made   time.Time `json:"made"`
	Yours  bool      `json:"yours"` // of the screen that asks
	Here   int       `json:"here"`  // pages that look with it now
}

// keysPress is the body of a POST to /api/keys.
type keysPress struct {
	Do     string `json:"do" is:"invite,revoke"`
	May    string `json:"may,omitempty"`    // of invite: watch, coach or installer
	Called string `json:"called,omitempty"` // of invite: what the keys are called
	ID     string `json:"id,omitempty"`     // of revoke
}

// keysPressed is the answer to it.
type keysPressed struct {
	Refused string `json:"refused"`
	// Of invite: the code, where a screen opens the page with it, and that address as a QR code
	// (ISO/IEC 18004), a row of 0 and 1 each, dark being 1.
	Code    string    `json:"code,omitempty"`
	Until   time.Time `json:"until,omitzero"`
	Address string    `json:"address,omitempty"`
	Drawn   []string  `json:"drawn,omitempty"`
}

// listKeys answers the installer's page, which asks every few seconds.
func (s *Server) listKeys(w http.ResponseWriter, r *http.Request) {
	a := keysAnswer{T: float64(time.Now().UnixMilli()) / 1000, Keys: []keyJSON{}, Local: s.options.Keys == nil || len(s.tablets()) == 0}
	if s.options.Keys != nil {
		all, err := s.options.Keys.Keys()
		if err != nil {
			a.Refused = s.notPaired(r, err)
		}
		here := s.hub.byKey()
		for _, k := range all {
			a.Keys = append(a.Keys, keyJSON{k.ID, k.May.String(), k.Called, k.Made, k.ID == visitorOf(r).key, here[k.ID]})
		}
	}
	answerJSON(w, http.StatusOK, a)
}

// pressKeys makes a code, or ends a key.
func (s *Server) pressKeys(w http.ResponseWriter, r *http.Request) {
	var asked keysPress
	status, err := s.hearPosted(w, r, &asked, `{"do":"invite","may":"watch"} or {"do":"revoke","id":"abcde"}`)
	var a keysPressed
	if err == nil {
		status = http.StatusOK
		if a, err = s.doKeys(r, asked); err != nil {
			status = http.StatusConflict
		}
	}
	if err != nil {
		a.Refused = err.Error()
	}
	answerJSON(w, status, a)
}

func (s *Server) doKeys(r *http.Request, asked keysPress) (keysPressed, error) {
	if s.options.Keys == nil {
		return keysPressed{}, errors.New("this Pawl has no keys")
	}
	switch asked.Do {
	case "revoke":
		if err := s.options.Keys.Revoke(asked.ID); err != nil {
			return keysPressed{}, err
		}
		s.options.Log.Info("key revoked", "key", asked.ID, "from", r.RemoteAddr)
		s.dismissRevoked()
		return keysPressed{}, nil
	case "invite":
		var may keys.Role
		if err := may.UnmarshalText([]byte(asked.May)); err != nil {
			return keysPressed{}, err
		}
		c, err := s.options.Keys.Invite(may, asked.Called)
		if err != nil {
			return keysPressed{}, errors.New(s.notPaired(r, err))
		}
		address := PairAt(s.openFor(r), c.Text)
		drawn, err := Drawn(address)
		return keysPressed{Code: c.Text, Until: c.Until, Address: address, Drawn: drawn}, err
	}
	return keysPressed{}, fmt.Errorf("no such press %q; want invite or revoke", asked.Do)
}

// openFor is the address of the page for another screen: as this one has it, unless it asks
// on this machine, by a name that means another machine elsewhere.
func (s *Server) openFor(r *http.Request) string {
	if all := s.tablets(); onThisMachine(r) && len(all) > 0 {
		return all[0]
	}
	scheme := "http"
	if r.TLS != nil {
		scheme = "https"
	}
	return scheme + "://" + r.Host + "/"
}

func (s *Server) tablets() []string {
	if s.options.Tablets == nil {
		return nil
	}
	return s.options.Tablets()
}

// PairAt is the address at which a screen pairs itself, of a page at an address that ends in
// "/". The code stands behind a #, which no browser sends and no server writes down.
func PairAt(page, code string) string { return page + "pair#" + code }

// Drawn is a text as a QR code: a row of "0" and "1" each, 1 being dark, without the light
// margin of four that a reader needs around it.
func Drawn(text string) ([]string, error) {
	c, err := qr.Encode(text, qr.M)
	if err != nil {
		return nil, fmt.Errorf("draw a QR code: %w", err)
	}
	rows := make([]string, c.Size)
	for y := range rows {
		var row strings.Builder
		for x := range c.Size {
			row.WriteByte("01"[b2i(c.Black(x, y))])
		}
		rows[y] = row.String()
	}
	return rows, nil
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// dismissRevoked sends away the pages whose key is no longer in force.
func (s *Server) dismissRevoked() {
	if s.options.Keys == nil {
		return
	}
	good := s.options.Keys.InForce() // the file is looked at once, and not while the hub waits
	s.hub.dismiss(func(key string) bool { return key != "" && !good[key] })
}
