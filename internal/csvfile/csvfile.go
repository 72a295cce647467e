// Package csvfile reads CSV as spreadsheets of all countries write it.
package csvfile

import (
	"encoding/csv"
	"errors"
	"io"
	"strconv"
	"strings"
)

// EachRow calls do with each row of CSV text and the line it stands on, until do returns false. Lines that
// begin with # are left out. wrong says what is no CSV at line, and is empty when all is.
func EachRow(text string, do func(line int, cells []string) bool) (line int, wrong string) {
	text = strings.TrimPrefix(text, "\ufeff")
	return Each(text, Delimiter(text), do)
}

// Each is EachRow with what stands between the cells.
func Each(text string, delimiter rune, do func(line int, cells []string) bool) (line int, wrong string) {
	reader := csv.NewReader(strings.NewReader(text))
	reader.Comma = delimiter
	reader.FieldsPerRecord = -1
	reader.TrimLeadingSpace = true
	reader.Comment = '#'
	for {
		cells, err := reader.Read()
		if errors.Is(err, io.EOF) {
			return line, ""
		}
		var parse *csv.ParseError
		if errors.As(err, &parse) {
			line, err = parse.Line, parse.Err
		}
		if err != nil {
			return line, "is not CSV: " + err.Error()
		}
		line, _ = reader.FieldPos(0)
		if !do(line, cells) {
			return line, ""
		}
	}
}

// Delimiter returns what stands between the cells of CSV text, a comma, semicolon or tab: the one that most of
// the first lines hold equally often outside quotes. So a semicolon wins where commas are decimal, as they do
// not stand in the heading.
func Delimiter(text string) rune {
	best, bestLines, bestCount := ',', 0, 0
	for _, d := range ",;\t" {
		times := map[int]int{} // lines by how often they hold it
		seen := 0
		for line := range strings.Lines(text) {
			if strings.HasPrefix(line, "#") || strings.TrimSpace(line) == "" {
				continue
			}
			if seen++; seen > 30 {
				break
			}
			times[outsideQuotes(line, d)]++
		}
		for count, lines := range times {
			if count > 0 && (lines > bestLines || lines == bestLines && count > bestCount) {
				best, bestLines, bestCount = d, lines, count
			}
		}
	}
	return best
}

func outsideQuotes(line string, d rune) int {
	count, quoted := 0, false
	for _, r := range line {
		if r == '"' {
			quoted = !quoted
		} else if r == d && !quoted {
			count++
		}
	}
	return count
}

// Number reads a number of a cell, with a decimal point or, as spreadsheets of many countries write it, a
// decimal comma. Thousands are not parted: 1.234,5 and 1,234.5 are no numbers.
func Number(text string) (float64, error) {
	text = strings.TrimSpace(text)
	if strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	return strconv.ParseFloat(text, 64)
}
