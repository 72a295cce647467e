package brief

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"bittersum/internal/tomlfile"
)

// eachRow calls do with each row of CSV text and the line it stands on, until do returns false. Lines that
// begin with # are left out. wrong says what is no CSV at line, and is empty when all is.
func eachRow(text string, do func(line int, cells []string) bool) (line int, wrong string) {
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

// parseNumber reads a number of a cell, with a decimal point or, as spreadsheets of many countries write it, a
// decimal comma. Thousands are not parted: 1.234,5 and 1,234.5 are no numbers.
func parseNumber(text string) (float64, error) {
	text = strings.TrimSpace(text)
	if strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	return strconv.ParseFloat(text, 64)
}

// amountRow is one line of a CSV file that gives a number to a name.
type amountRow struct {
	name   string
	amount float64
	line   int
}

// parseAmounts reads CSV text whose heading holds ingredient and the given column; other columns are
// left alone, so that a note may stand beside a number. Amounts are finite, not negative, and each name
// stands once. The error is a tomlfile.Faults.
func parseAmounts(file, text, column string) ([]amountRow, error) {
	var faults tomlfile.Faults
	fault := func(line int, what string) {
		faults = append(faults, tomlfile.Fault{File: file, Line: line, What: what})
	}
	var rows []amountRow
	seen := map[string]int{}
	nameAt, amountAt := -1, -1
	line, wrong := eachRow(text, func(line int, cells []string) bool {
		if nameAt < 0 {
			for n, title := range cells {
				switch strings.TrimSpace(title) {
				case "ingredient":
					nameAt = n
				case column:
					amountAt = n
				}
			}
			if nameAt < 0 || amountAt < 0 {
				fault(line, fmt.Sprintf("the heading is %q; it must hold ingredient and %s", strings.Join(cells, ","), column))
				return false
			}
			return true
		}
		if len(cells) <= max(nameAt, amountAt) {
			fault(line, "has too few columns")
			return true
		}
		name, text := strings.TrimSpace(cells[nameAt]), strings.TrimSpace(cells[amountAt])
		amount, err := parseNumber(text)
		switch {
		case err != nil || math.IsNaN(amount) || math.IsInf(amount, 0):
			fault(line, fmt.Sprintf("%s: %q is not a number", column, text))
		case amount < 0:
			fault(line, fmt.Sprintf("%s: %v is out of range; it must be 0 or more", column, amount))
		case seen[name] > 0:
			fault(line, fmt.Sprintf("%q stands twice, first on line %d", name, seen[name]))
		default:
			seen[name] = line
			rows = append(rows, amountRow{name, amount, line})
		}
		return true
	})
	if wrong != "" {
		fault(line, wrong)
	}
	if len(rows) == 0 && len(faults) == 0 {
		fault(1, fmt.Sprintf("is empty: it must hold a heading with ingredient and %s, and a line for each", column))
	}
	return rows, faults.Err()
}
