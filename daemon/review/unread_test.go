package review

import (
	"bytes"
	"database/sql"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	_ "modernc.org/sqlite"
)

// damage runs a statement on a record as no Pawl would.
func damage(t testing.TB, path, query string, args ...any) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec(query, args...); err != nil {
		t.Fatal(err)
	}
}

// TestDamagedEntriesAreTold: what cannot be read of an evening is said in every form, and the
// rest of it is there.
func TestDamagedEntriesAreTold(t *testing.T) {
	path := golden(t)
	whole := Summarise(material(t, opened(t, path))[0], Options{})
	damage(t, path, `UPDATE entries SET body = '{"lorem' WHERE (run, t_ms, n) IN (SELECT run, t_ms, n FROM moves ORDER BY t_ms LIMIT 1)`)
	damage(t, path, `UPDATE entries SET body = '' WHERE kind = 'finding' AND t_ms = (SELECT max(t_ms) FROM findings)`)
	damage(t, path, `UPDATE levels SET body = x'00' WHERE t_ms < 60000`)
	m := material(t, opened(t, path))[0]
	r := Summarise(m, Options{})
	if r.Heading.Unread < 2 || len(r.Moves) != len(whole.Moves)-1 || len(r.Findings) != len(whole.Findings)-1 {
		t.Errorf("%d unread, %d of %d moves, %d of %d findings; want one of each less", r.Heading.Unread, len(r.Moves), len(whole.Moves), len(r.Findings), len(whole.Findings))
	}
	first, last := whole.Moves[0], whole.Findings[len(whole.Findings)-1]
	says := []string{
		"The record is damaged, and this cannot be read: ", "a move of the " + first.Who.Label + " at " + clock(first.Ended), "a finding that opened at " + clock(last.Opened) + " (",
		"the levels of 59 s", "The rest is here.",
	}
	var text, page bytes.Buffer
	if err := r.Text(&text, TextOptions{Width: 300}); err != nil {
		t.Fatal(err)
	}
	if err := r.HTML(&page); err != nil {
		t.Fatal(err)
	}
	for _, want := range says {
		if !strings.Contains(strings.Join(strings.Fields(text.String()), " "), want) {
			t.Errorf("the report does not say %q:\n%.2000s", want, text.String())
		}
		if !strings.Contains(page.String(), want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	var list bytes.Buffer
	if err := ListText(&list, []Listed{List(m, Options{})}, Options{}, TextOptions{Width: 300}); err != nil {
		t.Fatal(err)
	}
	if want := " entries cannot be read"; !strings.Contains(list.String(), want) {
		t.Errorf("the list does not say %q:\n%s", want, list.String())
	}
}

// TestABrokenServiceIsListed: one of which nothing can be read stands in the list, and the
// others beside it are whole.
func TestABrokenServiceIsListed(t *testing.T) {
	s := newMade(0)
	broken := List(Material{Service: s.m.Service, Broken: true}, Options{})
	var list bytes.Buffer
	if err := ListText(&list, []Listed{broken}, Options{}, TextOptions{Width: 300}); err != nil {
		t.Fatal(err)
	}
	if want := "nothing of it can be read"; !strings.Contains(list.String(), want) {
		t.Errorf("the list does not say %q:\n%s", want, list.String())
	}
	r := Summarise(Material{Service: s.m.Service, Broken: true}, Options{})
	if len(r.Gaps) != 1 || r.Gaps[0].Kind != Damaged {
		t.Errorf("gaps %+v, want one that says so", r.Gaps)
	}
	writeAll(t, r)
}

// FuzzDamagedRows puts anything into rows of a record. It is reviewed all the same.
func FuzzDamagedRows(f *testing.F) {
	whole := sample(f)
	for seed := range uint64(20) {
		f.Add(seed, []byte(`{"t":1e300,"entry":"finding","state":"open","number":1}`))
	}
	folder := f.TempDir()
	f.Fuzz(func(t *testing.T, seed uint64, put []byte) {
		path := filepath.Join(folder, "damaged.record")
		if err := os.WriteFile(path, whole, 0o644); err != nil {
			t.Fatal(err)
		}
		dice := rand.New(rand.NewPCG(seed, 7))
		set := []string{
			"entries SET body = $1", "entries SET body = substr(body, 1, $2) || $1 || substr(body, $2 + 3)", "entries SET kind = $1", "levels SET body = $1", "runs SET strips = $1",
			"texts SET body = $1", "moves SET strip = $1", "findings SET rule = $1", "segments SET kind = $1", "services SET name = $1",
		}
		for range 1 + dice.IntN(3) {
			damage(t, path, "UPDATE "+set[dice.IntN(len(set))]+" WHERE (rowid + $3) % $4 = 0 AND $2 >= 0", string(put), dice.IntN(200), dice.IntN(1000), 1+dice.IntN(30))
		}
		if n, err := reviewFile(path); err != nil || n != 1 {
			t.Errorf("%d services, %v, want the one", n, err)
		}
	})
}
