package daemon

import (
	"database/sql"
	"path/filepath"
	"strings"
	"testing"

	_ "modernc.org/sqlite"

	"pawl/rules"
)

// TestDamagedEntriesAreJudgedAgain: a service of which the record cannot read some entries is
// judged again from its capture, and it is said that they are missing beside it.
func TestDamagedEntriesAreJudgedAgain(t *testing.T) {
	folder := t.TempDir()
	if err := spend(t, folder, []happening{{play: "ratchet"}, {press: &rules.Press{Do: rules.Seen, Number: 1}}}); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(folder, "evening.record")
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec(`UPDATE entries SET body = '{' WHERE kind = 'finding'`); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	out, err := Rejudge{Record: path}.Run(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	if c := out.Compare(); c.OnlyOther != 1 || c.Both+c.OnlyThen != 0 {
		t.Errorf("%+v, want the ratchet judged again, and nothing of then", c)
	}
	if len(out.Notes) != 1 || !strings.Contains(out.Notes[0], "of what was said then cannot be read") {
		t.Errorf("notes %q, want one that says what is missing", out.Notes)
	}
}
