package dashboard

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"
	"time"

	"pawl/rules"
	"pawl/rules/words"
)

// elsewhere refuses what a browser sends for a page that is not ours: a press must not
// come from a page that somebody in the hall happens to have open.
var elsewhere = http.NewCrossOriginProtection()

// posted takes a press that came as a POST: its body is read into asked, of which want
// gives examples, and press makes the press of it. do is answered for what is no press.
func (s *Server) posted(w http.ResponseWriter, r *http.Request, do rules.Do, asked any, want string, press func() (rules.Press, error)) {
	p := rules.Press{Do: do}
	status, err := s.hearPosted(w, r, asked, want)
	if err == nil {
		if p, err = press(); err == nil {
			err = p.Check()
		}
		status = http.StatusBadRequest
	}
	if err == nil {
		status = http.StatusOK
		if err = s.pass(visitorOf(r), p); err != nil {
			status = http.StatusConflict
		}
	}
	answerPosted(w, s.speaker(r), status, p, err)
}

// hearPosted reads the body of a POST that may be obeyed, or says why it may not, or is
// not understood, and with which status.
func (s *Server) hearPosted(w http.ResponseWriter, r *http.Request, asked any, want string) (int, error) {
	return s.hearPostedOf(w, r, asked, want, readLimit)
}

// hearPostedOf is hearPosted of a body of so many bytes at most.
func (s *Server) hearPostedOf(w http.ResponseWriter, r *http.Request, asked any, want string, most int64) (int, error) {
	if err := elsewhere.Check(r); err != nil {
		s.options.Log.Info("press refused", "address", r.URL.Path, "from", r.RemoteAddr, "error", err)
		return http.StatusForbidden, errors.New("a page from elsewhere may not press anything here")
	}
	// One who sends a byte now and then would hold a connection for ever.
	_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(writeWait))
	return readPosted(w, r, asked, want, most)
}

// readPosted reads the one JSON object of a body, or says why it is not understood and
// with which status.
func readPosted(w http.ResponseWriter, r *http.Request, into any, want string, most int64) (int, error) {
	if kind, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";"); !strings.EqualFold(strings.TrimSpace(kind), "application/json") {
		return http.StatusUnsupportedMediaType, errors.New("want a body of Content-Type: application/json")
	}
	in := json.NewDecoder(http.MaxBytesReader(w, r.Body, most))
	in.DisallowUnknownFields()
	err := in.Decode(into)
	if err == nil {
		if _, err = in.Token(); err == nil {
			err = errors.New("one object is wanted, and more follows")
		} else if err == io.EOF {
			return 0, nil
		}
	}
	var long *http.MaxBytesError
	if errors.As(err, &long) {
		return http.StatusRequestEntityTooLarge, fmt.Errorf("want at most %d bytes", long.Limit)
	}
	return http.StatusBadRequest, fmt.Errorf("want %s: %w", want, err)
}

func answerPosted(w http.ResponseWriter, speaker *words.Speaker, status int, p rules.Press, err error) {
	a := answer{Frame: "answer", Do: string(p.Do), Number: p.Number}
	if err != nil {
		a.Refused = speaker.Why(err)
	}
	answerJSON(w, status, a)
}
