package daemon

import (
	"fmt"
	"net/netip"
	"os"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/disks"
	"pawl/daemon/link"
	"pawl/rules"
	"pawl/rules/words"
)

// TestFaultsAreSaidInEveryLanguage: what is wrong with a disk, a file or the way to the
// desk is what the log says in English, and something else in another language.
func TestFaultsAreSaidInEveryLanguage(t *testing.T) {
	en, es := words.Own().For("en"), words.Own().For("es")
	same := func(what string, p rules.Phrase, log string) {
		t.Helper()
		if got := en.Say(p); got != log {
			t.Errorf("%s: the page says %q, the log %q", what, got, log)
		}
		if got := es.Say(p); got == log || got == p.ID || strings.Contains(got, "fault.") || strings.Contains(got, "trouble.") {
			t.Errorf("%s: in Spanish it is %q", what, got)
		}
	}
	for f, p := range faults {
		same(string(f), p, string(f))
		same(string(f), because(rules.Say("notice.capture"), f), fmt.Sprintf("The capture cannot be written: %s. Watching goes on, and so does the capture when there is room.", f))
	}
	for _, kind := range link.ProblemKinds {
		p := link.Problem{Kind: kind, At: "desk.example:10700", More: "192.0.2.99:10700", For: 65 * time.Second}
		same(string(kind), Says(p), strings.ReplaceAll(p.String(), "1m5s", "65 s"))
	}
}

// Every fault that a disk or an output of the system can have here has its phrase.
func TestEveryFaultHasItsPhrase(t *testing.T) {
	for _, err := range []error{
		syscall.ENOSPC, syscall.EDQUOT, syscall.EROFS, syscall.EIO, os.ErrPermission, syscall.EFBIG, syscall.EPIPE, os.ErrClosed,
		&os.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC},
	} {
		if f := capture.InPlainWords(err); faults[f].ID == "" {
			t.Errorf("%v: %q has no phrase", err, f)
		}
	}
	if p := because(rules.Say("notice.lines"), disks.Fault("tape is torn")); p.Texts["why"] != "tape is torn" || !strings.Contains(words.Own().For("es").Say(p), "tape is torn") {
		t.Errorf("an unknown fault is told as %v, want the system's own words", p)
	}
}

// A house file that cannot be followed is told with its reason: a port in the reader's
// language, and the faults of the file as they are.
func TestUnfollowedIsToldInTheReadersLanguage(t *testing.T) {
	busy := func(kind link.ListenKind) error {
		return fmt.Errorf("open: %w", &link.ListenError{Kind: kind, Listen: netip.MustParseAddrPort("192.0.2.1:10701").String(), Err: syscall.EADDRINUSE})
	}
	for _, c := range []struct {
		err    error
		en, es string
	}{
		{busy(link.PortTaken), "is taken", "está ocupado"},
		{busy(link.PortForbidden), "may not listen on 192.0.2.1:10701", "no tiene permiso para escuchar en 192.0.2.1:10701"},
		{busy(link.NoSuchAddress), "no address 192.0.2.1:10701", "no tiene la dirección 192.0.2.1:10701"},
		{busy(link.PortOther), "address already in use", "no se puede escuchar"},
		{fmt.Errorf("hall.yaml:3: a fault"), "stays in force:\nhall.yaml:3: a fault", "sigue valiendo el anterior:\nhall.yaml:3: a fault"},
	} {
		p := unfollowed(c.err)
		for tag, want := range map[string]string{"en": c.en, "es": c.es} {
			if got := words.Own().For(tag).Say(p); !strings.Contains(got, want) {
				t.Errorf("%s: %q, want %q in it", tag, got, want)
			}
		}
	}
	if !slices.Contains(link.ProblemKinds, link.NameUnknown) || len(problems) != len(link.ProblemKinds) {
		t.Errorf("%d phrases for %d kinds of problem", len(problems), len(link.ProblemKinds))
	}
}
