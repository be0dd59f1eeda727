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
	"pawl/rules/desk"
)

// segmentAsked is the body of a POST to /api/segment.
type segmentAsked struct {
	Kind desk.SegmentKind `json:"kind"`
	Name string           `json:"name"`
	Next bool             `json:"next"` // the next part of the running order
	Back bool             `json:"back"` // take the last one back
}

// elsewhere refuses what a browser sends for a page that is not ours: a press must not
// come from a page that somebody in the hall happens to have open.
var elsewhere = http.NewCrossOriginProtection()

// segment begins another part of the service, for whoever is no page of ours.
func (s *Server) segment(w http.ResponseWriter, r *http.Request) {
	if err := elsewhere.Check(r); err != nil {
		s.options.Log.Info("segment refused", "from", r.RemoteAddr, "error", err)
		answerSegment(w, http.StatusForbidden, rules.NewSegment, errors.New("a page from elsewhere may not press anything here"))
		return
	}
	// One who sends a byte now and then would hold a connection for ever.
	_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(writeWait))
	p, status, err := readSegment(w, r)
	if err == nil {
		status = http.StatusOK
		if err = s.pass(p); err != nil {
			status = http.StatusConflict
		}
	}
	answerSegment(w, status, p.Do, err)
}

// readSegment gives what was asked for, or why it is not understood and with which status.
func readSegment(w http.ResponseWriter, r *http.Request) (rules.Press, int, error) {
	p := rules.Press{Do: rules.NewSegment}
	if kind, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";"); !strings.EqualFold(strings.TrimSpace(kind), "application/json") {
		return p, http.StatusUnsupportedMediaType, errors.New("want a body of Content-Type: application/json")
	}
	in := json.NewDecoder(http.MaxBytesReader(w, r.Body, readLimit))
	in.DisallowUnknownFields()
	var asked segmentAsked
	err := in.Decode(&asked)
	if err == nil {
		if _, err = in.Token(); err == nil {
			err = errors.New("one object is wanted, and more follows")
		} else if err == io.EOF {
			err = nil
		}
	}
	var long *http.MaxBytesError
	switch {
	case errors.As(err, &long):
		return p, http.StatusRequestEntityTooLarge, fmt.Errorf("want at most %d bytes", long.Limit)
	case err != nil:
		return p, http.StatusBadRequest, fmt.Errorf(`want {"kind":"speech","name":"the reading"}, {"next":true} or {"back":true}: %w`, err)
	case asked.Back:
		p.Do = rules.Back
	default:
		p.Kind, p.Text, p.Next = asked.Kind, asked.Name, asked.Next
	}
	if asked.Back && asked.Next || (asked.Back || asked.Next) && (asked.Kind != desk.AnyKind || asked.Name != "") {
		return p, http.StatusBadRequest, errors.New("next and back stand alone")
	}
	if err := p.Check(); err != nil {
		return p, http.StatusBadRequest, err
	}
	return p, 0, nil
}

func answerSegment(w http.ResponseWriter, status int, do rules.Do, err error) {
	a := answer{Frame: "answer", Do: string(do)}
	if err != nil {
		a.Refused = err.Error()
	}
	data, err := json.Marshal(a)
	if err != nil {
		plain(w, http.StatusInternalServerError, "write the answer: "+err.Error())
		return
	}
	sendStatus(w, status, data)
}
