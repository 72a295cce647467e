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
	reader := csv.NewReader(strings.NewReader(text))
	reader.Comma = delimiter(text)
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

// delimiter returns what stands between the cells of CSV text: the semicolon or tab of spreadsheets that write
// a decimal comma, where the heading has one and no comma.
func delimiter(text string) rune {
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "#") || strings.TrimSpace(line) == "" {
			continue
		}
		for _, d := range []rune{';', '\t'} {
			if strings.ContainsRune(line, d) && !strings.Contains(line, ",") {
				return d
			}
		}
		break
	}
	return ','
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
