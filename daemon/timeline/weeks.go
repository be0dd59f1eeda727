package timeline

import (
	"slices"
	"time"

	"pawl/daemon/review"
	"pawl/daemon/store"
	"pawl/rules/words"
)

// Weeks is what the newest services came to, together.
type Weeks struct {
	Services int              `json:"services"` // of how many this is
	Trends   []review.Trend   `json:"trends"`
	Practise *review.OneThing `json:"practise"` // null if nothing was common enough
}

// mostWeeks is over how many services a page looks back: a season. Each takes some
// hundredth of a second when it is first looked at.
const mostWeeks = 13

// Weeks gives the trends of the newest services that are over, and the one thing to
// practise, in a reader's language.
func (r *Reader) Weeks(speaker *words.Speaker) (Weeks, error) {
	w := Weeks{Trends: []review.Trend{}}
	err := r.with(func(s *store.Store) error {
		all, err := s.Services()
		if err != nil {
			return err
		}
		all = slices.DeleteFunc(all, func(one store.Service) bool { return one.GoesOn })
		all = all[:min(len(all), mostWeeks)]
		listed := make([]review.Listed, 0, len(all))
		for _, one := range all {
			sum, err := r.sum(s, one, speaker)
			if err != nil {
				return err
			}
			listed = append(listed, sum.listed)
		}
		o := told(speaker)
		w = Weeks{len(listed), review.Trends(listed, o), review.ChooseOneThing(listed, o)}
		return nil
	})
	if err == store.ErrNoService { // there is no record yet
		err = nil
	}
	return w, err
}

func told(speaker *words.Speaker) review.Options {
	return review.Options{Speaker: speaker, Zone: time.Local}
}

// summed is what a service came to, in a language.
type summed struct {
	of       store.Service
	language string
	listed   review.Listed
	next     *review.OneThing
	limits   []string // in words
	damage   []string // likewise
}

// mostSums is how many are kept: a season and what is beside it.
const mostSums = 2 * mostWeeks

// sum is what a service came to, as it was worked out before if that is still so.
func (r *Reader) sum(s *store.Store, now store.Service, speaker *words.Speaker) (summed, error) {
	i := slices.IndexFunc(r.sums, func(k summed) bool { return k.of.ID == now.ID && k.language == speaker.Tag() })
	if i >= 0 {
		k := r.sums[i]
		r.sums = slices.Delete(r.sums, i, i+1)
		if still(k.of, now) && k.of.Name == now.Name && k.of.Mixing == now.Mixing {
			r.sums = append(r.sums, k)
			return k, nil
		}
	}
	m, err := r.material(s, now)
	if err != nil {
		return summed{}, err
	}
	report := review.Summarise(m, told(speaker))
	k := summed{now, speaker.Tag(), report.Listed(), report.Next, []string{}, []string{}}
	for _, j := range report.Limits {
		if j.Text != "" {
			k.limits = append(k.limits, j.Text)
		}
	}
	for _, g := range report.Gaps {
		if g.Kind == review.Damaged {
			k.damage = append(k.damage, g.Text)
		}
	}
	r.sums = append(r.sums, k)
	if len(r.sums) > mostSums {
		r.sums = slices.Delete(r.sums, 0, 1)
	}
	return k, nil
}

// material is what a review of a service is made of, read already if it was drawn.
func (r *Reader) material(s *store.Store, now store.Service) (review.Material, error) {
	for _, k := range r.kept {
		if k.of.ID == now.ID && still(k.of, now) {
			m := k.material
			m.Service = now
			return m, nil
		}
	}
	return review.Load(s, now)
}
