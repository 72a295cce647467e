package brief

import (
	"fmt"
	"math"
	"strings"

	"bittersum/internal/csvfile"
	"bittersum/internal/tomlfile"
)

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
	line, wrong := csvfile.EachRow(text, func(line int, cells []string) bool {
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
		amount, err := csvfile.Number(text)
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
