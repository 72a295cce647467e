package report

import (
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"

	"bittersum/internal/assess"
)

func cautions(w io.Writer, a *assess.Assessment, extent Extent) { cautionList(w, a.Cautions, extent) }

// cautionsOfAll writes the cautions of several recipes, those that differ in nothing but a figure once.
func cautionsOfAll(w io.Writer, recipes []*assess.Assessment, extent Extent) {
	var list []assess.Caution
	seen := map[string]bool{}
	for _, a := range recipes {
		for _, c := range a.Cautions {
			key := c.From + figure.ReplaceAllString(c.Text, "#")
			for _, listing := range []string{"The pH leaves out the minerals", "Prices of profiles count"} {
				if strings.HasPrefix(c.Text, listing) {
					key = listing // they differ in the ingredients they list, and say one thing
				}
			}
			if !seen[key] {
				seen[key] = true
				list = append(list, c)
			}
		}
	}
	last := func(c assess.Caution) bool { return c.Text == assess.LocalLaw.Text }
	slices.SortStableFunc(list, func(a, b assess.Caution) int {
		switch {
		case last(a) == last(b):
			return 0
		case last(a):
			return 1
		}
		return -1
	})
	cautionList(w, list, extent)
}

var figure = regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)

// fewCautions is how many a short answer prints where no more of them are grave.
const fewCautions = 3

func cautionList(w io.Writer, list []assess.Caution, extent Extent) {
	if len(list) == 0 {
		return
	}
	shown := list
	if extent == Short {
		shown = weightiest(list)
	}
	fmt.Fprintln(w, "Cautions:")
	for _, c := range shown {
		fmt.Fprintf(w, "  - %s\n", wrap(c.Text+" ["+c.From+"]", width-4, "    "))
	}
	if left := len(list) - len(shown); left > 0 {
		fmt.Fprintf(w, "  %d more stand in the whole answer, with the rule of every cap: --all.\n", left)
	}
}

// weightiest returns the grave cautions and, while they are few, notable ones, in their order, with what ends
// every list.
func weightiest(list []assess.Caution) []assess.Caution {
	keep := make([]bool, len(list))
	few := 0
	for _, weight := range []assess.Weight{assess.Grave, assess.Notable} {
		for n, c := range list {
			if c.Weight == weight && (weight == assess.Grave || few < fewCautions) {
				keep[n] = true
				few++
			}
		}
	}
	var shown []assess.Caution
	for n, c := range list {
		if keep[n] || c.Text == assess.LocalLaw.Text {
			shown = append(shown, c)
		}
	}
	return shown
}
