package dashboard

import (
	"errors"
	"net/http"
	"strings"

	"pawl/rules"
	"pawl/rules/words"
)

// FirstStage is how far a first hour has come.
type FirstStage string

// The stages, in order.
const (
	FirstListening FirstStage = "listening" // until somebody begins the questions
	FirstAsking    FirstStage = "asking"
	FirstNaming    FirstStage = "naming" // the strips are looked through, and the files written
	FirstDone      FirstStage = "done"   // they are, and watching begins
)

// First is everything that the page of a first hour shows, at one instant: an unknown desk
// becomes a map and a house file there. Nil lists leave as empty ones. What the questions
// ask and remark is phrases, and leaves in the reader's words.
type First struct {
	T     float64    `json:"t"` // seconds on the daemon's clock; a T that stands still is an old First
	Stage FirstStage `json:"stage"`
	Link  Link       `json:"link"`

	Messages uint64   `json:"messages"` // since the start
	SendTo   []string `json:"send_to"`  // the addresses that the desk may be told to send to, "192.0.2.20:10701"

	Ask      []rules.Phrase `json:"-"`
	Question string         `json:"question"` // Ask in words, "" when nothing is asked
	Asks     FirstAsks      `json:"asks"`
	Says     []rules.Phrase `json:"-"`
	Said     []string       `json:"said"`   // Says in words, of the last answer
	Moving   []FirstMoved   `json:"moving"` // what a hand seems to have moved just now
	Faders   []FirstFader   `json:"faders"` // the inputs', once it is known where they are

	Told   int          `json:"told"`   // signals that the map tells for certain
	Inputs []FirstInput `json:"inputs"` // to be looked through
	DCAs   []string     `json:"dcas"`
	Groups []string     `json:"groups"`
	Map    string       `json:"map"` // the files that are written, or were
	House  string       `json:"house"`
}

// FirstAsks says what an answer may be.
type FirstAsks struct {
	Number  bool `json:"number"`  // a number of dB
	Nothing bool `json:"nothing"` // nothing but that the hand is done
	None    bool `json:"none"`    // that the desk has none
	Back    bool `json:"back"`    // back to the question before
	Wrong   bool `json:"wrong"`   // that something else was seen than was moved
	Done    int  `json:"done"`    // questions that are answered
	ToCome  int  `json:"to_come"` // at most
}

// FirstMoved is something that moved just now.
type FirstMoved struct {
	Moved rules.Phrase `json:"-"`
	What  string       `json:"what"` // Moved in words
	At    rules.Phrase `json:"-"`
	To    string       `json:"to"` // At in words
}

// FirstFader is how far up an input's fader is.
type FirstFader struct {
	Number int     `json:"number"` // from 1
	At     float64 `json:"at"`     // 0 to 1
}

// FirstInput is an input to be looked through.
type FirstInput struct {
	Number int    `json:"number"` // the desk's own, from 1
	Name   string `json:"name"`
	Guess  string `json:"guess"` // as the house file writes it: "element: pad"; "" for none
	By     string `json:"by"`    // the word of the name that the guess rests on
}

// FirstPress is the body of a POST to /api/first.
type FirstPress struct {
	Do     string     `json:"do" is:"begin,answer,write"`
	Text   string     `json:"text,omitempty"`   // of answer: what a person would type at a terminal, in English or in the page's language; of write: what the place is called
	Inputs []FirstRow `json:"inputs,omitempty"` // of write
}

// FirstRow is an input as somebody looked it through.
type FirstRow struct {
	Number int    `json:"number"`
	Name   string `json:"name"`
	Right  bool   `json:"right"` // the guess is
}

// firstAnswer is a First as /api/first gives it.
type firstAnswer struct {
	Page string `json:"page" like:"^[0-9a-f]{16}$"` // which pages this server serves, as in a whole frame
	First
}

// firstPressed is the answer to a FirstPress.
type firstPressed struct {
	Refused string `json:"refused"` // why not, or ""
}

// mostOfFirst bounds what one press brings: 512 inputs by name.
const mostOfFirst = 128 << 10

// first answers the page of a first hour, which asks twice a second.
func (s *Server) first(w http.ResponseWriter, r *http.Request) {
	now := s.options.First()
	now.say(s.speaker(r))
	now.SendTo, now.Faders = list(now.SendTo), list(now.Faders)
	now.Inputs, now.DCAs, now.Groups = list(now.Inputs), list(now.DCAs), list(now.Groups)
	answerJSON(w, http.StatusOK, firstAnswer{s.assets.hash, now})
}

// say puts all that it says into a reader's words.
func (f *First) say(s *words.Speaker) {
	f.Link.Text = s.Say(f.Link.Says)
	f.Said = each(f.Says, s.Say)
	f.Question = strings.Join(each(f.Ask, s.Say), " ")
	f.Moving = each(f.Moving, func(m FirstMoved) FirstMoved {
		m.What, m.To = s.Say(m.Moved), s.Say(m.At)
		return m
	})
}

// pressFirst passes on what was pressed there.
func (s *Server) pressFirst(w http.ResponseWriter, r *http.Request) {
	var asked FirstPress
	status, err := s.hearPostedOf(w, r, &asked, `{"do":"begin"}, {"do":"answer","text":"-10"} or {"do":"write"}`, mostOfFirst)
	if err == nil {
		status = http.StatusOK
		if asked.Do != "begin" && asked.Do != "answer" && asked.Do != "write" {
			status, err = http.StatusBadRequest, errors.New("want begin, answer or write")
		} else {
			if asked.Do == "answer" {
				asked.Text = s.speaker(r).Understood(asked.Text)
			}
			if err = s.options.PressFirst(asked); err != nil {
				status = http.StatusConflict
			}
		}
	}
	out := firstPressed{}
	if err != nil {
		out.Refused = s.speaker(r).Why(err)
	}
	answerJSON(w, status, out)
}
