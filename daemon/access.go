package daemon

import (
	"cmp"
	"crypto/tls"
	"fmt"
	"net"
	"strings"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/dashboard/keys"
)

// loadCertificate reads the certificate that a house has its page served by, or gives nil for
// none. own is the file of our own.
func loadCertificate(h *house.House, own string) (*tls.Certificate, error) {
	if !h.TLS.Used() {
		return nil, nil
	}
	if h.TLS.Own {
		c, err := keys.OwnCertificate(own, namesOf(h), time.Now())
		return &c, err
	}
	var pem [2][]byte
	for i, file := range []string{h.TLS.Certificate, h.TLS.PrivateKey} {
		text, err := house.ReadFile(file) // which a pipe in its place does not hold up
		if err != nil {
			return nil, fmt.Errorf("page.tls: %s: %w", file, err)
		}
		pem[i] = text
	}
	c, err := tls.X509KeyPair(pem[0], pem[1])
	if err != nil {
		return nil, fmt.Errorf("page.tls: %s: %w", h.TLS.Certificate, err)
	}
	return &c, nil
}

// byTLS is how the page is served by the certificate that is in force when a screen comes.
func (d *Daemon) byTLS() *tls.Config {
	if d.certificate.Load() == nil {
		return nil
	}
	// Not HTTP/2: a websocket begins in HTTP/1.1.
	return &tls.Config{
		GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) { return d.certificate.Load(), nil },
		MinVersion:     tls.VersionTLS12, NextProtos: []string{"http/1.1"},
	}
}

// newCertificate is what a house that was read again has its page served by from now on, or nil
// for as before: whether it is by TLS at all is settled at the start.
func (d *Daemon) newCertificate(h *house.House) (*tls.Certificate, error) {
	was := d.certificate.Load()
	if (was != nil) != h.TLS.Used() {
		d.options.Log.Warn("the page is served by TLS, or without, as it was until pawl is started again")
		return nil, nil
	}
	c, err := loadCertificate(h, d.options.Certificate)
	if err != nil || c == nil || keys.Fingerprint(*c) == keys.Fingerprint(*was) {
		return nil, err
	}
	return c, nil
}

// certify puts a certificate in force, if it is a new one. Screens that are there stay.
func (d *Daemon) certify(c *tls.Certificate) {
	if c != nil {
		d.certificate.Store(c)
		d.options.Log.Info("the page has another certificate", "fingerprint", keys.Fingerprint(*c))
	}
}

// namesOf are what screens may call this machine.
func namesOf(h *house.House) []string {
	names := h.PageNames
	for _, ip := range link.Addresses() {
		names = append(names[:len(names):len(names)], ip.String())
	}
	return names
}

// Fingerprint is that of the certificate that the page is served by; "" without TLS. Call it
// after Listen.
func (d *Daemon) Fingerprint() string {
	if c := d.certificate.Load(); c != nil {
		return keys.Fingerprint(*c)
	}
	return ""
}

// Keys are those of screens elsewhere.
func (d *Daemon) Keys() *keys.File { return d.keys }

// Page is the address to open in a browser. Call it after Listen.
func (d *Daemon) Page() string {
	return secured(PageAt(d.listener.Addr().String()), d.certificate.Load() != nil)
}

// Tablets are the addresses at which tablets can open the page; none if it is for this
// machine alone. Call it after Listen.
func (d *Daemon) Tablets() []string {
	all := TabletsAt(d.listener.Addr().String())
	for i := range all {
		all[i] = secured(all[i], d.certificate.Load() != nil)
	}
	return all
}

func secured(address string, byTLS bool) string {
	if byTLS {
		return strings.Replace(address, "http:", "https:", 1)
	}
	return address
}

// PagesOf is Tablets for whoever only has the house's file.
func PagesOf(h *house.House) []string {
	host, port, _ := net.SplitHostPort(h.Page)
	all := TabletsAt(net.JoinHostPort(cmp.Or(host, "0.0.0.0"), port))
	for i := range all {
		all[i] = secured(all[i], h.TLS.Used())
	}
	return all
}

// TabletsAt is Tablets for a page that listens at an address.
func TabletsAt(address string) (all []string) {
	host, port, _ := net.SplitHostPort(address)
	ip := net.ParseIP(host)
	switch {
	case ip == nil || ip.IsLoopback():
	case ip.IsUnspecified():
		for _, ip := range link.Addresses() {
			all = append(all, "http://"+net.JoinHostPort(ip.String(), port)+"/")
		}
	default:
		all = append(all, "http://"+address+"/")
	}
	return all
}

// PageAt is the address to open in a browser on this machine, of a page that listens at one.
func PageAt(address string) string {
	host, port, _ := net.SplitHostPort(address)
	if ip := net.ParseIP(host); ip != nil && ip.IsUnspecified() {
		host = "localhost"
	}
	return "http://" + net.JoinHostPort(host, port) + "/"
}
