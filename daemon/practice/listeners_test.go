package practice

import (
	"net/netip"
	"testing"
	"time"
)

func TestListeners(t *testing.T) {
	tablet, laptop := netip.MustParseAddrPort("192.0.2.1:9"), netip.MustParseAddrPort("192.0.2.2:9")
	l := listeners{}
	l.add(tablet, 60*time.Second)
	l.add(laptop, 30*time.Second)
	if !l.has(tablet, 0) || l.has(netip.MustParseAddrPort("192.0.2.1:10"), 0) {
		t.Error("has does not tell the one who asked from another port of the same machine")
	}
	if got := l.at(29 * time.Second); len(got) != 2 || got[0] != tablet {
		t.Errorf("at 29 s %v listen, want both, in order", got)
	}
	if l.has(laptop, 30*time.Second) {
		t.Error("the laptop still listens when its time is over")
	}
	l.add(tablet, 90*time.Second)
	if got := l.at(60 * time.Second); len(got) != 1 || got[0] != tablet {
		t.Errorf("at 60 s %v listen, want only the one who asked again", got)
	}
	if got := l.at(90 * time.Second); len(got) != 0 || len(l) != 0 {
		t.Errorf("at 90 s %v listen, want nobody", got)
	}
}

func TestOnlySoManyListeners(t *testing.T) {
	l := listeners{}
	for port := range uint16(100) {
		l.add(netip.AddrPortFrom(netip.IPv4Unspecified(), port), time.Minute)
	}
	if len(l) != mostListeners {
		t.Errorf("%d listen, want at most %d", len(l), mostListeners)
	}
}
