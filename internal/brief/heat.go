package brief

import (
	"fmt"
	"math"
	"strings"

	"bittersum/internal/chem"
	"bittersum/internal/csvfile"
	"bittersum/internal/tomlfile"
)

// usualHeadspace is the share of a bottle that is left empty when a brief does not say; practice.
const usualHeadspace = 0.04

// usualFillingC is how cold a carbonated drink is taken to be filled when a brief does not say; practice.
const usualFillingC = 4

// Filled returns the temperature at which bottles are closed.
func (s Serving) Filled() float64 {
	if math.IsNaN(s.FillingC) {
		return usualFillingC
	}
	return s.FillingC
}

// heatRange is what a step of heat may be, in °C.
var heatRange = tomlfile.Range{Min: 40, Max: 100}

// readHeat reads the heat step: so many minutes at a temperature, or a log of temperatures beside the brief,
// CSV with the heading minutes,celsius.
func (b *Brief) readHeat(src source, root *tomlfile.Table) error {
	t := root.Table("heat")
	if t == nil {
		return nil
	}
	defer t.Done()
	if file := t.String("log"); file != "" {
		for _, key := range []string{"celsius", "minutes"} {
			if t.Has(key) {
				t.Fault(key, "stands beside log; give one of the two", "")
			}
		}
		t.Number("celsius", tomlfile.Any)
		t.Number("minutes", tomlfile.Any)
		text, shown, err := src.text(file)
		if err != nil {
			return err
		}
		b.Heat, err = parseHeat(shown, text)
		return err
	}
	t.Require("celsius", "minutes")
	celsius, _ := t.Number("celsius", heatRange)
	minutes, _ := t.Number("minutes", tomlfile.Range{Min: 0, Max: 600, Open: true})
	b.Heat = []chem.Heat{{Minutes: 0, Celsius: celsius}, {Minutes: minutes, Celsius: celsius}}
	return nil
}

// parseHeat reads a log of temperatures. The error is a tomlfile.Faults.
func parseHeat(file, text string) ([]chem.Heat, error) {
	var faults tomlfile.Faults
	fault := func(line int, what string) {
		faults = append(faults, tomlfile.Fault{File: file, Line: line, What: what})
	}
	var log []chem.Heat
	headed := false
	line, wrong := csvfile.EachRow(text, func(line int, cells []string) bool {
		if !headed {
			if headed = len(cells) >= 2 && strings.TrimSpace(cells[0]) == "minutes" && strings.TrimSpace(cells[1]) == "celsius"; !headed {
				fault(line, fmt.Sprintf("the heading is %q; it must be minutes,celsius", strings.Join(cells, ",")))
			}
			return headed
		}
		if len(cells) < 2 {
			fault(line, "has too few columns")
			return true
		}
		minutes, err1 := csvfile.Number(cells[0])
		celsius, err2 := csvfile.Number(cells[1])
		switch {
		case err1 != nil || math.IsNaN(minutes) || math.IsInf(minutes, 0):
			fault(line, fmt.Sprintf("minutes: %q is not a number", strings.TrimSpace(cells[0])))
		case err2 != nil || !(celsius >= 0 && celsius <= 110):
			fault(line, fmt.Sprintf("celsius: %q is no temperature from 0 to 110", strings.TrimSpace(cells[1])))
		case len(log) > 0 && minutes < log[len(log)-1].Minutes:
			fault(line, fmt.Sprintf("minutes: %v lies before the row above; a log runs forwards", minutes))
		default:
			log = append(log, chem.Heat{Minutes: minutes, Celsius: celsius})
		}
		return true
	})
	if wrong != "" {
		fault(line, wrong)
	}
	if len(faults) == 0 && len(log) < 2 {
		fault(0, "holds fewer than two rows: no time passes in it")
	}
	return log, faults.Err()
}
