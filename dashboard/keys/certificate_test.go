package keys

import (
	"crypto/x509"
	"os"
	"path/filepath"
	"regexp"
	"testing"
	"time"
)

// Our own certificate is what Go's verifier accepts for each name (RFC 5280), is kept, and is
// made anew before its end.
func TestOwnCertificate(t *testing.T) {
	file := filepath.Join(t.TempDir(), "hall.tls.pem")
	now := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	c, err := OwnCertificate(file, []string{"192.0.2.20", "2001:db8::20", "desk.hall.example"}, now)
	if err != nil {
		t.Fatal(err)
	}
	trusted := x509.NewCertPool()
	trusted.AddCert(c.Leaf)
	for _, name := range []string{"localhost", "127.0.0.1", "::1", "192.0.2.20", "2001:db8::20", "desk.hall.example"} {
		if _, err := c.Leaf.Verify(x509.VerifyOptions{DNSName: name, Roots: trusted, CurrentTime: now}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := c.Leaf.Verify(x509.VerifyOptions{DNSName: "elsewhere.example", Roots: trusted, CurrentTime: now}); err == nil {
		t.Error("it is good for any name")
	}
	if is, err := os.Stat(file); err != nil || is.Mode().Perm() != 0o600 {
		t.Errorf("the file: %v, %v", is.Mode(), err)
	}
	print := Fingerprint(c)
	if !regexp.MustCompile(`^([0-9A-F]{2}:){31}[0-9A-F]{2}$`).MatchString(print) {
		t.Errorf("the fingerprint is %q", print)
	}
	for _, later := range []struct {
		after time.Duration
		same  bool
	}{{certificateFor - renewBefore - time.Hour, true}, {certificateFor - renewBefore + time.Hour, false}} {
		again, err := OwnCertificate(file, nil, now.Add(later.after))
		if err != nil || (Fingerprint(again) == print) != later.same {
			t.Errorf("after %v: %v, the same: %t, want %t", later.after, err, Fingerprint(again) == print, later.same)
		}
	}
	if err := os.WriteFile(file, []byte("-----BEGIN"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := OwnCertificate(file, nil, now); err == nil {
		t.Error("half a file is a certificate")
	}
}
