package report

import (
	"fmt"
	"io"
	"slices"
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
	t.narrow(cells, widths)
	line := func(row []string) {
		lines := make([][]string, len(row))
		tall := 1
		for c, cell := range row {
			lines[c] = []string{cell}
			if utf8.RuneCountInString(cell) > widths[c] {
				lines[c] = strings.Split(wrap(cell, widths[c], ""), "\n")
			}
			tall = max(tall, len(lines[c]))
		}
		for n := range tall {
			var b strings.Builder
			b.WriteString(t.indent)
			for c := range row {
				cell := ""
				if n < len(lines[c]) {
					cell = lines[c][n]
				}
				pad := strings.Repeat(" ", max(0, widths[c]-utf8.RuneCountInString(cell)))
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
	}
	if strings.Join(t.heading, "") != "" {
		line(t.heading)
	}
	for _, row := range cells {
		line(row)
	}
}

// narrow takes width from columns until the table fits the page: from a last column of words first, down
// to 16 letters, then from long text, then from headings that are wider than their numbers, then from the
// widest column of words. No word is broken, so that a table of many numbers may still be too wide.
func (t *table) narrow(cells [][]string, widths []int) {
	over := len(t.indent) + 2*(len(widths)-1) - width
	for _, w := range widths {
		over += w
	}
	shrink := func(c, least int) {
		by := min(over, widths[c]-max(least, t.narrowest(cells, c)))
		if by > 0 {
			widths[c] -= by
			over -= by
		}
	}
	words := make([]int, 0, len(widths))
	for c := range widths {
		if t.aligns[c] == left {
			words = append(words, c)
		}
	}
	slices.SortStableFunc(words, func(a, b int) int { return widths[b] - widths[a] })
	if last := len(widths) - 1; t.aligns[last] == left {
		shrink(last, 16)
	}
	for _, c := range words {
		shrink(c, 32)
	}
	for c := range widths {
		if t.aligns[c] != left {
			shrink(c, 0)
		}
	}
	for _, c := range words {
		shrink(c, 0)
	}
}

// narrowest returns the least width of column c: its longest word, or its widest number.
func (t *table) narrowest(cells [][]string, c int) int {
	least := 0
	for _, word := range strings.Fields(t.heading[c]) {
		least = max(least, utf8.RuneCountInString(word))
	}
	for _, row := range cells {
		if c >= len(row) {
			continue
		}
		if t.aligns[c] != left {
			least = max(least, utf8.RuneCountInString(row[c]))
			continue
		}
		for _, word := range strings.Fields(row[c]) {
			least = max(least, utf8.RuneCountInString(word))
		}
	}
	return least
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
