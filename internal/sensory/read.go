package sensory

import (
	"fmt"

	"bittersum/internal/tomlfile"
)

// Tasting is a bitterness tasting as written down: what was tasted and what each taster found.
type Tasting struct {
	Ingredient, Lot string
	Tasters         []Taster
}

// OpenTasting reads a tasting. The error holds every fault in the file.
func OpenTasting(path string) (*Tasting, error) {
	document, err := tomlfile.Open(path)
	if err != nil {
		return nil, err
	}
	root := document.Root()
	root.Require("ingredient")
	t := &Tasting{Ingredient: root.String("ingredient"), Lot: root.String("lot")}
	named := map[string]bool{}
	for _, row := range root.Tables("taster") {
		row.Require("name", "threshold_ml", "factor", "volume_ml")
		taster := Taster{Name: row.String("name")}
		if named[taster.Name] {
			row.Fault("name", fmt.Sprintf("%q stands here twice", taster.Name), "give each taster a name or number of their own")
		}
		named[taster.Name] = true
		for _, field := range []struct {
			key    string
			series []float64
			into   *float64
		}{{"threshold_ml", QuinineSeries(), &taster.Threshold}, {"factor", Dilutions(), &taster.Factor}, {"volume_ml", SampleSeries(), &taster.Volume}} {
			value, ok := row.Number(field.key, tomlfile.Positive)
			*field.into = value
			if ok && !within(value, field.series) {
				row.Fault(field.key, fmt.Sprintf("%g is none of the series", value), fmt.Sprintf("one of %s", listed(field.series)))
			}
		}
		row.Done()
		t.Tasters = append(t.Tasters, taster)
	}
	if len(t.Tasters) == 0 {
		root.Fault("taster", "there is none", "a [[taster]] table for each, with name, threshold_ml, factor and volume_ml")
	}
	root.Done()
	return t, document.Err()
}
