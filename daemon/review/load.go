package review

import (
	"pawl/daemon/store"
	"pawl/rules"
)

// Reader is a record that can be asked: a store.Store.
type Reader interface {
	Read(service int64, without ...rules.EntryKind) ([]store.Stretch, error)
	Notes(service int64) ([]store.Note, error)
}

// Load reads what a review is made of. It leaves out second entries, of which levels
// know more. One that is damaged altogether is read as nothing, and says so.
func Load(r Reader, s store.Service) (Material, error) {
	m := Material{Service: s}
	var err error
	if m.Stretches, err = r.Read(s.ID, rules.SecondEntry); err == nil {
		m.Notes, err = r.Notes(s.ID)
	}
	if err != nil && store.IsDamaged(err) {
		return Material{Service: s, Broken: true}, nil
	}
	return m, err
}

// LoadList reads services for a list of them, for trends and for the one thing, in the
// order in which they are given. A service of 90 minutes takes some hundredth of a
// second: who asks often keeps what it gave.
func LoadList(r Reader, services []store.Service, o Options) ([]Listed, error) {
	all := make([]Listed, 0, len(services))
	for _, s := range services {
		m, err := Load(r, s)
		if err != nil {
			return nil, err
		}
		all = append(all, List(m, o))
	}
	return all, nil
}
