package dashboard

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"
	"time"

	"pawl/daemon/otherwise"
	"pawl/daemon/timeline"
	"pawl/rules"
	"pawl/rules/words"
)

// Otherwise judges a recorded service again by other limits, given as the text of a file
// of limits, and compares. It ends early with its context. The errors below tell the
// reasons apart; the text of any is shown to the person who asked.
type Otherwise func(ctx context.Context, service int64, limits []byte) (Compared, error)

// Why a service is not judged by other limits.
var (
	ErrNoService  = timeline.ErrNoService
	ErrNoCapture  = rules.Refuse("refused.no-capture")
	ErrLimits     = rules.Refuse("refused.limits")
	ErrOneAtATime = rules.Refuse("refused.one-at-a-time")
)

// Compared is what was said in a service beside what other limits would have said.
type Compared struct {
	otherwise.Comparison
	Notes []string `json:"notes"` // about the capture: what is missing from it
}

// mostLimits is the longest text of limits, in bytes: all of them with their reasons.
const mostLimits = 64 << 10

// longestAgain is how long a reader is let wait.
const longestAgain = 3 * time.Minute

// otherwise answers what other limits would have said. The answer may take seconds.
func (s *Server) otherwise(w http.ResponseWriter, r *http.Request) {
	limits, status, err := readLimits(w, r)
	if err == nil && s.options.Otherwise == nil {
		status, err = http.StatusNotFound, ErrNoCapture
	}
	if err != nil {
		plain(w, status, s.speaker(r).Why(err))
		return
	}
	// The answer is made while the reader waits, and a slow machine has long services too.
	_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(longestAgain))
	id, _ := strconv.ParseInt(r.PathValue("id"), 10, 64) // 0, which no service has, if it is no number
	got, err := s.options.Otherwise(r.Context(), id, limits)
	switch {
	case errors.Is(err, ErrNoService):
		status = http.StatusNotFound
	case errors.Is(err, ErrNoCapture):
		status = http.StatusGone
	case errors.Is(err, ErrLimits):
		status = http.StatusUnprocessableEntity
	case errors.Is(err, ErrOneAtATime):
		status = http.StatusTooManyRequests
	case err != nil:
		status = http.StatusInternalServerError
	}
	if err != nil {
		plain(w, status, s.speaker(r).Why(err))
		return
	}
	answerJSON(w, http.StatusOK, got.in(s.speaker(r)))
}

// readLimits gives the text that was sent, or why it is not taken and with which status.
func readLimits(w http.ResponseWriter, r *http.Request) ([]byte, int, error) {
	if elsewhere.Check(r) != nil {
		return nil, http.StatusForbidden, errors.New("a page from elsewhere may not ask for anything here")
	}
	if kind, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";"); !strings.EqualFold(strings.TrimSpace(kind), "application/yaml") {
		return nil, http.StatusUnsupportedMediaType, errors.New("want a file of limits, of Content-Type: application/yaml")
	}
	// One who sends a byte now and then would hold a connection for ever.
	_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(writeWait))
	text, err := io.ReadAll(http.MaxBytesReader(w, r.Body, mostLimits))
	var long *http.MaxBytesError
	switch {
	case errors.As(err, &long):
		return nil, http.StatusRequestEntityTooLarge, fmt.Errorf("want at most %d bytes", long.Limit)
	case err != nil:
		return nil, http.StatusBadRequest, err
	}
	// With a deadline that has passed, the server would take the reader for gone.
	_ = http.NewResponseController(w).SetReadDeadline(time.Time{})
	return text, 0, nil
}

// in is the comparison in the words of a reader's language.
func (c Compared) in(speaker *words.Speaker) Compared {
	rows := make([]otherwise.Row, len(c.Rows))
	for i, row := range c.Rows {
		rows[i] = otherwise.Row{Then: spoken(row.Then, speaker), Other: spoken(row.Other, speaker)}
	}
	c.Rows = rows
	if c.Notes == nil {
		c.Notes = []string{}
	}
	return c
}

func spoken(s *otherwise.Said, speaker *words.Speaker) *otherwise.Said {
	if s == nil {
		return nil
	}
	out := *s
	out.Finding = speaker.Finding(s.Finding)
	return &out
}
