package timeline

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"slices"
	"sync"
	"time"

	"pawl/daemon/review"
	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/words"
)

// Service is one service in the list of them.
type Service struct {
	ID     int64     `json:"id"`
	Name   string    `json:"name"`   // "" if nobody named it
	Mixing string    `json:"mixing"` // who was mixing, as the house calls them; "" if nobody said
	Began  time.Time `json:"began"`
	Ended  time.Time `json:"ended"` // when something last happened
	GoesOn bool      `json:"goes_on"`
	House  string    `json:"house"` // what the place is called

	Moves    int          `json:"moves"`
	Findings int          `json:"findings"` // that opened
	Shown    int          `json:"shown"`    // of these, that came to the screen
	Lost     int          `json:"lost"`     // entries and seconds of levels that could not be kept
	Music    rules.Moment `json:"music"`    // how long there was music
	Ratchets int          `json:"ratchets"` // how often everything went up in turns
}

// One is one service with its neighbours in time, which it can be joined with.
type One struct {
	Service  Service  `json:"service"`
	Earlier  *Service `json:"earlier"` // null for the first of the record; without music and ratchets, as Later
	Later    *Service `json:"later"`   // null for the newest
	Timeline Timeline `json:"timeline"`
	Remarks  []Remark `json:"remarks"`

	Figures []review.Figure  `json:"figures"`
	Damage  []string         `json:"damage"` // what the record has of it and cannot be read, in words; mostly none
	Limits  []string         `json:"limits"` // of the house, that the figures rest on, where they are not the usual ones
	Next    *review.OneThing `json:"next"`   // what to try next time, from this service alone; null if nothing stands out
}

// Remark is a note at a moment of a service, its own or one of afterwards.
type Remark struct {
	ID   int64        `json:"id"` // 0 for one of the service itself, which stays
	T    rules.Moment `json:"t"`
	Text string       `json:"text"` // "" for a bookmark

	Question bool `json:"question"` // it was asked in the service, to be answered afterwards
	Open     bool `json:"open"`     // and nobody has yet: no note of afterwards is about its moment
}

// Reader answers from a record for a page, also while a Recorder writes it. It opens
// the file when it is first asked, and again when another file stands in its place. It
// may be used from any goroutine, and answers one question after another.
type Reader struct {
	path string

	mu   sync.Mutex
	open *store.Store
	file fs.FileInfo // what was opened
	kept []kept      // the services last drawn, the newest last
	sums []summed    // what services came to, the newest last
}

// kept is a service that was drawn, and what the record said of it then.
type kept struct {
	of       store.Service
	drawn    drawn
	material review.Material
}

const (
	mostKept = 4                // two side by side, and what was looked at before
	oldAfter = 10 * time.Second // of a service that goes on; to draw it takes most of 0.1 s
)

// NewReader makes a Reader of the record at path, which need not be there yet.
func NewReader(path string) *Reader { return &Reader{path: path} }

// Close lets go of the file.
func (r *Reader) Close() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.let()
}

func (r *Reader) let() (err error) {
	if r.open != nil {
		err = r.open.Close()
	}
	r.open, r.kept, r.sums = nil, nil, nil
	return err
}

// with runs f on the record. There is none before the first service, which is no fault.
func (r *Reader) with(f func(*store.Store) error) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	file, err := os.Stat(r.path)
	if r.open != nil && (err != nil || !os.SameFile(file, r.file)) {
		_ = r.let() // it was put aside, or taken away
	}
	if err == nil && r.open == nil {
		r.file = file
		r.open, err = store.Open(r.path)
	}
	if store.MayNotWrite(err) {
		if r.open, err = store.OpenToRead(r.path); err == nil {
			defer r.let() // for it may be written again, and would then be another than was opened
		}
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return store.ErrNoService
	case err != nil:
		return err
	}
	return f(r.open)
}

// List gives all services, the newest first; none of a record that is not there yet.
func (r *Reader) List() ([]Service, error) {
	all := []Service{}
	err := r.with(func(s *store.Store) (err error) {
		all, err = listed(s)
		return err
	})
	if errors.Is(err, store.ErrNoService) {
		err = nil
	}
	return all, err
}

func listed(s *store.Store) ([]Service, error) {
	services, err := s.Services()
	if err != nil {
		return nil, err
	}
	trends, err := s.Trends(time.UnixMilli(0), time.UnixMilli(math.MaxInt64/2))
	if err != nil && !store.IsDamaged(err) { // what is damaged there is only counted less
		return nil, err
	}
	of := map[int64]store.Trend{}
	for _, t := range trends {
		of[t.Service] = t
	}
	return each(services, func(one store.Service) Service { return serviceOf(one, of[one.ID]) }), nil
}

func serviceOf(one store.Service, t store.Trend) Service {
	s := Service{ID: one.ID, Name: one.Name, Mixing: one.Mixing, Began: one.Began, Ended: one.Ended, GoesOn: one.GoesOn, House: one.House,
		Moves: one.Moves, Findings: one.Findings, Shown: one.Shown, Lost: one.Lost, Music: rules.Moment(t.Music)}
	for _, rule := range t.Rules {
		if rule.Rule == "ratchet" {
			s.Ratchets = rule.Opened
		}
	}
	return s
}

// One gives a service with its timeline in a reader's language; ErrNoService if it is
// not there.
func (r *Reader) One(id int64, speaker *words.Speaker) (one One, err error) {
	err = r.with(func(s *store.Store) error {
		all, err := s.Services()
		if err != nil {
			return err
		}
		i := slices.IndexFunc(all, func(l store.Service) bool { return l.ID == id })
		if i < 0 {
			return store.ErrNoService
		}
		trends, err := s.Trends(all[i].Began, all[i].Began.Add(time.Millisecond))
		if err != nil && !store.IsDamaged(err) {
			return err
		}
		for _, t := range append(trends, store.Trend{Service: id}) {
			if t.Service == id {
				one.Service = serviceOf(all[i], t)
				break
			}
		}
		if i > 0 {
			later := serviceOf(all[i-1], store.Trend{})
			one.Later = &later
		}
		if i+1 < len(all) {
			earlier := serviceOf(all[i+1], store.Trend{})
			one.Earlier = &earlier
		}
		k, err := r.drawn(s, id)
		if err != nil {
			return err
		}
		one.Timeline = k.drawn.In(speaker)
		said, err := r.sum(s, all[i], speaker)
		if err != nil {
			return err
		}
		one.Figures, one.Next, one.Limits, one.Damage = said.listed.Figures, said.next, said.limits, said.damage
		notes, err := s.Notes(id)
		if err != nil && store.IsDamaged(err) {
			err = nil // Damage says so
		}
		one.Remarks = each(notes, func(n store.Note) Remark {
			return Remark{n.ID, max(0, rules.Moment(n.At.Sub(one.Service.Began))), n.Text, n.Question, n.Question && !answered(notes, n)}
		})
		return err
	})
	return one, err
}

// sameMoment is how far an answer may be from its question: pages write moments to a second.
const sameMoment = time.Second

// answered reports whether a note of afterwards is about the moment of a question.
func answered(notes []store.Note, question store.Note) bool {
	return slices.ContainsFunc(notes, func(n store.Note) bool { return n.ID != 0 && n.At.Sub(question.At).Abs() < sameMoment })
}

// Curves gives where the mix stood in a span of a service, in at most so many points.
func (r *Reader) Curves(id int64, from, until rules.Moment, points int) (c Curves, err error) {
	err = r.with(func(s *store.Store) error {
		k, err := r.drawn(s, id)
		if err == nil {
			c = k.drawn.curves(from, until, points)
		}
		return err
	})
	return c, err
}

// drawn is a service as it was drawn before, if that is still so.
func (r *Reader) drawn(s *store.Store, id int64) (kept, error) {
	now, err := s.Service(id)
	if err != nil {
		return kept{}, err
	}
	if i := slices.IndexFunc(r.kept, func(k kept) bool { return k.of.ID == id }); i >= 0 {
		k := r.kept[i]
		r.kept = slices.Delete(r.kept, i, i+1)
		if still(k.of, now) {
			r.kept = append(r.kept, k)
			return k, nil
		}
	}
	m, err := review.Load(s, now)
	if err != nil {
		return kept{}, err
	}
	k := kept{now, draw(now, m.Stretches), m}
	r.kept = append(r.kept, k)
	if len(r.kept) > mostKept {
		r.kept = slices.Delete(r.kept, 0, 1)
	}
	return k, nil
}

// still reports whether a service is what it was, or goes on and is not much older.
func still(was, now store.Service) bool {
	if now.GoesOn && was.GoesOn && now.Began.Equal(was.Began) {
		return now.Ended.Sub(was.Ended) < oldAfter
	}
	now.Name, now.Mixing = was.Name, was.Mixing
	return now.Began.Equal(was.Began) && now.Ended.Equal(was.Ended) && now.GoesOn == was.GoesOn &&
		now.Moves == was.Moves && now.Findings == was.Findings && now.Shown == was.Shown
}
