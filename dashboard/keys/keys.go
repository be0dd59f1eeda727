// Package keys keeps who may look at the page from elsewhere than this machine, and what
// they may do there.
//
// A screen is let in by a key of its own, which it gets for a code that is good for a
// quarter of an hour. Keys and codes are kept in a file, as their hashes: whoever reads the
// file, or a backup of it, gets in nowhere.
package keys

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"time"
)

// Role is what the holder of a key may do. Each may do what those before it may. The zero
// value may do nothing.
type Role int

// The roles, in order.
const (
	Nobody    Role = iota
	Watch          // the operator's screens: watch, answer cards, the line check, look at the review
	Coach          // and the coach's: tell the operator something, keep the record in order
	Installer      // and setup, and the keys of others
)

// Roles are those that a key can have.
var Roles = []Role{Watch, Coach, Installer}

var roleNames = [...]string{Nobody: "", Watch: "watch", Coach: "coach", Installer: "installer"}

// String is the role as files and command lines name it; "" for Nobody.
func (r Role) String() string {
	if r < 0 || int(r) >= len(roleNames) {
		return fmt.Sprintf("Role(%d)", int(r))
	}
	return roleNames[r]
}

// MarshalText writes the role's name.
func (r Role) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText reads a role's name, and refuses what names none.
func (r *Role) UnmarshalText(text []byte) error {
	for _, known := range Roles {
		if known.String() == string(text) {
			*r = known
			return nil
		}
	}
	return fmt.Errorf("no role %q; there are %s, %s and %s", text, Watch, Coach, Installer)
}

// Key is one that is in force.
type Key struct {
	ID     string    // by which it is listed and revoked; no secret
	May    Role      // what its holder may do
	Called string    // what whoever made it calls it; may be ""
	Made   time.Time // to the second
}

// Code is what a screen gives for a key of its own.
type Code struct {
	Text  string // eight letters and digits in two groups, as "K7QF-2MXD"
	May   Role   // what the keys that are made for it may
	Until time.Time
}

const (
	// CodeFor is how long a code is good.
	CodeFor = 15 * time.Minute

	// keysOfCode is how many screens one code lets in: those of one room, not those of
	// whoever photographed it.
	keysOfCode = 8

	// mostKeys are in force at once, far more than a hall has screens.
	mostKeys = 256

	// mostCalled is how much of what a key is called is kept, in characters.
	mostCalled = 60
)

// Why a code or a key is refused.
var (
	ErrWrong   = errors.New("not good, or no longer")
	ErrTooMany = fmt.Errorf("%d keys are in force already; revoke some first", mostKeys)
	ErrUnknown = errors.New("no such key is in force")
)

// newSecret is a secret of 128 bits or more, in letters and digits.
func newSecret() string { return rand.Text() }

// newCode has 40 bits: far too many to guess within a quarter of an hour from a page that
// takes two a second, and few enough to type.
func newCode() string {
	text := rand.Text()[:8]
	return text[:4] + "-" + text[4:]
}

// plainCode is a code as it may be typed: in small letters, with spaces, without its dash.
func plainCode(typed string) string {
	return strings.Map(func(r rune) rune {
		if r == '-' || r == ' ' {
			return -1
		}
		return r
	}, strings.ToUpper(typed))
}

// hashOf is what a secret is kept as. It has so many bits that it needs neither salt nor
// patience; a code has fewer, and is worth nothing after its time.
func hashOf(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}
