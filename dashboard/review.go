package dashboard

import (
	"errors"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strconv"

	"pawl/daemon/timeline"
	"pawl/rules"
	"pawl/rules/words"
)

// Review is the record as the review pages need it. Its methods are called from any
// goroutine; an error's text is shown to the person who asked, and
// timeline.ErrNoService means that there is nothing at this address.
type Review interface {
	// List gives all services, the newest first.
	List() ([]timeline.Service, error)

	// One gives one service with its timeline, in a reader's language.
	One(id int64, speaker *words.Speaker) (timeline.One, error)

	// Weeks gives what the newest services came to, together, in a reader's language.
	Weeks(speaker *words.Speaker) (timeline.Weeks, error)

	// Curves gives where the mix stood in a span of a service, in at most so many points.
	Curves(id int64, from, until rules.Moment, points int) (timeline.Curves, error)

	// Edit does what is asked of a service, or of none with id 0: to begin one now by
	// hand, or to end the one that goes on. It gives the number of what came of it.
	Edit(id int64, e timeline.Edit) (int64, error)
}

// errNoRecord is what a reader is told where nothing is recorded.
var errNoRecord = rules.Refuse("refused.no-record")

// reviewList is the list of services as /api/review/services gives it.
type reviewList struct {
	Page     string             `json:"page" like:"^[0-9a-f]{16}$"` // which pages this server serves, as in a whole frame
	Services []timeline.Service `json:"services"`                   // the newest first
}

// reviewOne is one service as /api/review/services/ID gives it.
type reviewOne struct {
	Page string `json:"page" like:"^[0-9a-f]{16}$"`
	timeline.One
}

func (s *Server) reviewList(w http.ResponseWriter, r *http.Request) {
	s.review(w, r, func(from Review) (any, error) {
		all, err := from.List()
		return reviewList{s.assets.hash, list(all)}, err
	})
}

func (s *Server) reviewOne(w http.ResponseWriter, r *http.Request) {
	s.review(w, r, func(from Review) (any, error) {
		one, err := from.One(serviceID(r), s.speaker(r))
		one.Remarks, one.Figures = list(one.Remarks), list(one.Figures)
		return reviewOne{s.assets.hash, one}, err
	})
}

func (s *Server) reviewWeeks(w http.ResponseWriter, r *http.Request) {
	s.review(w, r, func(from Review) (any, error) { return from.Weeks(s.speaker(r)) })
}

// usualPoints is how many points a curve has if nobody says how wide the page is.
const usualPoints = 1000

func (s *Server) reviewCurves(w http.ResponseWriter, r *http.Request) {
	from, until, points := momentOf(r, "from", 0), momentOf(r, "until", math.MaxInt64), usualPoints
	if n, err := strconv.Atoi(r.URL.Query().Get("points")); err == nil {
		points = n
	}
	s.review(w, r, func(rev Review) (any, error) { return rev.Curves(serviceID(r), from, until, points) })
}

// serviceID is the service of an address; 0, which no service has, if it is no number.
func serviceID(r *http.Request) int64 {
	id, _ := strconv.ParseInt(r.PathValue("id"), 10, 64)
	return id
}

// momentOf is a moment of a query, in seconds; without one that is a number it is the
// other.
func momentOf(r *http.Request, name string, other rules.Moment) rules.Moment {
	t, err := strconv.ParseFloat(r.URL.Query().Get(name), 64)
	const most = 1e9 // seconds: thirty years, and far from where a Moment ends
	if err != nil || math.IsNaN(t) || math.Abs(t) > most {
		return other
	}
	return rules.Moment(t * 1e9)
}

// review answers with what f reads from the record, or in words why there is nothing.
func (s *Server) review(w http.ResponseWriter, r *http.Request, f func(Review) (any, error)) {
	if s.options.Review == nil {
		plain(w, http.StatusNotFound, s.speaker(r).Why(errNoRecord))
		return
	}
	said, err := f(s.options.Review)
	switch {
	case errors.Is(err, timeline.ErrNoService):
		plain(w, http.StatusNotFound, s.speaker(r).Why(err))
		return
	case err != nil:
		s.options.Log.Warn("the record cannot be read", "error", err)
		plain(w, http.StatusServiceUnavailable, s.speaker(r).Why(err))
		return
	}
	answerJSON(w, http.StatusOK, said)
}

// ofNone are the edits that are of no service that is there.
var ofNone = []timeline.EditKind{timeline.Begin, timeline.End}

// reviewEdit does what a page asks of a service.
func (s *Server) reviewEdit(w http.ResponseWriter, r *http.Request) {
	var asked timeline.Edit
	var number int64
	status, err := s.hearPosted(w, r, &asked, `{"do":"rename","text":"Second Sunday"}`)
	if err == nil {
		number, status, err = s.edit(r, asked)
	}
	answerPosted(w, s.speaker(r), status, rules.Press{Do: rules.Do(asked.Do), Number: int(number)}, err)
}

// edit gives the number of what came of an edit, or why it was not done and with which
// status.
func (s *Server) edit(r *http.Request, asked timeline.Edit) (int64, int, error) {
	id, kinds := serviceID(r), timeline.Edits
	if r.PathValue("id") == "" {
		kinds = ofNone
	}
	switch {
	case !slices.Contains(kinds, asked.Do):
		return 0, http.StatusBadRequest, fmt.Errorf("no such edit %q here; want one of %v", asked.Do, kinds)
	case s.options.Review == nil:
		return 0, http.StatusNotFound, errNoRecord
	}
	number, err := s.options.Review.Edit(id, asked)
	switch {
	case errors.Is(err, timeline.ErrNoService):
		return 0, http.StatusNotFound, err
	case err != nil:
		return 0, http.StatusConflict, err
	}
	return number, http.StatusOK, nil
}
