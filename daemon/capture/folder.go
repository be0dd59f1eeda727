package capture

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"sync"
	"time"
)

// FolderOptions say where a Folder keeps captures, and how much of them.
type FolderOptions struct {
	Path string // of the folder, which is made if it is not there
	Stem string // what the names of its files begin with
	Note string // for whoever opens one, as for NewRecorder

	Keep time.Duration // after a file was last written; 0 for ever
	Most int64         // bytes of all files; the oldest go first; 0 for any number

	// Loose are files that nobody needs any more, by their paths, and Forgotten is told of
	// each that is gone. Both are called from a goroutine of the Folder's; nil for none.
	Loose     func() []string
	Forgotten func(path string)

	Recorder RecorderOptions
}

// Folder keeps captures as compressed files of one folder, one after another, each
// written by a Recorder of its own: trouble with the folder is in Status, and holds
// nobody up. Make one with NewFolder, and Close it. Put, Next and File are called from
// one goroutine, the others from any.
type Folder struct {
	options FolderOptions
	name    *regexp.Regexp // of files that are ours to delete

	old  sync.WaitGroup // of files that are being ended
	tidy sync.Mutex     // one at a time

	mu       sync.Mutex // below
	recorder *Recorder  // of the file at hand; nil before its first packet
	file     *lateFile
	ending   []*Recorder // of files before, that still write
	before   Status      // of those that have ended
}

// NewFolder keeps captures in a folder. Nothing is opened, and nothing deleted, until the
// first packet comes.
func NewFolder(o FolderOptions) *Folder {
	o.Recorder.Zstd = true
	return &Folder{options: o, name: regexp.MustCompile(`^` + regexp.QuoteMeta(o.Stem) + `-\d{8}-\d{6}\.\d{3}` + regexp.QuoteMeta(Ending) + `$`)}
}

// Put adds a packet to the file at hand, as Recorder.Put does, and begins one if there is
// none.
func (f *Folder) Put(p Packet) {
	if f.recorder == nil {
		f.begin(p.At)
	}
	if f.recorder != nil {
		f.recorder.Put(p)
	}
}

// begin begins a file that is named by the time of its first packet.
func (f *Folder) begin(at time.Time) {
	file := &lateFile{path: filepath.Join(f.options.Path, f.options.Stem+at.Format("-20060102-150405.000")+Ending)}
	r, err := NewRecorder(file, f.options.Note, f.options.Recorder)
	if err != nil {
		return // a fault of ours, in memory; there is none
	}
	f.mu.Lock()
	f.recorder, f.file = r, file
	f.mu.Unlock()
	f.old.Go(f.sweep)
}

// Next ends the file at hand: the next packet begins another.
func (f *Folder) Next() {
	r, file := f.leave()
	if r != nil {
		f.old.Go(func() { _ = f.end(r, file) })
	}
}

// leave takes the file at hand, if there is one, to be ended.
func (f *Folder) leave() (*Recorder, *lateFile) {
	f.mu.Lock()
	defer f.mu.Unlock()
	r, file := f.recorder, f.file
	f.recorder, f.file = nil, nil
	if r != nil {
		f.ending = append(f.ending, r)
	}
	return r, file
}

// end closes a file, and adds what became of it to what became of those before.
func (f *Folder) end(r *Recorder, file *lateFile) error {
	err := errors.Join(r.Close(), file.Close())
	s := r.Status()
	s.Dropped, s.Waiting = s.Dropped+s.Waiting, 0
	f.mu.Lock()
	defer f.mu.Unlock()
	f.ending = slices.DeleteFunc(f.ending, func(one *Recorder) bool { return one == r })
	f.before.add(s)
	return err
}

// File is the path of the file at hand, "" before its first packet.
func (f *Folder) File() string {
	if f.file == nil {
		return ""
	}
	return f.file.path
}

// Status says how recording goes: of all files together, and with the fault of the one at
// hand. What it counts never falls, but for what waits.
func (f *Folder) Status() Status {
	f.mu.Lock()
	defer f.mu.Unlock()
	s := f.before
	for _, r := range f.ending {
		s.add(r.Status())
	}
	if f.recorder != nil {
		now := f.recorder.Status()
		s.add(now)
		s.Kept, s.Fault, s.Since = now.Kept, now.Fault, now.Since
	}
	return s
}

// add adds the counts of another recording.
func (s *Status) add(other Status) {
	s.Put += other.Put
	s.Written += other.Written
	s.Waiting += other.Waiting
	s.Dropped += other.Dropped
	s.Refused += other.Refused
	s.Bytes += other.Bytes
	s.Failed += other.Failed
}

// Close ends the file at hand and waits until all are written, as far as that goes. The
// error says what is not in the last one.
func (f *Folder) Close() error {
	r, file := f.leave()
	var err error
	if r != nil {
		err = f.end(r, file)
	}
	f.old.Wait()
	return err
}

// sweep deletes what nobody needs any more, then what is too old, and the oldest of what
// is too much. The file at hand stays, however large.
func (f *Folder) sweep() {
	f.tidy.Lock()
	defer f.tidy.Unlock()
	if f.options.Loose != nil {
		for _, path := range f.options.Loose() {
			f.remove(path)
		}
	}
	files, total := f.files()
	for _, one := range files {
		tooOld := f.options.Keep > 0 && time.Since(one.ModTime()) > f.options.Keep
		if tooOld || f.options.Most > 0 && total > f.options.Most {
			f.remove(filepath.Join(f.options.Path, one.Name()))
			total -= one.Size()
		}
	}
}

// files are those of the folder that are ours, the earliest first, without the one at
// hand, and how much all take.
func (f *Folder) files() (all []fs.FileInfo, total int64) {
	entries, _ := os.ReadDir(f.options.Path) // in order of names, which is that of time
	f.mu.Lock()
	defer f.mu.Unlock()
	for _, e := range entries {
		info, err := e.Info()
		if err != nil || !info.Mode().IsRegular() || !f.name.MatchString(e.Name()) {
			continue
		}
		total += info.Size()
		if f.file == nil || e.Name() != filepath.Base(f.file.path) {
			all = append(all, info)
		}
	}
	return all, total
}

// remove deletes a file if it is of this folder and by its name one of ours: what a list
// says may be anybody's.
func (f *Folder) remove(path string) {
	if filepath.Dir(path) == filepath.Clean(f.options.Path) && f.name.MatchString(filepath.Base(path)) {
		if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return
		}
	}
	if f.options.Forgotten != nil {
		f.options.Forgotten(path)
	}
}

// lateFile is a new file that is opened at the first write, by whoever writes: a folder
// that does not answer must not hold up the loop.
type lateFile struct {
	path string
	file *os.File // of the recorder's goroutine until that has ended
}

func (l *lateFile) Write(b []byte) (int, error) {
	if l.file == nil {
		if err := os.MkdirAll(filepath.Dir(l.path), 0o750); err != nil {
			return 0, err
		}
		f, err := os.OpenFile(l.path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o640)
		if err != nil {
			return 0, err
		}
		l.file = f
	}
	return l.file.Write(b)
}

// Seek is where the file stands, which is at its beginning as long as there is none.
func (l *lateFile) Seek(offset int64, whence int) (int64, error) {
	if l.file == nil {
		return 0, nil
	}
	return l.file.Seek(offset, whence)
}

func (l *lateFile) Truncate(size int64) error {
	if l.file == nil {
		return nil
	}
	return l.file.Truncate(size)
}

func (l *lateFile) Sync() error {
	if l.file == nil {
		return nil
	}
	return l.file.Sync()
}

func (l *lateFile) Close() error {
	if l.file == nil {
		return nil
	}
	return l.file.Close()
}

// ErrGone is why a capture cannot be read that was deleted, or moved.
var ErrGone = errors.New("the capture is not there any more")

// Open opens a capture's file to be read; ErrGone if it is not there.
func Open(path string) (io.ReadSeekCloser, error) {
	switch info, err := os.Stat(path); {
	case errors.Is(err, fs.ErrNotExist):
		return nil, ErrGone
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, errors.New("the capture is not an ordinary file") // a pipe would never end
	}
	return os.Open(path)
}
