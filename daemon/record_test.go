package daemon

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"pawl/daemon/store"
	"pawl/dashboard"
	"pawl/rules"
	"pawl/rules/words"
)

// printed is what a daemon printed so far.
type printed struct {
	mu   sync.Mutex
	data bytes.Buffer
}

func (p *printed) Write(b []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.data.Write(b)
}

// heads are the numbers, times and kinds of the printed entries.
func (p *printed) heads(t *testing.T) (all []rules.Stamp) {
	t.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, line := range bytes.Split(bytes.TrimSpace(p.data.Bytes()), []byte("\n")) {
		var s rules.Stamp
		if err := json.Unmarshal(line, &s); err != nil {
			t.Fatal(err)
		}
		all = append(all, s)
	}
	return all
}

// TestRecordIsTheLiveService plays a service into a folder that is not there at first: the
// page says so, nothing is lost, and in the end the record has what was printed, from the
// service's beginning on, without a hole.
func TestRecordIsTheLiveService(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "not yet")
	path := filepath.Join(folder, "evening.record")
	clock := fastClock()
	h := harbourHall(t)
	h.Desk = playDesk(t, clock, "ratchet").Addr().String()
	h.Page = "127.0.0.1:0"
	lines := &printed{}
	d := New(h, Options{Clock: clock, Lines: Lines{W: lines, JSON: true}, Record: path, Version: "1.2.3"})
	d.storing = store.Options{Every: 10 * time.Millisecond, Retry: 10 * time.Millisecond}
	startDaemon(t, d)
	page := openTablet(t, d.Page())
	troubled := func(s dashboard.Now) bool {
		return slices.ContainsFunc(s.Notices, func(n dashboard.Notice) bool { return n.Kind == "record" && n.Text != "" })
	}
	page.until("the trouble", troubled)
	if ok := metricsOf(t, d)["pawl_record_ok"]; ok != 0 {
		t.Errorf("pawl_record_ok is %v without a folder", ok)
	}
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	page.until("the card, and no trouble", func(s dashboard.Now) bool {
		return s.Card != nil && s.Card.Rule == "ratchet" && !troubled(s)
	})
	if err := d.record.Flush(); err != nil {
		t.Fatal(err)
	}
	if m := metricsOf(t, d); m["pawl_record_ok"] != 1 || m["pawl_record_errors_total"] == 0 || m["pawl_record_rows_missing_total"] != 0 || m["pawl_record_rows_total"] == 0 {
		t.Errorf("record ok %v after %v errors, %v rows missing, %v written", m["pawl_record_ok"], m["pawl_record_errors_total"], m["pawl_record_rows_missing_total"], m["pawl_record_rows_total"])
	}
	s, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	all, err := s.Services()
	if err != nil || len(all) != 1 || !all[0].GoesOn || all[0].House != h.Name || all[0].Pawl != "1.2.3" {
		t.Fatalf("services %+v, %v", all, err)
	}
	checkReview(t, d, all[0].ID)
	stretches, err := s.Read(all[0].ID)
	if err != nil || len(stretches) != 1 {
		t.Fatalf("%d stretches, %v", len(stretches), err)
	}
	var got []rules.Stamp
	for _, e := range stretches[0].Entries {
		got = append(got, *e.Head())
	}
	want := lines.heads(t)
	first := slices.IndexFunc(want, func(s rules.Stamp) bool { return s.T >= stretches[0].From })
	if want = want[first:min(len(want), first+len(got))]; !slices.Equal(got, want) {
		t.Errorf("recorded %d entries: %v\nprinted: %v", len(got), got, want)
	}
	if n := len(stretches[0].Levels); n < 60 || len(stretches[0].Levels[0].Inputs) != len(h.Roster.Inputs) {
		t.Errorf("%d seconds of levels, want each of a service of minutes, with every input", n)
	}
}

// checkReview asks for the service that goes on as its page does, and ends it by hand.
func checkReview(t *testing.T, d *Daemon, id int64) {
	t.Helper()
	services := d.Page() + "api/review/services"
	if body := askPage(t, services, ""); !strings.Contains(body, `"goes_on":true`) {
		t.Errorf("the list says %s", body)
	}
	one := services + "/" + strconv.FormatInt(id, 10)
	if body := askPage(t, one, ""); !strings.Contains(body, `"rule":"ratchet"`) || !strings.Contains(body, `"kind":"raise"`) {
		t.Errorf("of the service is said %.300s", body)
	}
	if body := askPage(t, one+"/curves?points=20", ""); !strings.Contains(body, `"rise_db":[`) {
		t.Errorf("its curves are %.300s", body)
	}
	for _, c := range []struct{ address, asked, want string }{
		{services, `{"do":"begin"}`, words.Own().For("en").Why(errAlready)},
		{one, `{"do":"delete"}`, words.Own().For("en").Why(store.ErrGoesOn)},
		{one, `{"do":"rename","text":"Second Sunday"}`, `"refused":""`},
		{services, `{"do":"end"}`, `"refused":""`},
		{services, `{"do":"end"}`, words.Own().For("en").Why(errNone)},
	} {
		if body := askPage(t, c.address, c.asked); !strings.Contains(body, c.want) {
			t.Errorf("%s was answered %s, want %q in it", c.asked, body, c.want)
		}
	}
	if body := askPage(t, services, ""); strings.Contains(body, `"goes_on":true`) || !strings.Contains(body, "Second Sunday") {
		t.Errorf("after its end the list says %s", body)
	}
}

// askPage gets an address, or posts what is asked there, and gives the answer.
func askPage(t *testing.T, address, asked string) string {
	t.Helper()
	r, err := http.Get(address)
	if asked != "" {
		r, err = http.Post(address, "application/json", strings.NewReader(asked))
	}
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}
