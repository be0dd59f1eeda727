package dashboard

import (
	"fmt"
	"net/http"

	"pawl/rules"
	"pawl/rules/words"
)

// LineCheck is everything the line check's page shows, at one instant. Whoever looks sees
// the same, and whoever presses presses for all.
type LineCheck struct {
	T     float64 `json:"t"` // seconds on the daemon's clock; a T that stands still is an old LineCheck
	House string  `json:"house"`
	Link  Link    `json:"link"`
	rules.LinePicture
}

// lineAnswer is a LineCheck as /api/linecheck gives it.
type lineAnswer struct {
	Page     string `json:"page" like:"^[0-9a-f]{16}$"` // which pages this server serves, as in a whole frame
	Language string `json:"language"`                   // that its words are in
	LineCheck
}

// in gives the state with its words in a reader's language.
func (l LineCheck) in(s *words.Speaker) LineCheck {
	l.Link.Text = s.Say(l.Link.Says)
	l.Inputs, l.Desk, l.Last = s.LineInputs(l.Inputs), s.LineRemarks(l.Desk), s.LineChecked(l.Last)
	return l
}

// lineCheck answers the line check's page, which asks twice a second.
func (s *Server) lineCheck(w http.ResponseWriter, r *http.Request) {
	if s.options.LineCheck == nil {
		plain(w, http.StatusNotFound, sentence(s.speaker(r).Say(rules.Say("refused.no-line-check"))))
		return
	}
	now, ready := s.options.LineCheck()
	if !ready {
		plain(w, http.StatusServiceUnavailable, sentence(s.speaker(r).Say(rules.Say("refused.starting"))))
		return
	}
	speaker := s.speaker(r)
	answerJSON(w, http.StatusOK, lineAnswer{s.assets.hash, speaker.Tag(), now.in(speaker)})
}

// linePress is the body of a POST to /api/linecheck.
type linePress struct {
	Do    string `json:"do" is:"begin,end,ask,done,later"`
	Input int    `json:"input,omitempty"` // of ask, done and later: its number, from 1
}

// pressLine begins or ends a line check, or moves it on.
func (s *Server) pressLine(w http.ResponseWriter, r *http.Request) {
	var asked linePress
	s.posted(w, r, rules.LineCheck, &asked, `{"do":"begin"}, {"do":"end"} or {"do":"ask","input":5}, "done" or "later"`, func() (rules.Press, error) {
		p := rules.Press{Do: rules.LineCheck, Number: asked.Input}
		switch asked.Do {
		case "begin":
			p.On = true
		case "end":
		case "ask":
			p.Do = rules.LineAsk
		case "done":
			p.Do = rules.LineDone
		case "later":
			p.Do = rules.LineLater
		default:
			return p, fmt.Errorf("no such press %q; want begin, end, ask, done or later", asked.Do)
		}
		if (p.Do == rules.LineCheck) != (p.Number == 0) {
			return p, fmt.Errorf("ask, done and later are about an input, and begin and end about none")
		}
		return p, nil
	})
}
