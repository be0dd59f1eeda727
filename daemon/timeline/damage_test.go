package timeline

import (
	"database/sql"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	_ "modernc.org/sqlite"
)

// damaged is a copy of a record with a statement run on it as no Pawl would.
func damaged(t testing.TB, record, statement string, args ...any) string {
	t.Helper()
	b, err := os.ReadFile(record)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "damaged.record")
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec(statement, args...); err != nil {
		t.Fatalf("%s: %v", statement, err)
	}
	return path
}

// shows asks a record all that a page does.
func shows(t testing.TB, path string) One {
	t.Helper()
	r := reading(t, path)
	all, err := r.List()
	if err != nil || len(all) != 1 {
		t.Fatalf("%d services, %v, want the one", len(all), err)
	}
	one, err := r.One(1, english)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.Weeks(english); err != nil {
		t.Fatal(err)
	}
	if _, err := r.Curves(1, 0, one.Timeline.Length, 100); err != nil {
		t.Fatal(err)
	}
	return one
}

// TestADamagedServiceIsShown: the page has what can be read, and says what cannot.
func TestADamagedServiceIsShown(t *testing.T) {
	record := practised(t, "ratchet")
	whole := shows(t, record)
	if len(whole.Damage) > 0 {
		t.Errorf("a whole record is damaged: %q", whole.Damage)
	}
	for _, c := range []struct{ name, statement, says string }{
		{"a move", "UPDATE entries SET body = '' WHERE (t_ms, n) = (SELECT t_ms, n FROM moves LIMIT 1)", "a move of the "},
		{"a finding", "UPDATE entries SET body = 'x' WHERE t_ms = (SELECT t_ms FROM findings LIMIT 1) AND kind = 'finding'", "a finding that opened at "},
		{"all that was said", "UPDATE entries SET body = x'00' || body", " more. The rest is here."},
		{"levels", "UPDATE levels SET body = x'01' WHERE t_ms < 8000", "the levels of "},
		{"who was there", "UPDATE runs SET strips = '[]'", "the names of the inputs and groups"},
		{"segments", "UPDATE entries SET body = '' WHERE kind = 'segment'", "where a part began"},
	} {
		t.Run(c.name, func(t *testing.T) {
			one := shows(t, damaged(t, record, c.statement))
			if len(one.Damage) != 1 || !strings.Contains(one.Damage[0], c.says) {
				t.Errorf("the page says %q, want %q in it", one.Damage, c.says)
			}
		})
	}
}

// FuzzDamagedService puts anything into rows. The page shows the service all the same.
func FuzzDamagedService(f *testing.F) {
	record := practised(f, "ratchet")
	f.Add(uint64(1), []byte(`{"t":1,"entry":"move","who":{"strip":"group","index":99}}`))
	f.Add(uint64(2), []byte(`{"t":1e300,"entry":"segment","number":-1}`))
	f.Add(uint64(3), []byte(`"number":9999999999`))
	f.Fuzz(func(t *testing.T, seed uint64, put []byte) {
		dice := rand.New(rand.NewPCG(seed, 3))
		set := []string{"entries SET body = $1", "entries SET body = substr(body, 1, $2) || $1 || substr(body, $2 + 4)", "entries SET kind = $1", "levels SET body = $1", "runs SET strips = $1", "texts SET body = $1"}
		shows(t, damaged(t, record, "UPDATE "+set[dice.IntN(len(set))]+" WHERE (rowid + $3) % $4 = 0 AND $2 >= 0", string(put), dice.IntN(250), dice.IntN(1000), 1+dice.IntN(40)))
	})
}
