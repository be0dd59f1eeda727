package store

import (
	"math"
	"time"

	"pawl/rules"
)

// index writes what queries over many services need of an entry: findings with their
// life, moves, and segments. Marks, presses and the rest are few and are found in the
// entries by their kind.
//
// These are tables, filled here from the same Go types, and neither generated columns
// nor views: a finding's life is spread over several entries, which no column of one
// sees; views would take a year's JSON apart at each question; and the functions that
// do so are each engine's own.
func (w *writing) index(e rules.Entry) error {
	switch e := e.(type) {
	case *rules.Finding:
		return w.finding(e)
	case *rules.Pressed:
		if e.Do == rules.Seen || e.Do == rules.NotNow {
			return w.exec("UPDATE findings SET seen_ms = coalesce(seen_ms, $1) WHERE run = $2 AND number = $3", at(e), w.run, e.Number)
		}
		if e.Do == rules.BringBack {
			return w.exec("UPDATE findings SET seen_ms = NULL WHERE run = $1 AND number = $2", w.run, e.Number)
		}
	case *rules.Moved:
		if e.First {
			return nil
		}
		var by any // none between closed and not
		if b := float64(e.By); !math.IsInf(b, 0) && !math.IsNaN(b) {
			by = int64(math.Round(b * 1000))
		}
		return w.exec("INSERT INTO moves (run, t_ms, n, strip, place, by_millidb) VALUES ($1, $2, $3, $4, $5, $6)",
			w.run, at(e), int64(e.N), e.Who.Strip.String(), e.Who.Index, by)
	case *rules.Parted:
		return w.exec("INSERT INTO segments (run, t_ms, n, number, kind) VALUES ($1, $2, $3, $4, $5)",
			w.run, at(e), int64(e.N), e.Number, string(e.Kind))
	}
	return nil
}

func (w *writing) finding(f *rules.Finding) error {
	if f.State == rules.Open {
		if err := w.exec(`INSERT INTO findings (run, number, t_ms, rule, weight, grew, held) VALUES ($1, $2, $3, $4, $5, 0, 0)
			ON CONFLICT DO NOTHING`, w.run, f.Number, at(f), f.Rule, int64(f.Weight)); err != nil {
			return err
		}
	}
	var shown, eased any
	if f.Shown {
		shown = at(f)
	}
	if f.State == rules.Eased {
		eased = at(f)
	}
	return w.exec(`UPDATE findings SET weight = CASE WHEN weight < $1 THEN $1 ELSE weight END, grew = grew + $2, held = held + $3,
		shown_ms = coalesce(shown_ms, $4), eased_ms = coalesce(eased_ms, $5) WHERE run = $6 AND number = $7`,
		int64(f.Weight), oneIf(f.State == rules.Grew), oneIf(f.State == rules.Held), shown, eased, w.run, f.Number)
}

func at(e rules.Entry) int64 { return ms(time.Duration(e.Head().T)) }

func oneIf(b bool) int64 {
	if b {
		return 1
	}
	return 0
}
