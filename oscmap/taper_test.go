package oscmap

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"pawl/oscmap/sheet"
)

// TestGenericTapers holds the tapers against values that were published on
// mailing lists and ones that follow from the definition of a power; the
// sources stand in the file row by row. There is no standard for fader travel.
func TestGenericTapers(t *testing.T) {
	file, err := os.Open("../testdata/checks/taper_generic.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	off := decibels(math.Inf(-1))
	tapers := map[string]*taper{
		"log -80..+20 dB linear in travel": newTaper("log", []taperPointPart{point(0, -80, 0), point(100, 20, 0)}),
		"square law x^2":                   newTaper("square", []taperPointPart{point(0, off, 0), point(100, 0, 2)}),
		"fourth power x^4":                 newTaper("fourth", []taperPointPart{point(0, off, 0), point(100, 0, 4)}),
	}
	checked := 0
	for _, row := range rows[1:] {
		for name, taper := range tapers {
			if !strings.HasPrefix(row[0], name) {
				continue
			}
			travel, _ := strconv.ParseFloat(row[1], 64)
			want, err := strconv.ParseFloat(row[2], 64)
			if err != nil {
				want = math.Inf(-1)
			}
			got := taper.at(travel)
			if !taper.holds(travel) || math.Abs(got-want) > 1e-4 && got != want {
				t.Errorf("%s at %v %%: got %v, want %v", row[0], travel, got, want)
			}
			checked++
		}
	}
	if checked != len(rows)-1 {
		t.Errorf("checked %d of %d rows", checked, len(rows)-1)
	}
}

func point(at float64, db decibels, power float64) taperPointPart {
	return taperPointPart{bentPoint: bentPoint{At: at, DB: db, Power: sheet.At[float64]{V: power}}}
}

func TestTaperRises(t *testing.T) {
	taper := newTaper("all", []taperPointPart{point(0, decibels(math.Inf(-1)), 0), point(0.2, -50, 0), point(0.5, -20, 3), point(0.6, -12, 0),
		point(0.7, -6, 1), point(0.75, -3, 0), point(0.8, 0, 0), point(0.85, 2, 0), point(0.9, 4, 0), point(0.95, 8, 2), point(1, 9, 0)})
	last := math.Inf(-1)
	for i := 1; i <= 10000; i++ {
		got := taper.at(float64(i) / 10000)
		if !(got > last) {
			t.Fatalf("at %v: got %v after %v, want it to rise", float64(i)/10000, got, last)
		}
		last = got
	}
	if last != 9 {
		t.Errorf("at the top: got %v, want 9", last)
	}
}
