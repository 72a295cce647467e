// Package reference reads tables of published figures for tests, from the folder that BITTERSUM_REFERENCE names.
package reference

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// Table is a CSV file: its heading and the rows below.
type Table struct {
	Heading []string
	Rows    [][]string
}

// Open reads the table at a path within the folder. Where no folder is named, the test is skipped.
func Open(t testing.TB, path ...string) Table {
	t.Helper()
	folder := os.Getenv("BITTERSUM_REFERENCE")
	if folder == "" {
		t.Skipf("BITTERSUM_REFERENCE names no folder with %s", filepath.Join(path...))
	}
	file, err := os.Open(filepath.Join(append([]string{folder}, path...)...))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", file.Name(), err)
	}
	if len(rows) < 2 {
		t.Fatalf("%s holds no row", file.Name())
	}
	return Table{rows[0], rows[1:]}
}

// Columns are the places of columns by their headings.
func (t Table) Columns() map[string]int {
	at := map[string]int{}
	for n, title := range t.Heading {
		at[title] = n
	}
	return at
}

// Number reads a cell.
func Number(t testing.TB, cell string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}
