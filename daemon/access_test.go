package daemon

import (
	"crypto/tls"
	"crypto/x509"
	"net/http"
	"path/filepath"
	"strings"
	"testing"
	"time"

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
	h.TLS.Own, h.TLS.Certificate, h.TLS.PrivateKey = false, "nowhere.crt", "nowhere.key"
	if err := New(h, Options{}).Listen(); err == nil || !strings.Contains(err.Error(), "page.tls") {
		t.Errorf("a certificate that is not there: %v", err)
	}
}
