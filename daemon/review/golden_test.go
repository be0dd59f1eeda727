package review

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"pawl/rules/words"
)

var update = flag.Bool("update", false, "write what a report of testdata/evening.txt is into testdata/golden; read the difference")

// TestGoldenEvening holds a recorded service to its report, in every form.
func TestGoldenEvening(t *testing.T) {
	m := material(t, opened(t, golden(t)))[0]
	r := Summarise(m, Options{})
	spanish := Options{Speaker: words.Own().For("es")}
	inSpanish := Summarise(m, spanish)
	outputs := map[string]func(*bytes.Buffer) error{
		"report.txt": func(b *bytes.Buffer) error { return r.Text(b, TextOptions{Width: 100}) },
		"narrow.txt": func(b *bytes.Buffer) error { return r.Text(b, TextOptions{Width: 40}) },
		"list.txt": func(b *bytes.Buffer) error {
			return ListText(b, []Listed{List(m, Options{})}, Options{}, TextOptions{})
		},
		"report.html": func(b *bytes.Buffer) error { return r.HTML(b) },
		"report.json": func(b *bytes.Buffer) error {
			text, err := json.MarshalIndent(r, "", " ")
			b.Write(append(text, '\n'))
			return err
		},
		"report.es.txt": func(b *bytes.Buffer) error { return inSpanish.Text(b, TextOptions{Width: 100}) },
		"list.es.txt": func(b *bytes.Buffer) error {
			return ListText(b, []Listed{List(m, spanish)}, spanish, TextOptions{})
		},
		"report.es.html": func(b *bytes.Buffer) error { return inSpanish.HTML(b) },
		"README.txt":     func(b *bytes.Buffer) error { b.WriteString(TablesREADME()); return nil },
	}
	for _, table := range Tables() {
		if table.Name != "levels.csv" { // one row a second; TestTablesAreTheRecord adds them up
			outputs[table.Name] = func(b *bytes.Buffer) error { return table.Begin(b).Add(r) }
		}
	}
	for name, write := range outputs {
		t.Run(name, func(t *testing.T) {
			var got bytes.Buffer
			if err := write(&got); err != nil {
				t.Fatal(err)
			}
			file := filepath.Join("testdata", "golden", name)
			if *update {
				if err := os.WriteFile(file, got.Bytes(), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got.Bytes(), want) {
				t.Errorf("%s is another than it was: look at the difference with go test ./daemon/review -run Golden -update, and git diff", file)
			}
		})
	}
}
