package report

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// align says how the cells of a column stand.
type align byte

const (
	left  align = 'l'
	right align = 'r'
	point align = '.' // numbers, their decimal points below each other
)

// table is a small text table: a heading and rows, columns aligned, nothing drawn.
type table struct {
	indent  string
	aligns  []align
	heading []string
	rows    [][]string
}

func newTable(indent string, columns ...string) *table {
	t := &table{indent: indent}
	for _, c := range columns {
		t.aligns = append(t.aligns, align(c[0]))
		t.heading = append(t.heading, c[1:])
	}
	return t
}

func (t *table) row(cells ...string) { t.rows = append(t.rows, cells) }

// write prints the table; a table without rows prints nothing.
func (t *table) write(w io.Writer) {
	if len(t.rows) == 0 {
		return
	}
	cells := make([][]string, len(t.rows))
	for r, row := range t.rows {
		cells[r] = append([]string(nil), row...)
	}
	widths := make([]int, len(t.heading))
	for c := range t.heading {
		if t.aligns[c] == point {
			alignPoints(cells, c)
		}
		widths[c] = utf8.RuneCountInString(t.heading[c])
		for _, row := range cells {
			if c < len(row) {
				widths[c] = max(widths[c], utf8.RuneCountInString(row[c]))
			}
		}
	}
	// A last column of words that would run over the edge is wrapped within itself.
	before := len(t.indent)
	for _, w := range widths[:len(widths)-1] {
		before += w + 2
	}
	words := t.aligns[len(t.aligns)-1] == left && before+widths[len(widths)-1] > width && width-before >= 16
	line := func(row []string) {
		var b strings.Builder
		b.WriteString(t.indent)
		for c, cell := range row {
			if words && c == len(widths)-1 {
				b.WriteString(wrap(cell, width-before, strings.Repeat(" ", before)))
				break
			}
			pad := strings.Repeat(" ", widths[c]-utf8.RuneCountInString(cell))
			if t.aligns[c] == left {
				b.WriteString(cell + pad)
			} else {
				b.WriteString(pad + cell)
			}
			if c < len(row)-1 {
				b.WriteString("  ")
			}
		}
		fmt.Fprintln(w, strings.TrimRight(b.String(), " "))
	}
	if strings.Join(t.heading, "") != "" {
		line(t.heading)
	}
	for _, row := range cells {
		line(row)
	}
}

// alignPoints pads the cells of column c on the right so that their decimal points stand in line once
// they are set flush right. Only the leading number of a cell counts.
func alignPoints(rows [][]string, c int) {
	after := func(cell string) int {
		end := len(cell)
		for n := 0; n < len(cell); n++ {
			if cell[n] == '.' {
				return utf8.RuneCountInString(cell[n:])
			}
			if !strings.ContainsRune("+-0123456789", rune(cell[n])) {
				end = n
				break
			}
		}
		return utf8.RuneCountInString(cell[end:])
	}
	most := 0
	for _, row := range rows {
		if c < len(row) && row[c] != "" {
			most = max(most, after(row[c]))
		}
	}
	for _, row := range rows {
		if c < len(row) && row[c] != "" {
			row[c] += strings.Repeat(" ", most-after(row[c]))
		}
	}
}
