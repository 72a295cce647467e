package sheet

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"bittersum/internal/tomlfile"

	"github.com/xuri/excelize/v2"
)

// maxUnpacked bounds what a workbook may hold unpacked, so that a small file cannot fill the memory.
const maxUnpacked = 64 << 20

// workbook reads the visible sheets of a workbook that hold anything.
func workbook(file string, data []byte) (tables []*Table, err error) {
	refuse := func(what string) ([]*Table, error) { return nil, tomlfile.Faults{{File: file, What: what}} }
	if what := unreadable(data); what != "" {
		return refuse(what)
	}
	defer func() { // a damaged workbook must not end the program, whatever its library makes of it
		if recover() != nil {
			tables, err = refuse(damaged)
		}
	}()
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{RawCellValue: true, UnzipSizeLimit: maxUnpacked, UnzipXMLSizeLimit: maxUnpacked})
	if err != nil {
		return refuse(damaged)
	}
	defer f.Close()
	props, _ := f.GetWorkbookProps()
	var faults tomlfile.Faults
	for _, name := range f.GetSheetList() {
		if visible, err := f.GetSheetVisible(name); err != nil || !visible {
			continue
		}
		r := worksheet{f: f, t: &Table{File: file, Sheet: name}, from1904: props.Date1904 != nil && *props.Date1904, styles: map[int]Kind{}}
		switch err := r.read(); {
		case errors.Is(err, errTooLarge):
			faults = append(faults, r.t.Fault(MaxRows+1, -1, "", tooLarge, ""))
		case err != nil:
			return refuse(damaged)
		case len(r.t.Rows) > 0:
			r.t.learn()
			tables = append(tables, r.t)
		}
	}
	if len(tables) == 0 && len(faults) == 0 {
		return refuse("is empty: a table with a heading is needed")
	}
	return tables, faults.Err()
}

const damaged = "is not a workbook that can be read; open it, save it as .xlsx anew, or save it as CSV"

// unreadable says what keeps a file from being opened as a workbook at all, or is empty.
func unreadable(data []byte) string {
	if bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0")) {
		locked := []byte("E\x00n\x00c\x00r\x00y\x00p\x00t\x00e\x00d\x00P\x00a\x00c\x00k\x00a\x00g\x00e\x00")
		if bytes.Contains(data, locked) {
			return "is protected by a password; take the password off, or save it as CSV"
		}
		return "is an old kind of workbook; save it as .xlsx or CSV"
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return damaged
	}
	var unpacked uint64
	found := false
	for _, part := range z.File {
		name := strings.ToLower(part.Name)
		if strings.HasSuffix(name, "vbaproject.bin") || strings.HasPrefix(name, "xl/macrosheets/") {
			return "is a workbook with macros, which is never opened; save it as .xlsx or CSV"
		}
		if name == "[content_types].xml" {
			found = true
		}
		if unpacked += part.UncompressedSize64; unpacked > maxUnpacked {
			return tooLarge
		}
	}
	if !found {
		return damaged
	}
	return ""
}

var errTooLarge = errors.New("too large")

// worksheet reads one sheet.
type worksheet struct {
	f        *excelize.File
	t        *Table
	from1904 bool
	styles   map[int]Kind
}

func (r *worksheet) read() error {
	rows, err := r.f.Rows(r.t.Sheet)
	if err != nil {
		return err
	}
	defer rows.Close()
	for line := 1; rows.Next(); line++ {
		texts, err := rows.Columns()
		if err != nil {
			return err
		}
		width := len(texts)
		for width > 0 && clean(texts[width-1]) == "" {
			width--
		}
		if width == 0 {
			continue
		}
		texts = texts[:min(len(texts), MaxColumns)] // beyond the last text a formula may stand without a result
		if width > MaxColumns || len(r.t.Rows) == MaxRows {
			return errTooLarge
		}
		row := Row{Line: line, Cells: make([]Cell, len(texts))}
		for n, text := range texts {
			row.Cells[n] = Cell{Text: clean(text)}
		}
		r.t.Rows = append(r.t.Rows, row)
	}
	if err := rows.Error(); err != nil && err != io.EOF {
		return err
	}
	if err := r.merges(); err != nil {
		return err
	}
	return r.refine()
}

// refine finds out what each cell is.
func (r *worksheet) refine() error {
	for _, row := range r.t.Rows {
		for n := range row.Cells {
			at, err := excelize.CoordinatesToCellName(n+1, row.Line)
			if err != nil {
				return err
			}
			if err := r.cell(&row.Cells[n], at); err != nil {
				return err
			}
		}
	}
	return nil
}

func (r *worksheet) cell(c *Cell, at string) error {
	if c.Text == "" {
		formula, err := r.f.GetCellFormula(r.t.Sheet, at)
		if err == nil && formula != "" {
			c.Kind, c.Text = Broken, "="+formula
		}
		return err
	}
	kind, err := r.f.GetCellType(r.t.Sheet, at)
	if err != nil {
		return err
	}
	switch kind {
	case excelize.CellTypeError:
		c.Kind = Broken
	case excelize.CellTypeUnset, excelize.CellTypeNumber, excelize.CellTypeFormula:
		x, err := strconv.ParseFloat(c.Text, 64)
		if err != nil {
			break // what a formula gives as text
		}
		style, err := r.f.GetCellStyle(r.t.Sheet, at)
		if err != nil {
			return err
		}
		c.Kind, c.Value = r.kindOf(style), x
		c.Text = strconv.FormatFloat(x, 'f', -1, 64)
		switch c.Kind {
		case Percent:
			c.Text = strconv.FormatFloat(x*100, 'g', 12, 64) + " %"
		case Date:
			day, err := excelize.ExcelDateToTime(x, r.from1904)
			if err != nil {
				c.Kind = Number
				break
			}
			c.Day = time.Date(day.Year(), day.Month(), day.Day(), 0, 0, 0, 0, time.UTC)
			c.Text = c.Day.Format(time.DateOnly)
		}
	case excelize.CellTypeDate:
		if day, err := time.Parse(time.DateOnly, c.Text[:min(len(c.Text), len(time.DateOnly))]); err == nil {
			c.Kind, c.Day, c.Text = Date, day, day.Format(time.DateOnly)
		}
	}
	return nil
}

// kindOf says how a style shows a number.
func (r *worksheet) kindOf(style int) Kind {
	kind, known := r.styles[style]
	if known {
		return kind
	}
	kind = Number
	if s, err := r.f.GetStyle(style); err == nil && s != nil {
		kind = shownAs(s.NumFmt, s.CustomNumFmt)
	}
	r.styles[style] = kind
	return kind
}

// aside is what a number format says that is no place of the number: texts, escapes, colours and conditions.
var aside = regexp.MustCompile(`"[^"]*"|\\.|_.|\*.|\[[^\]]*\]`)

// shownAs says what a number format shows, by its number in ECMA-376 Part 1, 18.8.30, or its own pattern.
func shownAs(number int, custom *string) Kind {
	dates := func(n int) bool {
		return n >= 14 && n <= 17 || n == 22 || n >= 27 && n <= 31 || n == 36 || n >= 50 && n <= 54 || n == 57 || n == 58
	}
	if custom != nil && *custom != "" {
		pattern := strings.ToLower(aside.ReplaceAllString(*custom, ""))
		switch {
		case strings.Contains(pattern, "%"):
			return Percent
		case strings.ContainsAny(pattern, "yd") && !strings.Contains(pattern, "general"):
			return Date
		}
		return Number
	}
	switch {
	case number == 9 || number == 10:
		return Percent
	case dates(number):
		return Date
	}
	return Number
}

// merges notes the ranges of merged cells.
func (r *worksheet) merges() error {
	merged, err := r.f.GetMergeCells(r.t.Sheet, true)
	if err != nil {
		return err
	}
	for _, m := range merged {
		column, line, err := excelize.CellNameToCoordinates(m.GetStartAxis())
		if err != nil {
			return err
		}
		_, last, err := excelize.CellNameToCoordinates(m.GetEndAxis())
		if err != nil {
			return err
		}
		r.t.Merges = append(r.t.Merges, Merge{Range: m.GetStartAxis() + ":" + m.GetEndAxis(), Line: line, Last: last, Column: column - 1})
	}
	slices.SortFunc(r.t.Merges, func(a, b Merge) int { return a.Line - b.Line })
	return nil
}
