package daemon

import (
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/prometheus/client_golang/prometheus/testutil/promlint"
)

// TestMetricsLint holds what /metrics serves, before and after the first packet,
// to promlint, the Prometheus project's own check of names and help texts.
func TestMetricsLint(t *testing.T) {
	d := New(harbourHall(t), Options{})
	l, err := d.open(harbourHall(t))
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	s := newSession(d, d.house, &running{Link: l})
	for _, published := range []bool{false, true} {
		if published {
			s.publish()
		}
		answer := httptest.NewRecorder()
		d.tally.handler().ServeHTTP(answer, httptest.NewRequest("GET", "/metrics", nil))
		body := answer.Body.String()
		if got := strings.Contains(body, "pawl_packets_total"); got != published {
			t.Errorf("packets counted: %v, want %v", got, published)
		}
		problems, err := promlint.New(strings.NewReader(body)).Lint()
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range problems {
			t.Errorf("%s: %s", p.Metric, p.Text)
		}
	}
}
