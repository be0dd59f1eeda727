package review

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice/practicetest"
	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/desk"
)

// rows reads a table back, each row by the names of its columns.
func rows(t testing.TB, name string, r *Report) (all []map[string]string) {
	t.Helper()
	for _, table := range Tables() {
		if table.Name != name {
			continue
		}
		var b bytes.Buffer
		if err := table.Begin(&b).Add(r); err != nil {
			t.Fatal(err)
		}
		cells, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range cells[1:] {
			one := map[string]string{}
			for i, c := range row {
				one[cells[0][i]] = c
			}
			all = append(all, one)
		}
	}
	return all
}

// sum adds a column up; empty cells are nothing.
func sum(t testing.TB, rows []map[string]string, column string) (sum float64) {
	t.Helper()
	for _, r := range rows {
		text, ok := r[column]
		if !ok {
			t.Fatalf("no column %s", column)
		}
		if text != "" {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatalf("%s: %v", column, err)
			}
			sum += v
		}
	}
	return sum
}

// TestTablesAreTheRecord: every move, finding, note and second of the record is a row,
// and their sums are those of the record.
func TestTablesAreTheRecord(t *testing.T) {
	names := append([]string{""}, practicetest.Services()...)
	every := 3
	if practicetest.Raced {
		every = 12
	}
	for i := 0; i < len(names); i += every {
		t.Run(names[i], func(t *testing.T) {
			t.Parallel()
			path := inFolder(t)
			if names[i] == "" {
				path = golden(t)
			} else {
				practised(t, path, names[i], evening)
			}
			tablesAreTheRecord(t, opened(t, path))
		})
	}
}

func tablesAreTheRecord(t *testing.T, s *store.Store) {
	m := material(t, s)[0]
	r := Summarise(m, Options{})
	near := func(what string, got, want, within float64) {
		t.Helper()
		if math.Abs(got-want) > within {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	var moves, by, rise, seconds, findings float64
	for _, stretch := range m.Stretches {
		for _, e := range stretch.Entries {
			switch e := e.(type) {
			case *rules.Moved:
				if e.First {
					continue
				}
				moves++
				if !math.IsInf(float64(e.By), 0) {
					by += float64(e.By)
				}
			case *rules.Finding:
				if e.State == rules.Open {
					findings++
				}
			}
		}
		for _, l := range stretch.Levels {
			seconds++
			rise += float64(l.Split.Total())
		}
	}
	movesTable, levels, found := rows(t, "moves.csv", r), rows(t, "levels.csv", r), rows(t, "findings.csv", r)
	near("moves", float64(len(movesTable)), moves, 0)
	near("moves of the list", float64(m.Service.Moves), moves, 0)
	near("by_db", sum(t, movesTable, "by_db"), by, 0.001*moves+1e-9)
	near("seconds", float64(len(levels)), seconds, 0)
	near("rise_db", sum(t, levels, "rise_db"), rise, 0.001*seconds+1e-9)
	near("findings", float64(len(found)), findings, 0)
	near("findings of the list", float64(m.Service.Findings), findings, 0)
	shown := 0
	for _, f := range found {
		if f["shown"] != "" {
			shown++
		}
	}
	near("shown", float64(shown), float64(m.Service.Shown), 0)
	near("notes", float64(len(rows(t, "notes.csv", r))), float64(len(m.Notes)), 0)
	trends, err := s.Trends(evening.Add(-time.Hour), evening.Add(time.Hour))
	if err != nil || len(trends) != 1 {
		t.Fatal(trends, err)
	}
	music := 0.0
	for _, part := range rows(t, "segments.csv", r) {
		if part["kind"] == string(desk.Music) {
			v, _ := strconv.ParseFloat(part["length_s"], 64)
			music += v
		}
	}
	near("music", music, trends[0].Music.Seconds(), 0.002)
	service := rows(t, "services.csv", r)[0]
	near("music of the service", sum(t, rows(t, "services.csv", r), "music_s"), music, 0.001)
	for column, want := range map[string]float64{"moves": moves, "findings": findings, "levels": seconds} {
		if service[column] != strconv.FormatFloat(want, 'f', -1, 64) {
			t.Errorf("services.csv has %s %s, want %v", column, service[column], want)
		}
	}
	// What a raise bought adds up to the raise.
	for _, row := range movesTable {
		if row["clearer_db"] != "" {
			near("raise", sum(t, []map[string]string{row}, "clearer_db")+sum(t, []map[string]string{row}, "swallowed_db"),
				sum(t, []map[string]string{row}, "by_db"), 0.0021)
		}
	}
}

// TestCellsAreHarmless: a text never begins as a formula does, and a number stays one.
func TestCellsAreHarmless(t *testing.T) {
	for text, want := range map[string]string{
		"=1+1": "'=1+1", "+cmd": "'+cmd", "-2": "'-2", "@x": "'@x", " =1": "' =1", "\t=1": "' =1", "\r\n@a": "'  @a", "＝1": "'＝1",
		"piano": "piano", "": "", "a=b": "a=b", "a\nb": "a b", "\x1b[31m": "?[31m", "\xff": "?",
	} {
		if got := cell(text); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
	for v, want := range map[any]string{-5.5: "-5.5", 0.0004: "0", -0.0004: "0", math.Inf(-1): "", desk.DB(-3): "-3", 12: "12", true: "yes", time.Duration(1500) * time.Millisecond: "1.5"} {
		if got := cell(v); got != want {
			t.Errorf("%v becomes %q, want %q", v, got, want)
		}
	}
}

// TestColumnsAreDescribed: every column has its unit in its name, or is of none, and a
// sentence in the README beside the tables.
func TestColumnsAreDescribed(t *testing.T) {
	readme := TablesREADME()
	for _, table := range Tables() {
		seen := map[string]bool{}
		for _, c := range table.Columns {
			if c.Means == "" || seen[c.Name] || strings.ToLower(c.Name) != c.Name {
				t.Errorf("%s: column %q: described %q, seen before: %v", table.Name, c.Name, c.Means, seen[c.Name])
			}
			seen[c.Name] = true
			if !strings.Contains(readme, c.Name) {
				t.Errorf("README.txt lacks %s of %s", c.Name, table.Name)
			}
		}
	}
}
