package dashboard

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"pawl/daemon/otherwise"
	"pawl/rules"
)

// askOtherwise is the answer to a POST of limits.
func askOtherwise(t *testing.T, s *Server, service, kind, text, origin string) (int, string) {
	t.Helper()
	r := httptest.NewRequest(http.MethodPost, "http://localhost/api/review/services/"+service+"/otherwise", strings.NewReader(text))
	r.Header.Set("Content-Type", kind)
	if origin != "" {
		r.Header.Set("Origin", origin)
	}
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, r)
	body, err := io.ReadAll(w.Result().Body)
	if err != nil {
		t.Fatal(err)
	}
	return w.Code, string(body)
}

// TestOtherwise passes limits on and gives the comparison in words, or says why not.
func TestOtherwise(t *testing.T) {
	finding := &rules.Finding{Number: 1, Rule: "ratchet", Weight: rules.Nudge, State: rules.Open, Said: rules.Said{What: []rules.Phrase{rules.Say("ratchet.eased")}}}
	for _, c := range []struct {
		name, service, kind, text, origin string
		err                               error
		status                            int
		says                              string
	}{
		{name: "compared", service: "7", kind: "application/yaml; charset=utf-8", text: "limits: {}", status: 200, says: `"only_then":1`},
		{name: "no number", service: "x", kind: "application/yaml", text: "limits: {}", status: 404, says: "no such service"},
		{name: "no captures", service: "7", kind: "application/yaml", text: "limits: {}", err: fmt.Errorf("%w: %w", rules.Refuse("refused.capture-gone"), ErrNoCapture), status: 410, says: "deleted or moved"},
		{name: "limits that are none", service: "7", kind: "application/yaml", text: "limits: {}", err: ErrLimits.Because("limits:1:1: x"), status: 422, says: "limits:1:1"},
		{name: "busy", service: "7", kind: "application/yaml", text: "limits: {}", err: ErrOneAtATime, status: 429, says: "in a moment"},
		{name: "a fault", service: "7", kind: "application/yaml", text: "limits: {}", err: errors.New("the disk has a fault"), status: 500, says: "fault"},
		{name: "no yaml", service: "7", kind: "text/plain", text: "limits: {}", status: 415, says: "application/yaml"},
		{name: "too long", service: "7", kind: "application/yaml", text: strings.Repeat("#", mostLimits+1), status: 413, says: "at most"},
		{name: "a page from elsewhere", service: "7", kind: "application/yaml", text: "limits: {}", origin: "http://elsewhere.example", status: 403, says: "elsewhere"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := New(Options{Otherwise: func(_ context.Context, id int64, limits []byte) (Compared, error) {
				if id != 7 || string(limits) != c.text {
					return Compared{}, ErrNoService
				}
				return Compared{Comparison: otherwise.Comparison{OnlyThen: 1, Rows: []otherwise.Row{{Then: &otherwise.Said{Finding: finding, Weight: rules.Nudge}}}}}, c.err
			}})
			status, body := askOtherwise(t, s, c.service, c.kind, c.text, c.origin)
			if status != c.status || !strings.Contains(body, c.says) {
				t.Errorf("%d %s, want %d with %q", status, body, c.status, c.says)
			}
			if status != http.StatusOK {
				return
			}
			var got Compared
			if err := json.Unmarshal([]byte(body), &got); err != nil || len(got.Rows) != 1 || got.Rows[0].Then.Finding.Words == nil || got.Notes == nil {
				t.Errorf("%v, %s: want the finding in words", err, body)
			}
			if finding.Words != nil {
				t.Error("the finding itself was changed")
			}
		})
	}
	if status, _ := askOtherwise(t, New(Options{}), "7", "application/yaml", "limits: {}", ""); status != http.StatusNotFound {
		t.Errorf("%d where no packets are kept", status)
	}
}

// TestOtherwiseEndsWithItsReader: whoever goes away is not worked for any more.
func TestOtherwiseEndsWithItsReader(t *testing.T) {
	began, ended := make(chan bool), make(chan error, 1)
	server := httptest.NewServer(New(Options{Otherwise: func(ctx context.Context, _ int64, _ []byte) (Compared, error) {
		close(began)
		<-ctx.Done()
		ended <- ctx.Err()
		return Compared{}, ctx.Err()
	}}).Handler())
	defer server.Close()
	ctx, leave := context.WithCancel(t.Context())
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, server.URL+"/api/review/services/1/otherwise", strings.NewReader("limits: {}"))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/yaml")
	go func() {
		<-began
		leave()
	}()
	if answer, err := http.DefaultClient.Do(r); err == nil {
		answer.Body.Close()
		t.Error("there is an answer")
	}
	if err := <-ended; !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}
