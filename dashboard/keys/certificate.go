package keys

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"os"
	"strings"
	"time"
)

const (
	// Browsers refuse certificates that are good for much longer.
	certificateFor = 800 * 24 * time.Hour

	// renewBefore is how long before its end another is made, so that none ends on a Sunday.
	renewBefore = 60 * 24 * time.Hour
)

// OwnCertificate is the certificate in a file of our own, which is made if it is not there
// or soon at its end: one that nobody signed, for these names and addresses besides
// localhost. Only the owner can read the file.
func OwnCertificate(file string, names []string, now time.Time) (tls.Certificate, error) {
	text, err := os.ReadFile(file)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return tls.Certificate{}, fmt.Errorf("read our certificate: %w", err)
	}
	if err == nil {
		c, err := tls.X509KeyPair(text, text)
		if err != nil {
			return c, fmt.Errorf("read our certificate in %s: %w; delete the file, and another is made", file, err)
		}
		if now.Before(c.Leaf.NotAfter.Add(-renewBefore)) {
			return c, nil
		}
	}
	if text, err = newCertificate(names, now); err != nil {
		return tls.Certificate{}, fmt.Errorf("make a certificate: %w", err)
	}
	// Whole or not at all: half a certificate would keep the page shut.
	if err := os.WriteFile(file+".new", text, 0o600); err != nil {
		return tls.Certificate{}, fmt.Errorf("keep our certificate: %w", err)
	}
	if err := os.Rename(file+".new", file); err != nil {
		return tls.Certificate{}, fmt.Errorf("keep our certificate: %w", err)
	}
	return tls.X509KeyPair(text, text)
}

func newCertificate(names []string, now time.Time) ([]byte, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		return nil, err
	}
	c := x509.Certificate{
		SerialNumber: serial, Subject: pkix.Name{CommonName: "Pawl"},
		// An hour ago, for a tablet whose clock is behind.
		NotBefore: now.Add(-time.Hour), NotAfter: now.Add(certificateFor),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, BasicConstraintsValid: true,
		DNSNames: []string{"localhost"}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1), net.IPv6loopback},
	}
	for _, name := range names {
		if ip := net.ParseIP(name); ip != nil {
			c.IPAddresses = append(c.IPAddresses, ip)
		} else {
			c.DNSNames = append(c.DNSNames, name)
		}
	}
	cert, err := x509.CreateCertificate(rand.Reader, &c, &c, key.Public(), key)
	if err != nil {
		return nil, err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, err
	}
	var text bytes.Buffer
	err = errors.Join(pem.Encode(&text, &pem.Block{Type: "CERTIFICATE", Bytes: cert}), pem.Encode(&text, &pem.Block{Type: "PRIVATE KEY", Bytes: secret}))
	return text.Bytes(), err
}

// Fingerprint is the SHA-256 of a certificate, as browsers show it: "AB:12:…".
func Fingerprint(c tls.Certificate) string {
	if len(c.Certificate) == 0 {
		return ""
	}
	sum := sha256.Sum256(c.Certificate[0])
	parts := make([]string, len(sum))
	for i, b := range sum {
		parts[i] = fmt.Sprintf("%02X", b)
	}
	return strings.Join(parts, ":")
}
