package dashboard

import (
	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

// mostKeptWords bounds what a voice keeps: far more than a screen shows at once.
const mostKeptWords = 512

// voice speaks one language to its pages. It keeps the words of findings and the
// names of movers, which are the same from beat to beat: to make those of a card anew
// ten times a second took 0.1 ms each time. The hub's lock guards it.
type voice struct {
	*words.Speaker
	findings map[*rules.Finding]*rules.Finding
	labels   map[desk.Who]desk.Who
}

func newVoice(s *words.Speaker) *voice {
	return &voice{s, map[*rules.Finding]*rules.Finding{}, map[desk.Who]desk.Who{}}
}

// keep is what make makes of a key, made once.
func keep[K comparable, V any](kept map[K]V, key K, made func(K) V) V {
	v, ok := kept[key]
	if !ok {
		if len(kept) >= mostKeptWords {
			clear(kept)
		}
		v = made(key)
		kept[key] = v
	}
	return v
}

// finding gives f with its words; nil for none.
func (v *voice) finding(f *rules.Finding) *rules.Finding { return keep(v.findings, f, v.Finding) }

// label gives a mover with what its reader calls it.
func (v *voice) label(w desk.Who) desk.Who { return keep(v.labels, w, v.Label) }

// entry gives an entry with its words; e itself is not changed.
func (v *voice) entry(e rules.Entry) rules.Entry {
	return words.Entry(e, v.Speaker, v.finding, v.label)
}

// ledger gives a ledger with its labels; nil for none.
func (v *voice) ledger(l *rules.Ledger) *rules.Ledger {
	if l == nil {
		return nil
	}
	out := *l
	out.Inputs = each(l.Inputs, func(r rules.LedgerRow) rules.LedgerRow {
		r.Who = v.label(r.Who)
		return r
	})
	return &out
}

// book gives a book with its words; nil for none.
func (v *voice) book(b *rules.Book) *rules.Book {
	if b == nil {
		return nil
	}
	out := *b
	out.Notes, out.Lines = each(b.Notes, same), each(b.Lines, same)
	out.Traces = each(b.Traces, func(t rules.Trace) rules.Trace {
		t.Finding = v.finding(t.Finding)
		if t.HeldBack != nil {
			t.Why = v.Say(*t.HeldBack)
		}
		return t
	})
	out.Order = each(b.Order, func(p rules.OrderPart) rules.OrderPart {
		if p.Primary != nil {
			who := v.label(*p.Primary)
			p.Primary = &who
		}
		return p
	})
	return &out
}

func same[T any](v T) T { return v }
