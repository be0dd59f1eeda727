package store

import (
	"cmp"
	"database/sql"
	"encoding/json"
	"math"
	"slices"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// Unread is something of a service that stands in the record and cannot be read, because
// the file is damaged. The rest is read all the same.
type Unread struct {
	What  UnreadKind      `json:"what"`
	From  rules.Moment    `json:"from"`  // when it was, on the clock of the run
	Until rules.Moment    `json:"until"` // the same of a single one
	Count int             `json:"count"` // entries, or seconds of levels; 0 if nobody can tell how many
	Kind  rules.EntryKind `json:"kind"`  // of an entry; "" if not even that is known
	Rule  string          `json:"rule"`  // of a finding's opening; "" if it is not known
	Who   desk.Who        `json:"who"`   // of a move; the zero value if it is not known

	n    int64 // of an entry
	upTo int   // how many entries were read before it
}

// Entries is how many entries it stands for; a time in which none can be read counts as one a
// second, as there is at least while the desk is heard.
func (u Unread) Entries() int {
	switch u.What {
	case UnreadEntry:
		return max(1, u.Count)
	case UnreadEntries:
		return max(1, u.Count, int(time.Duration(u.Until-u.From)/time.Second))
	}
	return 0
}

// UnreadKind is what cannot be read.
type UnreadKind string

// The kinds of Unread.
const (
	UnreadEntry   UnreadKind = "entry"   // one of which the row is there
	UnreadEntries UnreadKind = "entries" // all of a time
	UnreadLevels  UnreadKind = "levels"  // seconds of them
	UnreadStrips  UnreadKind = "strips"  // whose levels and moves these are
)

// unreadFirst sorts them by their time.
func unreadFirst(all []Unread) {
	slices.SortStableFunc(all, func(a, b Unread) int { return cmp.Compare(a.From, b.From) })
}

// readEntry is the entry of a row; false for one that is not what its row says.
func readEntry(t, n int64, kind rules.EntryKind, body []byte) (rules.Entry, bool) {
	e := kind.New()
	if e == nil || json.Unmarshal(body, e) != nil {
		return nil, false
	}
	head := e.Head()
	return e, head.N == uint64(n) && head.Entry == kind && ms(time.Duration(head.T)) == t
}

// describe finds what the tables beside the entries know of one.
func (u *Unread) describe(q querier, run int64, strips *Strips) {
	t := ms(time.Duration(u.From))
	switch u.Kind {
	case rules.FindingEntry:
		_ = q.QueryRow("SELECT rule FROM findings WHERE run = $1 AND t_ms = $2", run, t).Scan((*looseText)(&u.Rule)) // or it stays unknown
	case rules.MoveEntry:
		var strip looseText
		var place looseInt
		if q.QueryRow("SELECT strip, place FROM moves WHERE run = $1 AND t_ms = $2 AND n = $3", run, t, u.n).Scan(&strip, &place) != nil {
			return
		}
		u.Who = strips.called(string(strip), int(place))
	}
}

// called is a mover by its place, with its name where the record has names.
func (s *Strips) called(strip string, place int) (who desk.Who) {
	if who.Strip.UnmarshalText([]byte(strip)) != nil {
		return desk.Who{}
	}
	who.Index = place
	switch {
	case who.Strip == desk.StripInput && place >= 0 && place < len(s.Inputs):
		who.Name = s.Inputs[place].Name
	case who.Strip == desk.StripGroup && place >= 0 && place < len(s.Groups):
		who.Name = s.Groups[place]
	}
	return who
}

const (
	leastSalvaged = 1000                 // ms: what is damaged in less is given up
	mostSalvages  = 4000                 // questions, for a file that is damaged everywhere
	longestOpen   = 7 * 24 * 3600 * 1000 // ms: how far a part that goes on is looked through
)

// salvage reads what it can of a span of times where pages of the file are broken: the
// span, or both halves of it, and so on. What cannot be read at all is given back.
func salvage(from, until int64, read func(from, until int64) error) (lost [][2]int64, err error) {
	tries := 0
	var try func(from, until int64) error
	try = func(from, until int64) error {
		tries++
		err := read(from, until)
		if err == nil || !IsDamaged(err) {
			return err
		}
		if until == math.MaxInt64 { // of a part that goes on
			until = from + longestOpen
		}
		if until-from <= leastSalvaged || tries > mostSalvages {
			if n := len(lost); n > 0 && lost[n-1][1] == from { // one breach, however often it was asked for
				from, lost = lost[n-1][0], lost[:n-1]
			}
			lost = append(lost, [2]int64{from, until})
			return nil
		}
		mid := from + (until-from)/2
		if err := try(from, mid); err != nil {
			return err
		}
		return try(mid, until)
	}
	err = try(from, until)
	return lost, err
}

// looseInt and looseText take whatever a damaged row holds, for what is nothing without:
// what is of another sort is 0 or "".
type (
	looseInt  int64
	looseText string
)

// Scan implements sql.Scanner.
func (i *looseInt) Scan(v any) error {
	n, _ := v.(int64)
	*i = looseInt(n)
	return nil
}

// Scan implements sql.Scanner.
func (s *looseText) Scan(v any) error {
	switch v := v.(type) {
	case string:
		*s = looseText(v)
	case []byte:
		*s = looseText(v)
	default:
		*s = ""
	}
	return nil
}

var _, _ sql.Scanner = (*looseInt)(nil), (*looseText)(nil)
