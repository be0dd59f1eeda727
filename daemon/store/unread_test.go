package store

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// damage runs a statement on a record as no Pawl would.
func damage(t testing.TB, path, query string, args ...any) int64 {
	t.Helper()
	db, err := openFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	done, err := db.Exec(query, args...)
	if err != nil {
		t.Fatal(err)
	}
	n, err := done.RowsAffected()
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// numbers are those of entries.
func numbers(entries []rules.Entry) (all []uint64) {
	for _, e := range entries {
		all = append(all, e.Head().N)
	}
	return all
}

// TestADamagedEntryLeavesTheRest: whichever entry cannot be read, all others are, and the
// one is told with what else is known of it.
func TestADamagedEntryLeavesTheRest(t *testing.T) {
	live := practised(t, "ratchet")
	kinds := map[rules.EntryKind]bool{}
	for i, e := range live.entries {
		head := e.Head()
		if m, ok := e.(*rules.Moved); ok && m.First {
			continue // no hand's, so nothing else knows of it
		}
		if kinds[head.Entry] && i%97 != 0 {
			continue
		}
		kinds[head.Entry] = true
		for what, how := range map[string]string{
			"cut off": "body = substr(body, 1, length(body) / 2)", "empty": "body = ''", "no JSON": "body = 'lorem ipsum'", "of another time": `body = replace(body, '"t":', '"t":1')`,
			"bytes": "body = x'00ff'", "of no kind": "kind = 'lorem'",
		} {
			t.Run(fmt.Sprintf("%s %d %s", head.Entry, head.N, what), func(t *testing.T) {
				s, path := recorded(t, live)
				if n := damage(t, path, "UPDATE entries SET "+how+" WHERE n = $1", int64(head.N)); n != 1 {
					t.Fatalf("%d rows were changed, want one", n)
				}
				got := read(t, s, 1)[0]
				want := slices.DeleteFunc(numbers(live.entries), func(n uint64) bool { return n == head.N })
				if !slices.Equal(numbers(got.Entries), want) {
					t.Errorf("%d entries are read, want the %d others", len(got.Entries), len(want))
				}
				if len(got.Unread) != 1 {
					t.Fatalf("unread %+v, want the one", got.Unread)
				}
				u := got.Unread[0]
				if u.What != UnreadEntry || u.Count != 1 || ms(time.Duration(u.From)) != ms(time.Duration(head.T)) || (u.Kind != head.Entry) != (what == "of no kind") {
					t.Errorf("unread is %+v, want the %s at %v", u, head.Entry, time.Duration(head.T))
				}
				if m, ok := e.(*rules.Moved); ok && u.Kind != "" && (u.Who.Strip != m.Who.Strip || u.Who.Index != m.Who.Index || m.Who.Strip == desk.StripInput && u.Who.Name != m.Who.Name) {
					t.Errorf("it was a move of %+v, want %+v", u.Who, m.Who)
				}
				if f, ok := e.(*rules.Finding); ok && u.Kind != "" && f.State == rules.Open && u.Rule != f.Rule {
					t.Errorf("it was a finding of %q, want %q", u.Rule, f.Rule)
				}
			})
		}
	}
	if len(kinds) < 4 {
		t.Errorf("only entries of the kinds %v were tried", kinds)
	}
}

// TestDamagedLevelsAndStrips: seconds of levels that cannot be read are told together, and
// so is what says whose they are.
func TestDamagedLevelsAndStrips(t *testing.T) {
	live := practised(t, "ratchet")
	s, path := recorded(t, live)
	damage(t, path, "UPDATE levels SET body = x'07' WHERE t_ms >= 10000 AND t_ms < 15000")
	damage(t, path, "UPDATE runs SET strips = '{'")
	got := read(t, s, 1)[0]
	same(t, got.Entries, live.entries)
	if n := len(live.levels) - len(got.Levels); n != 5 {
		t.Errorf("%d seconds are missing, want five", n)
	}
	if len(got.Unread) != 2 || got.Unread[0].What != UnreadStrips || got.Unread[1].What != UnreadLevels || got.Unread[1].Count != 5 {
		t.Errorf("unread %+v, want the strips, and five seconds", got.Unread)
	}
	if len(got.Run.Strips.Inputs) > 0 {
		t.Errorf("strips %+v from what is no JSON", got.Run.Strips)
	}
}

// TestBrokenPages breaks each page of a record's file in turn. What is read then is some of
// what was said, in its order and to its last number; of most pages it is most.
func TestBrokenPages(t *testing.T) {
	live := practised(t, "ratchet")
	s, path := recorded(t, live)
	s.Close()
	damage(t, path, "DELETE FROM gaps") // opened and closed: the log is in the file
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	const page = 4096
	all, most, some := numbers(live.entries), 0, 0
	for from := page; from < len(whole); from += page {
		b := slices.Clone(whole)
		dice := rand.New(rand.NewPCG(uint64(from), 1))
		for i := range page {
			b[from+i] = byte(dice.Uint32())
		}
		broken := filepath.Join(t.TempDir(), "record.pawl")
		if err := os.WriteFile(broken, b, 0o644); err != nil {
			t.Fatal(err)
		}
		s, err := Open(broken)
		if err != nil {
			continue
		}
		got, err := s.Read(1)
		s.Close()
		if err != nil {
			continue
		}
		read := numbers(got[0].Entries)
		if len(read) < len(all) && len(got[0].Unread) == 0 {
			t.Errorf("page %d: %d of %d entries are read, and nothing is said of the rest", from/page, len(read), len(all))
		}
		for i, at := 0, -1; i < len(read); i++ {
			if at = slices.Index(all, read[i]); at < 0 || i > 0 && read[i] <= read[i-1] {
				t.Fatalf("page %d: entry %d after %d, which was never said so", from/page, read[i], read[max(0, i-1)])
			}
		}
		some++
		if len(read) > len(all)*8/10 {
			most++
		}
	}
	pages := len(whole)/page - 1
	t.Logf("of %d pages, with %d broken something is read, and with %d more than eight tenths", pages, some, most)
	if most < pages*6/10 {
		t.Errorf("with %d of %d pages broken most is read, want six tenths of them", most, pages)
	}
}

// FuzzDamagedEntries puts any bytes into any rows. All else is read.
func FuzzDamagedEntries(f *testing.F) {
	f.Add([]byte(`{"t":1}`), int64(3), "entries", "body")
	f.Add([]byte{}, int64(5), "levels", "body")
	f.Add([]byte("{"), int64(1), "runs", "strips")
	f.Add([]byte("x"), int64(1), "moves", "strip")
	f.Add([]byte("-"), int64(1), "findings", "rule")
	f.Add([]byte("second"), int64(7), "entries", "kind")
	columns := map[string][]string{
		"entries": {"body", "kind"}, "levels": {"body"}, "moves": {"strip", "place", "by_millidb"}, "findings": {"rule", "weight", "grew", "shown_ms", "eased_ms"},
		"segments": {"kind", "number"}, "runs": {"strips", "house", "pawl", "house_print"}, "services": {"name", "mixing"}, "texts": {"body"}, "gaps": {"lost"},
	}
	f.Fuzz(func(t *testing.T, body []byte, which int64, table, column string) {
		if !slices.Contains(columns[table], column) {
			return
		}
		whole, err := wholeRecord()
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(t.TempDir(), "record.pawl")
		if err := os.WriteFile(path, whole, 0o644); err != nil {
			t.Fatal(err)
		}
		var value any = body
		if len(body)%2 == 0 {
			value = string(body)
		}
		damage(t, path, "UPDATE "+table+" SET "+column+" = $1 WHERE (rowid + $2) % 7 = 0", value, which)
		s, err := Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		all, err := s.Services()
		if err != nil || len(all) != 1 {
			t.Fatalf("%d services, %v, want the one", len(all), err)
		}
		got, err := s.Read(1)
		if err != nil {
			t.Fatal(err)
		}
		unread := 0
		for _, u := range got[0].Unread {
			if u.What == UnreadEntry {
				unread++
			}
		}
		if n := len(got[0].Entries) + unread; n != 200 {
			t.Errorf("%d entries are read and %d are not, want 200 of both", len(got[0].Entries), unread)
		}
		if _, err := s.Notes(1); err != nil {
			t.Error(err)
		}
		if _, err := s.Trends(evening.AddDate(-1, 0, 0), evening.AddDate(1, 0, 0)); err != nil {
			t.Error(err)
		}
	})
}
