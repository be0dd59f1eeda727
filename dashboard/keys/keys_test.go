package keys

import (
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"
)

// hall is a file of keys on a clock that the test sets.
type hall struct {
	*File
	t   *testing.T
	now time.Time
}

func newHall(t *testing.T) *hall {
	h := &hall{t: t, now: time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)}
	h.File = Open(filepath.Join(t.TempDir(), "hall.keys"), h.clock)
	return h
}

func (h *hall) clock() time.Time { return h.now }

func (h *hall) invite(r Role) Code {
	h.t.Helper()
	c, err := h.Invite(r, "tablet at the desk")
	if err != nil {
		h.t.Fatal(err)
	}
	return c
}

func (h *hall) accept(code string) (string, Key) {
	h.t.Helper()
	secret, k, err := h.Accept(code)
	if err != nil {
		h.t.Fatal(err)
	}
	return secret, k
}

// A code makes keys, which are good in every process, and are good no more once revoked.
func TestFromCodeToKey(t *testing.T) {
	h := newHall(t)
	if _, ok := h.Check("anything"); ok {
		t.Error("a file that is not there lets somebody in")
	}
	c := h.invite(Coach)
	if !regexp.MustCompile(`^[A-Z2-7]{4}-[A-Z2-7]{4}$`).MatchString(c.Text) || !c.Until.Equal(h.now.Add(CodeFor)) {
		t.Errorf("a code %q until %v", c.Text, c.Until)
	}
	secret, k := h.accept(" " + strings.ToLower(strings.ReplaceAll(c.Text, "-", " ")))
	if k.May != Coach || k.Called != "tablet at the desk" || len(secret) < 26 {
		t.Errorf("the key is %+v with a secret of %d characters", k, len(secret))
	}
	elsewhere := Open(h.Name(), h.clock)
	if got, ok := elsewhere.Check(secret); !ok || got != k {
		t.Errorf("another process finds %+v, %t", got, ok)
	}
	if all, err := elsewhere.Keys(); err != nil || len(all) != 1 || all[0] != k {
		t.Errorf("another process lists %+v, %v", all, err)
	}
	if err := elsewhere.Revoke(k.ID); err != nil {
		t.Fatal(err)
	}
	if _, ok := h.Check(secret); ok || h.InForce()[k.ID] {
		t.Error("a key is in force after another process revoked it")
	}
	if err := h.Revoke(k.ID); !errors.Is(err, ErrUnknown) {
		t.Errorf("revoked twice: %v", err)
	}
}

// A code ends by its time and by how many it let in.
func TestCodesEnd(t *testing.T) {
	h := newHall(t)
	c := h.invite(Watch)
	for range keysOfCode {
		h.accept(c.Text)
	}
	if _, _, err := h.Accept(c.Text); !errors.Is(err, ErrWrong) {
		t.Errorf("one more than %d: %v", keysOfCode, err)
	}
	late := h.invite(Watch)
	h.now = h.now.Add(CodeFor)
	for _, code := range []string{late.Text, "", "AAAA-AAAA", strings.Repeat("A", 1<<16)} {
		if _, _, err := h.Accept(code); !errors.Is(err, ErrWrong) {
			t.Errorf("%.20q: %v", code, err)
		}
	}
	// Nor is a code one by itself, in a cookie.
	if _, ok := h.Check(plainCode(h.invite(Installer).Text)); ok {
		t.Error("a code is a key")
	}
}

func TestNotTooMany(t *testing.T) {
	h := newHall(t)
	for range mostKeys {
		if _, _, err := h.Make(Watch, ""); err != nil {
			t.Fatal(err)
		}
	}
	if _, _, err := h.Make(Watch, ""); !errors.Is(err, ErrTooMany) {
		t.Errorf("one more than %d: %v", mostKeys, err)
	}
}

// The file tells nobody a secret, is its owner's alone, and bears what may have happened to it.
func TestTheFile(t *testing.T) {
	h := newHall(t)
	c := h.invite(Installer)
	secret, _ := h.accept(c.Text)
	text, err := os.ReadFile(h.Name())
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(text), secret) || strings.Contains(string(text), c.Text) || strings.Contains(string(text), plainCode(c.Text)) {
		t.Error("the file has a secret or a code in it")
	}
	is, err := os.Stat(h.Name())
	if err != nil || is.Mode().Perm() != 0o600 || h.Others() {
		t.Errorf("the file is %v, %v", is.Mode(), err)
	}
	for _, torn := range []string{`{"key":"torn","may":"inst`, "\x00\x00\x00", `{"key":"x","may":"god","hash":"y"}`, `{"key":"x","hash":"y"}`, `{"key":"x","may":"watch"}`} {
		to, err := os.OpenFile(h.Name(), os.O_APPEND|os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := to.WriteString(torn); err != nil || to.Close() != nil {
			t.Fatal(err)
		}
		if _, k, err := h.Make(Watch, "after a torn line"); err != nil || !h.InForce()[k.ID] {
			t.Errorf("after %q: %v", torn, err)
		}
		if _, ok := h.Check(secret); !ok {
			t.Errorf("after %q the key before it is gone", torn)
		}
	}
	if all, _ := h.Keys(); len(all) != 6 {
		t.Errorf("%d keys, want 6", len(all))
	}
	if err := os.Chmod(h.Name(), 0o644); err != nil || !h.Others() {
		t.Errorf("a file that all can read: %v, %t", err, h.Others())
	}
}

// What is called anything stays on its line, and of a bounded length.
func TestCalled(t *testing.T) {
	h := newHall(t)
	for typed, want := range map[string]string{
		" tablet\n{\"key\":\"x\"} ": `tablet{"key":"x"}`, "\u202eevil\u2028\x1b[31m": "evil[31m", "mesa de sonido · ñ": "mesa de sonido · ñ",
		strings.Repeat("é", 100): strings.Repeat("é", mostCalled),
	} {
		if _, k, err := h.Make(Watch, typed); err != nil {
			t.Error(err)
		} else if all, _ := h.Keys(); all[len(all)-1].Called != want && !called(all, want) {
			t.Errorf("%q is kept as %q, want %q (%v)", typed, all[len(all)-1].Called, want, k)
		}
	}
}

func called(all []Key, want string) bool {
	for _, k := range all {
		if k.Called == want {
			return true
		}
	}
	return false
}

// Faults of the disk are told, and leave in force what was.
func TestFaults(t *testing.T) {
	h := newHall(t)
	secret, _ := h.accept(h.invite(Watch).Text)
	if err := os.Remove(h.Name()); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(h.Name(), 0o700); err != nil {
		t.Fatal(err)
	}
	if _, err := h.Invite(Watch, ""); err == nil {
		t.Error("a code was kept in a folder")
	}
	if _, ok := h.Check(secret); !ok {
		t.Error("a fault of the disk sends screens away")
	}
	if err := os.Remove(h.Name()); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(h.Name(), make([]byte, mostOfFile+1), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := h.Keys(); err == nil || !strings.Contains(err.Error(), "longer") {
		t.Errorf("a file without end: %v", err)
	}
}

// Two processes write at once, and no line is lost.
func TestTogether(t *testing.T) {
	h := newHall(t)
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			own := Open(h.Name(), nil)
			for range 20 {
				if _, _, err := own.Make(Watch, ""); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	if keys, err := h.Keys(); err != nil || len(keys) != 80 {
		t.Errorf("%d keys, %v; want 80", len(keys), err)
	}
}

func FuzzFile(f *testing.F) {
	f.Add([]byte(`{"key":"abcde","hash":"0","may":"watch","called":"x","at":"2026-03-01T09:00:00Z"}`))
	f.Add([]byte(`{"code":"0","may":"coach","until":"2027-03-01T09:00:00Z"}` + "\n" + `{"revoked":"abcde"}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		h := newHall(t)
		if err := os.WriteFile(h.Name(), text, 0o600); err != nil {
			t.Fatal(err)
		}
		before, _ := h.Keys()
		secret, k, err := h.Make(Coach, "x")
		if errors.Is(err, ErrTooMany) || len(text) >= mostOfFile-1024 {
			return
		}
		if got, ok := h.Check(secret); err != nil || !ok || got != k {
			t.Errorf("a new key is %+v, %t, %v", got, ok, err)
		}
		if after, _ := h.Keys(); len(after) != len(before)+1 {
			t.Errorf("%d keys before and %d after", len(before), len(after))
		}
	})
}
