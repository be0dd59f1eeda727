package dashboard

import (
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"strconv"
	"strings"
)

// hostSet is the names the page answers to, in lower case.
func hostSet(names []string) map[string]bool {
	set := map[string]bool{"localhost": true}
	for _, n := range names {
		set[strings.ToLower(strings.TrimSuffix(n, "."))] = true
	}
	return set
}

// guard refuses requests that name a host we do not go by, and sets the headers
// that every answer carries.
//
// A web page elsewhere can let its own name resolve to this machine and would
// then count as same-origin; the name in its requests gives it away. A bare
// address cannot be rebound, so those are always let in.
func (s *Server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := hostName(r.Host)
		if !s.known(name) {
			s.refusals.Do(func() {
				s.options.Log.Info("host name refused", "host", name[:min(len(name), mostOfHost)], "from", r.RemoteAddr)
			})
			http.Error(w, fmt.Sprintf("This page does not go by the name %q.\n"+
				"Ask for it by its address in numbers, or add the name to the page's hosts in the house file.", name[:min(len(name), mostOfHost)]),
				http.StatusForbidden)
			return
		}
		setHeaders(w.Header(), r.Host)
		next.ServeHTTP(w, r)
	})
}

func (s *Server) known(name string) bool {
	if a, err := netip.ParseAddr(name); err == nil {
		return a.Zone() == ""
	}
	return s.hosts[strings.ToLower(strings.TrimSuffix(name, "."))]
}

// hostName is a Host header without its port and brackets; "" if the port is no
// number.
func hostName(host string) string {
	name, port, err := net.SplitHostPort(host)
	if err != nil {
		return strings.Trim(host, "[]")
	}
	if _, err := strconv.ParseUint(port, 10, 16); err != nil {
		return ""
	}
	return name
}

// forDocuments are the headers that say what a page may do. A page's files go without: they
// mean nothing there.
var forDocuments = []string{"Content-Security-Policy", "X-Frame-Options", "Referrer-Policy", "Cross-Origin-Opener-Policy", "Permissions-Policy"}

// setHeaders names the live address beside 'self' because not every browser lets
// 'self' cover ws. guard has checked the host: it is an
// address or a name of ours, and a number, so it can hold no policy syntax.
func setHeaders(h http.Header, host string) {
	h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "+
		"manifest-src 'self'; connect-src 'self' ws://"+host+" wss://"+host+"; "+
		"base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "screen-wake-lock=(self), camera=(), microphone=(), geolocation=()")
}
