package keys

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"
)

// File is the file of the keys of one house. It only ever grows, by whole lines, so that a
// daemon and a command beside it can both write to it, and a line that a power cut tore
// costs nothing but itself. A method may be called from any goroutine.
type File struct {
	name string
	now  func() time.Time

	mu    sync.Mutex // guards all below
	seen  fs.FileInfo
	keys  map[string]Key  // by hash
	codes map[string]code // likewise
	ids   map[string]string
}

// code is one that is in the file.
type code struct {
	may    Role
	called string
	until  time.Time
	made   int // keys for it
}

// line is one of the file: a key, a code, or an end of a key.
type line struct {
	Key     string    `json:"key,omitempty"`     // its ID
	Hash    string    `json:"hash,omitempty"`    // of its secret
	Code    string    `json:"code,omitempty"`    // the hash of a code, or of the one that a key was made for
	Revoked string    `json:"revoked,omitempty"` // the ID of a key
	May     Role      `json:"may,omitzero"`
	Called  string    `json:"called,omitempty"`
	At      time.Time `json:"at"`
	Until   time.Time `json:"until,omitzero"` // of a code
}

// mostOfFile bounds what is read of the file: the lines of several thousand keys.
const mostOfFile = 1 << 20

// Open is the file of that name, which need not be there yet: the first key or code makes
// it, readable by its owner alone. A nil now is the system's clock.
func Open(name string, now func() time.Time) *File {
	if now == nil {
		now = time.Now
	}
	return &File{name: name, now: now}
}

// Name is the file's name.
func (f *File) Name() string { return f.name }

// Invite makes a code, by which several screens get keys that may do what r may.
func (f *File) Invite(r Role, called string) (Code, error) {
	text := newCode()
	now := f.now()
	c := Code{Text: text, May: r, Until: now.Add(CodeFor).Truncate(time.Second)}
	f.mu.Lock()
	defer f.mu.Unlock()
	return c, f.append(line{Code: hashOf(plainCode(text)), May: r, Called: tidy(called), At: now, Until: c.Until})
}

// Accept makes a key for a code, and gives its secret. The error is ErrWrong for a code that
// is not good, ErrTooMany, or why the file cannot be written.
func (f *File) Accept(typed string) (secret string, k Key, err error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.read(); err != nil {
		return "", Key{}, err
	}
	hash := hashOf(plainCode(typed))
	c, known := f.codes[hash]
	if !known || c.made >= keysOfCode || !f.now().Before(c.until) {
		return "", Key{}, ErrWrong
	}
	return f.make(c.may, c.called, hash)
}

// Make makes a key without a code, for a machine that reads the metrics, and gives its
// secret, which is kept nowhere.
func (f *File) Make(r Role, called string) (secret string, k Key, err error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.read(); err != nil {
		return "", Key{}, err
	}
	return f.make(r, tidy(called), "")
}

func (f *File) make(r Role, called, byCode string) (secret string, k Key, err error) {
	if len(f.keys) >= mostKeys {
		return "", Key{}, ErrTooMany
	}
	secret = newSecret()
	k = Key{ID: strings.ToLower(newSecret()[:5]), May: r, Called: called, Made: f.now().Truncate(time.Second)}
	return secret, k, f.append(line{Key: k.ID, Code: byCode, May: r, Called: called, At: k.Made, Hash: hashOf(secret)})
}

// Check gives the key of a secret, or false if none in force has it. A file that cannot be
// read leaves in force what was.
func (f *File) Check(secret string) (Key, bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	_ = f.read()
	k, ok := f.keys[hashOf(secret)]
	return k, ok
}

// InForce has the IDs of the keys that are. A file that cannot be read leaves in force what
// was.
func (f *File) InForce() map[string]bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	_ = f.read()
	all := make(map[string]bool, len(f.ids))
	for id := range f.ids {
		all[id] = true
	}
	return all
}

// Keys are those in force, the oldest first.
func (f *File) Keys() ([]Key, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	err := f.read()
	return slices.SortedFunc(maps.Values(f.keys), func(a, b Key) int {
		if c := a.Made.Compare(b.Made); c != 0 {
			return c
		}
		return strings.Compare(a.ID, b.ID)
	}), err
}

// Revoke ends a key; a screen that is looking with it is sent away within a second or two.
func (f *File) Revoke(id string) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.read(); err != nil {
		return err
	}
	if _, ok := f.ids[id]; !ok {
		return fmt.Errorf("%s: %w", id, ErrUnknown)
	}
	return f.append(line{Revoked: id, At: f.now()})
}

// Others says whether others than the owner can read or write the file.
func (f *File) Others() bool {
	is, err := os.Stat(f.name)
	return err == nil && is.Mode().Perm()&0o077 != 0
}

// append writes one line, and takes it as read. The caller holds the lock.
func (f *File) append(l line) error {
	to, err := f.open()
	if err != nil {
		return fmt.Errorf("keep the keys: %w", err)
	}
	text, err := json.Marshal(l)
	if err == nil {
		// A torn line before this one must not take this one with it.
		_, err = to.Write(append(append([]byte{'\n'}, text...), '\n'))
	}
	if err = errors.Join(err, to.Sync(), to.Close()); err != nil {
		return fmt.Errorf("keep the keys in %s: %w", f.name, err)
	}
	return f.read()
}

// open opens the file to write, and makes it if it is not there. What root makes in the folder
// of a service is the service's, which could not read it otherwise. Nothing is given away that
// was there before: the service may have put a link in its place.
func (f *File) open() (*os.File, error) {
	to, err := os.OpenFile(f.name, os.O_WRONLY|os.O_CREATE|os.O_APPEND|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return os.OpenFile(f.name, os.O_WRONLY|os.O_CREATE|os.O_APPEND, 0o600)
	}
	if err == nil && os.Geteuid() == 0 {
		giveTo(to, filepath.Dir(f.name))
	}
	return to, err
}

// read takes the file in again if it has changed. The caller holds the lock.
func (f *File) read() error {
	is, err := os.Stat(f.name)
	if errors.Is(err, fs.ErrNotExist) {
		f.keys, f.codes, f.ids, f.seen = nil, nil, nil, nil
		return nil
	}
	if err != nil {
		return fmt.Errorf("read the keys: %w", err)
	}
	if f.seen != nil && os.SameFile(is, f.seen) && is.Size() == f.seen.Size() && is.ModTime().Equal(f.seen.ModTime()) {
		return nil
	}
	if !is.Mode().IsRegular() {
		return fmt.Errorf("read the keys: %s is no file", f.name)
	}
	from, err := os.Open(f.name)
	if err != nil {
		return fmt.Errorf("read the keys: %w", err)
	}
	defer from.Close()
	text, err := io.ReadAll(io.LimitReader(from, mostOfFile))
	if err != nil {
		return fmt.Errorf("read the keys in %s: %w", f.name, err)
	}
	if len(text) == mostOfFile {
		return fmt.Errorf("%s is longer than %d bytes, which no file of keys is; move it away and pair the screens anew", f.name, mostOfFile)
	}
	f.take(text)
	f.seen = is
	return nil
}

func (f *File) take(text []byte) {
	f.keys, f.codes, f.ids = map[string]Key{}, map[string]code{}, map[string]string{}
	for s := bufio.NewScanner(bytes.NewReader(text)); s.Scan(); {
		var l line
		if json.Unmarshal(s.Bytes(), &l) != nil {
			continue // torn, or empty
		}
		switch {
		case l.Revoked != "":
			delete(f.keys, f.ids[l.Revoked])
			delete(f.ids, l.Revoked)
		case l.May == Nobody:
		case l.Key != "" && l.Hash != "":
			if c, ok := f.codes[l.Code]; ok {
				c.made++
				f.codes[l.Code] = c
			}
			f.keys[l.Hash] = Key{ID: l.Key, May: l.May, Called: tidy(l.Called), Made: l.At}
			f.ids[l.Key] = l.Hash
		case l.Code != "" && f.now().Before(l.Until):
			f.codes[l.Code] = code{may: l.May, called: tidy(l.Called), until: l.Until}
		}
	}
}

// tidy is what somebody typed, on one line and of a bounded length.
func tidy(text string) string {
	runes := []rune(strings.TrimSpace(strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, text)))
	return string(runes[:min(len(runes), mostCalled)])
}
