package rules

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"
)

// checked reads a table of testdata/checks without its head.
func checked(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("../testdata/checks/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil || len(all) < 2 {
		t.Fatalf("%s: %d rows: %v", name, len(all), err)
	}
	return all[1:]
}

// num is a cell that must be a number.
func num(t *testing.T, cell string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
