// Package sheet reads tables: CSV as spreadsheets of all countries write it, and workbooks (.xlsx). It knows
// cells, numbers and dates, and nothing of what a table is about.
package sheet

import (
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"bittersum/internal/tomlfile"

	"github.com/xuri/excelize/v2"
)

// Limits of a table, beyond which it is refused: no price list or shelf of a small works comes near them.
const (
	MaxRows    = 10_000
	MaxColumns = 200
)

// Kind says what a cell is.
type Kind int

// Kinds of cells. A cell of CSV is a Text whatever it holds; a Broken one shows an error in its workbook or a
// formula whose result was not saved.
const (
	Text Kind = iota
	Number
	Percent
	Date
	Broken
)

// Cell is one cell. Text is what it says, trimmed; a number of a workbook is written with a decimal point and
// a date as 2026-03-31. Value is the number of a Number, and of a Percent the share (0.12 for 12 %).
type Cell struct {
	Text  string
	Kind  Kind
	Value float64
	Day   time.Time
}

// Row is a row that is not empty, and the line or row of the sheet on which it stands.
type Row struct {
	Line  int
	Cells []Cell
}

// At returns a cell by its place from 0; beyond the last one it is empty.
func (r Row) At(n int) Cell {
	if n < 0 || n >= len(r.Cells) {
		return Cell{}
	}
	return r.Cells[n]
}

// Table is a table as read.
type Table struct {
	File string
	// Sheet is the name of the worksheet, empty for CSV.
	Sheet string
	Rows  []Row
	// Delimiter stands between the cells of CSV; 0 for a workbook.
	Delimiter rune
	// Decimal is the decimal sign that numbers written as text have, as far as it is known: '.', ',' or 0.
	Decimal rune
	// Merges are the ranges of merged cells of a worksheet, from above.
	Merges []Merge
	// told says that Decimal was stated and not read out of the table.
	told bool
}

// Merge is a range of merged cells, such as B4:B6: its first and last line and its first column.
type Merge struct {
	Range              string
	Line, Last, Column int
}

// Book is a file of tables, in the order of its sheets; CSV is a book of one table. Hidden sheets are left out.
type Book struct {
	File   string
	Tables []*Table
}

// IsWorkbook reports whether a file's name says that it is a workbook.
func IsWorkbook(name string) bool { return strings.EqualFold(filepath.Ext(name), ".xlsx") }

// IsTable reports whether a file's name says that it is CSV or a workbook.
func IsTable(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".csv", ".tsv", ".xlsx":
		return true
	}
	return foreign(name) != ""
}

// foreign says what a file is that its name marks as some other kind of spreadsheet, with the way out.
func foreign(name string) string {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".xlsm", ".xltm", ".xlam":
		return "is a workbook with macros, which is never opened; save it as .xlsx or CSV"
	case ".xls", ".xlsb", ".ods", ".fods", ".numbers":
		return "is a spreadsheet of a kind that is not read; save it as .xlsx or CSV"
	}
	return ""
}

// Read reads a file of that name. The error is a tomlfile.Faults with file, sheet, row and column.
func Read(file string, data []byte) (*Book, error) {
	refuse := func(what string) error { return tomlfile.Faults{{File: file, What: what}} }
	if what := foreign(file); what != "" {
		return nil, refuse(what)
	}
	if len(data) > tomlfile.MaxBytes {
		return nil, refuse(fmt.Sprintf("is larger than %d MiB; a file of that size is refused", tomlfile.MaxBytes>>20))
	}
	if len(data) == 0 {
		return nil, refuse("is empty: a table with a heading is needed")
	}
	if zipped, ole := strings.HasPrefix(string(data), "PK\x03\x04"), strings.HasPrefix(string(data), "\xd0\xcf\x11\xe0"); IsWorkbook(file) || zipped || ole {
		tables, err := workbook(file, data)
		if err != nil {
			return nil, err
		}
		return &Book{File: file, Tables: tables}, nil
	}
	t, err := delimited(file, data)
	if err != nil {
		return nil, err
	}
	return &Book{File: file, Tables: []*Table{t}}, nil
}

// Open reads the file at path, see Read.
func Open(path string) (*Book, error) {
	data, err := tomlfile.ReadBytes(path)
	if err != nil {
		return nil, err
	}
	return Read(path, data)
}

// Fault returns what is wrong in a cell: by its column's heading in CSV, by sheet and cell in a workbook. A
// column below 0 is the whole row.
func (t *Table) Fault(line, column int, heading, what, hint string) tomlfile.Fault {
	f := tomlfile.Fault{File: t.File, Line: line, What: what, Hint: hint}
	var parts []string
	switch {
	case t.Sheet != "" && column >= 0 && line > 0:
		name, err := excelize.CoordinatesToCellName(column+1, line)
		if err != nil {
			name = fmt.Sprintf("row %d, column %d", line, column+1)
		}
		parts = append(parts, fmt.Sprintf("sheet %q, cell %s", t.Sheet, name))
	case t.Sheet != "":
		parts = append(parts, fmt.Sprintf("sheet %q", t.Sheet))
	case column >= 0 && heading == "":
		parts = append(parts, fmt.Sprintf("column %d", column+1))
	}
	if heading != "" {
		parts = append(parts, heading)
	}
	f.Key = strings.Join(parts, ", ")
	return f
}
