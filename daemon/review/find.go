package review

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"pawl/daemon/store"
)

// Find is the service that a word means, of services listed with the newest first: its
// number; "last"; its name, or a part of it that no other has. The error says which there
// are.
func Find(services []store.Service, word string, zone *time.Location) (store.Service, error) {
	switch {
	case len(services) == 0:
		return store.Service{}, ErrNoneYet
	case word == "last":
		return services[0], nil
	}
	if id, err := strconv.ParseInt(word, 10, 64); err == nil {
		if i := slices.IndexFunc(services, func(s store.Service) bool { return s.ID == id }); i >= 0 {
			return services[i], nil
		}
	}
	word = strings.TrimSpace(word)
	named := func(is func(name, word string) bool) (found []store.Service) {
		for _, s := range services {
			if word != "" && is(strings.ToLower(s.Name), strings.ToLower(word)) {
				found = append(found, s)
			}
		}
		return found
	}
	found := named(func(name, word string) bool { return name == word })
	if len(found) == 0 {
		found = named(strings.Contains)
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return store.Service{}, fmt.Errorf("there is no service %q; there are %s", visible(word), someOf(services, zone))
	}
	return store.Service{}, fmt.Errorf("%d services are called so: %s; give a number", len(found), someOf(found, zone))
}

// ErrNoneYet is the answer about a record in which nothing is yet.
var ErrNoneYet = noneYet{}

type noneYet struct{}

// Error says how one begins.
func (noneYet) Error() string {
	return "the record has no service yet; one begins when something plays and somebody moves a fader"
}

// someOf names the first few services, so that somebody who was wrong can be right.
func someOf(services []store.Service, zone *time.Location) string {
	const few = 5
	var all []string
	for _, s := range services[:min(len(services), few)] {
		text := fmt.Sprintf("%d (%s", s.ID, s.Began.In(zone).Format("2 January 2006, 15:04"))
		if s.Name != "" {
			text += ", " + visible(s.Name)
		}
		all = append(all, text+")")
	}
	if more := len(services) - few; more > 0 {
		all = append(all, fmt.Sprintf("and %d more", more))
	}
	return strings.Join(all, ", ")
}

// Overview is all of a list as one document.
type Overview struct {
	Services []Listed  `json:"services"` // the newest first
	Trends   []Trend   `json:"trends"`
	OneThing *OneThing `json:"one_thing"` // null if nothing was common enough
}

// Overlook gathers a list's trends and its one thing.
func Overlook(services []Listed, o Options) Overview {
	return Overview{Services: services, Trends: Trends(services, o), OneThing: ChooseOneThing(services, o)}
}
