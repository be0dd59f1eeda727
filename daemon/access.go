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

// loadTLS is how the page is served by TLS, or nil for without. own is the file of our own
// certificate.
func loadTLS(h *house.House, own string) (*tls.Config, error) {
	if !h.TLS.Used() {
		return nil, nil
	}
	var c tls.Certificate
	var err error
	if h.TLS.Own {
		c, err = keys.OwnCertificate(own, namesOf(h), time.Now())
	} else if c, err = tls.LoadX509KeyPair(h.TLS.Certificate, h.TLS.PrivateKey); err != nil {
		err = fmt.Errorf("page.tls: %w", err)
	}
	if err != nil {
		return nil, err
	}
	// Not HTTP/2: a websocket begins in HTTP/1.1.
	return &tls.Config{Certificates: []tls.Certificate{c}, MinVersion: tls.VersionTLS12, NextProtos: []string{"http/1.1"}}, nil
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
	if d.tls == nil {
		return ""
	}
	return keys.Fingerprint(d.tls.Certificates[0])
}

// Keys are those of screens elsewhere.
func (d *Daemon) Keys() *keys.File { return d.keys }

// Page is the address to open in a browser. Call it after Listen.
func (d *Daemon) Page() string { return secured(PageAt(d.listener.Addr().String()), d.tls != nil) }

// Tablets are the addresses at which tablets can open the page; none if it is for this
// machine alone. Call it after Listen.
func (d *Daemon) Tablets() []string {
	all := TabletsAt(d.listener.Addr().String())
	for i := range all {
		all[i] = secured(all[i], d.tls != nil)
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
