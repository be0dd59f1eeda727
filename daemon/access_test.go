package daemon

import (
	"crypto/tls"
	"crypto/x509"
	"log/slog"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/dashboard"
	"pawl/dashboard/keys"
)

// A house that wants it has its page by TLS alone, with the certificate whose fingerprint is
// told, and its live frames with it.
func TestPageByTLS(t *testing.T) {
	h := harbourHall(t)
	h.TLS.Own = true
	file := filepath.Join(t.TempDir(), "hall.tls.pem")
	d := start(t, h, Options{Certificate: file})
	c, err := keys.OwnCertificate(file, nil, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(d.Page(), "https://") || d.Fingerprint() != keys.Fingerprint(c) {
		t.Errorf("the page is at %s with %s", d.Page(), d.Fingerprint())
	}
	trusted := x509.NewCertPool()
	trusted.AddCert(c.Leaf)
	transport := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: trusted}}
	defer transport.CloseIdleConnections()
	answer, err := (&http.Client{Transport: transport}).Get(d.Page())
	if err != nil || answer.StatusCode != http.StatusOK || answer.TLS.NegotiatedProtocol == "h2" {
		t.Fatalf("by TLS: %v", err)
	}
	answer.Body.Close()
	plainly, err := http.Get(strings.Replace(d.Page(), "https", "http", 1))
	if err != nil || plainly.StatusCode != http.StatusBadRequest {
		t.Errorf("without TLS: %v, %v; want a refusal", plainly, err)
	}
	plainly.Body.Close()
	h = harbourHall(t)
	h.Page = "127.0.0.1:0"
	h.TLS.Own, h.TLS.Certificate, h.TLS.PrivateKey = false, "nowhere.crt", "nowhere.key"
	if err := New(h, Options{}).Listen(); err == nil || !strings.Contains(err.Error(), "page.tls") {
		t.Errorf("a certificate that is not there: %v", err)
	}
}

// A house file that is read again, though nothing in it is new, has its certificate read again
// too: a page that comes gets the new one, and one that is there stays. One that cannot be read
// leaves the old one in force, and the page says so.
func TestCertificateIsRenewed(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	renew := func() (fingerprint string) {
		t.Helper()
		made := filepath.Join(t.TempDir(), "made.pem")
		c, err := keys.OwnCertificate(made, nil, time.Now())
		if err != nil {
			t.Fatal(err)
		}
		text, err := os.ReadFile(made)
		if err != nil {
			t.Fatal(err)
		}
		write("hall.pem", string(text))
		return keys.Fingerprint(c)
	}
	first := renew()
	write("harbour-hall.map.yaml", string(practice.MapFile()))
	text := strings.Replace(string(practice.House()), "page: {listen: 127.0.0.1:10780", "page: {tls: {certificate: hall.pem, private-key: hall.pem}, listen: 127.0.0.1:10780", 1)
	write("house.yaml", text)
	h, faults := house.Load(filepath.Join(dir, "house.yaml"))
	if h == nil {
		t.Fatal(faults)
	}
	reload := make(chan struct{})
	logged := &signalled{}
	d := start(t, h, Options{Reload: reload, Log: slog.New(slog.NewTextHandler(logged, nil))})
	at := strings.TrimSuffix(strings.TrimPrefix(d.Page(), "https://"), "/")
	given := func() string {
		t.Helper()
		conn, err := tls.Dial("tcp", at, &tls.Config{InsecureSkipVerify: true})
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
		c := conn.ConnectionState().PeerCertificates[0]
		return keys.Fingerprint(tls.Certificate{Certificate: [][]byte{c.Raw}})
	}
	dialer := websocket.Dialer{TLSClientConfig: &tls.Config{InsecureSkipVerify: true}}
	conn, _, err := dialer.Dial("wss://"+at+"/live", nil)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	page := &tablet{t, conn}
	page.until("a first state", func(s dashboard.Now) bool { return s.House != "" })
	if got := given(); got != first || d.Fingerprint() != first {
		t.Errorf("the page has %s and says %s, want %s", got, d.Fingerprint(), first)
	}
	second := renew()
	reload <- struct{}{}
	logged.want = "another certificate"
	logged.wait(t)
	if got := given(); got != second || d.Fingerprint() != second {
		t.Errorf("the page has %s and says %s, want the new %s", got, d.Fingerprint(), second)
	}
	write("hall.pem", "half a certif")
	reload <- struct{}{}
	s := page.until("the fault", func(s dashboard.Now) bool { return len(s.Notices) > 0 })
	if !strings.Contains(s.Notices[0].Text, "page.tls: "+filepath.Join(dir, "hall.pem")) {
		t.Errorf("the page says %q", s.Notices[0].Text)
	}
	if got := given(); got != second {
		t.Errorf("the page has %s, want the old one, which is good", got)
	}
	third := renew()
	reload <- struct{}{}
	page.until("no fault", func(s dashboard.Now) bool { return len(s.Notices) == 0 })
	if got := given(); got != third {
		t.Errorf("the page has %s, want %s", got, third)
	}
	write("house.yaml", string(practice.House()))
	reload <- struct{}{}
	logged.want = "until pawl is started again"
	logged.wait(t)
	if got := given(); got != third {
		t.Errorf("the page has %s, want it as it was", got)
	}
}
