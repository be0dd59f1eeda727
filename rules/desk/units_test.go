package desk

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

var infinite = math.Inf(1)

func TestAbove(t *testing.T) {
	for _, c := range []struct {
		name string
		a, b DBFS
		want DB
	}{
		{"ordinary", -12, -18, 6},
		{"below", -18, -12, -6},
		{"both silent", Silence, Silence, 0},
		{"into silence", Silence, -60, DB(-infinite)},
		{"out of silence", -60, Silence, DB(infinite)},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := c.a.Above(c.b); got != c.want {
				t.Errorf("levels: %v above %v = %v, want %v", c.a, c.b, got, c.want)
			}
			if got := DB(c.a).Above(DB(c.b)); got != c.want {
				t.Errorf("faders: %v above %v = %v, want %v", c.a, c.b, got, c.want)
			}
		})
	}
}

func TestPowerAndBack(t *testing.T) {
	for _, level := range []DBFS{Silence, -120, -20, 0, 40} {
		if got := level.Power().Level(); got != level && math.Abs(float64(got-level)) > 1e-12 {
			t.Errorf("%v there and back is %v", level, got)
		}
	}
	if Off.Ratio() != 0 || Silence.Power() != 0 || DB(0).Ratio() != 1 {
		t.Errorf("closed %v, silent %v, unity %v; want 0, 0, 1", Off.Ratio(), Silence.Power(), DB(0).Ratio())
	}
	if got := Power(-1e-20).Level(); got != Silence {
		t.Errorf("a power below none is %v, want silence", got)
	}
}

// TestPowerSum holds sums against testdata/checks/levels_sum.csv, whose rows name
// their sources: an encyclopedia, an official noise guide, regulations, definitions.
func TestPowerSum(t *testing.T) {
	f, err := os.Open("../../testdata/checks/levels_sum.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, row := range rows[1:] {
		if row[1] != "sum" {
			continue
		}
		var levels []DBFS
		for _, word := range strings.Split(row[2], ";") {
			levels = append(levels, DBFS(number(t, word)))
		}
		got, want, tolerance := sumOf(levels...), number(t, row[4]), number(t, row[5])
		if math.Abs(float64(got)-want) > tolerance+1e-12 {
			t.Errorf("%s: %s make %v, want %v within %v (%s)", row[0], row[2], float64(got), want, tolerance, row[6])
		}
		checked++
	}
	if checked < 10 {
		t.Errorf("only %d sums were checked", checked)
	}
	if got := sumOf(); got != Silence {
		t.Errorf("of nothing: %v, want silence", got)
	}
	if got := sumOf(Silence, Silence); got != Silence {
		t.Errorf("of two silences: %v, want silence", got)
	}
}

func number(t *testing.T, word string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(word, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestJSON(t *testing.T) {
	for _, c := range []struct {
		name string
		v    any
		want string
	}{
		{"closed", Off, "null"},
		{"silence", Silence, "null"},
		{"no number", DB(math.NaN()), "null"},
		{"three decimals", DB(1.23456), "1.235"},
		{"whole", DBFS(-20), "-20"},
		{"no minus zero", DB(-0.0001), "0"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := json.Marshal(c.v)
			if err != nil || string(got) != c.want {
				t.Errorf("got %s, %v; want %s", got, err, c.want)
			}
		})
	}
}

func TestUnitsInWords(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{DB(-6).String(), "-6.0 dB"},
		{DB(-0.04).String(), "0.0 dB"},
		{Off.String(), "-∞ dB"},
		{DB(2.25).Signed(), "+2.3 dB"},
		{DB(-2).Signed(), "-2.0 dB"},
		{DB(-0.01).Signed(), "+0.0 dB"},
		{DBFS(-20.04).String(), "-20.0 dBFS"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

// sumOf adds levels as the mix does: as powers.
func sumOf(levels ...DBFS) DBFS {
	var sum Power
	for _, l := range levels {
		sum += l.Power()
	}
	return sum.Level()
}
