package report

import (
	"fmt"
	"io"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/profile"
)

// Figures writes how many figures are of which basis: by what they are, by attribute and by ingredient.
func Figures(w io.Writer, figures []profile.Figure, asJSON bool) error {
	kinds := profile.Count(figures, func(f profile.Figure) string { return string(f.Kind) })
	byAttribute := profile.Count(figures, func(f profile.Figure) string { return f.Attribute })
	byIngredient := profile.Count(figures, func(f profile.Figure) string { return f.Ingredient })
	if asJSON {
		return encode(w, jsonLibrary{librarySchema, jsonFigures{bases(figures), tallyJSON(kinds), tallyJSON(byAttribute), tallyJSON(byIngredient)}})
	}
	var columns []profile.Basis
	counted := bases(figures)
	heading := []string{"lfigures"}
	for _, k := range basisWords {
		if k.basis != assess.Given && (counted[string(k.basis)] > 0 || k.basis == profile.Measured) {
			columns = append(columns, k.basis)
			heading = append(heading, "r"+k.word)
		}
	}
	t := newTable("", append(heading, "rin all")...)
	for _, kind := range profile.FigureKinds {
		row := []string{string(kind)}
		all := 0
		for _, basis := range columns {
			n := countOf(figures, kind, basis)
			all += n
			row = append(row, fmt.Sprint(n))
		}
		if kind != profile.NoFigure {
			t.row(append(row, fmt.Sprint(all))...)
		}
	}
	t.write(w)
	tallies(w, "attribute", byAttribute)
	tallies(w, "ingredient", byIngredient)
	fmt.Fprintf(w, "\n%s\n", wrap("Unchecked: recalled or invented, as a share of the figures that are no zeros. A zero says that something is absent; unknown is never read as zero.", width, ""))
	return nil
}

func countOf(figures []profile.Figure, kind profile.FigureKind, basis profile.Basis) int {
	n := 0
	for _, f := range figures {
		if f.Kind == kind && f.Basis == basis {
			n++
		}
	}
	return n
}

// tallies prints a table of counts; what has no figure but zeros is named below it.
func tallies(w io.Writer, what string, list []profile.Tally) {
	t := newTable("", "l"+what, "rfigures", "runchecked", "lof them", "rzeros", "runknown")
	var zeros []string
	for _, x := range list {
		if x.All() == 0 && x.Unknown == 0 {
			zeros = append(zeros, x.Name)
			continue
		}
		unchecked := ""
		if x.All() > 0 {
			unchecked = percent(float64(x.Weak()) / float64(x.All()))
		}
		t.row(x.Name, fmt.Sprint(x.All()), unchecked, basesOf(x), fmt.Sprint(x.Zeros), fmt.Sprint(x.Unknown))
	}
	if len(t.rows) > 0 {
		fmt.Fprintln(w)
	}
	t.write(w)
	if len(zeros) > 0 {
		fmt.Fprintf(w, "%s\n", wrap("Nothing but zeros: "+strings.Join(zeros, ", "), width, "  "))
	}
}

func basesOf(x profile.Tally) string {
	var parts []string
	for _, k := range basisWords {
		if n := x.ByBasis[k.basis]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, k.word))
		}
	}
	return strings.Join(parts, ", ")
}

type jsonFigures struct {
	ByBasis      map[string]int `json:"by_basis"`
	ByKind       []jsonTally    `json:"by_kind"`
	ByAttribute  []jsonTally    `json:"by_attribute"`
	ByIngredient []jsonTally    `json:"by_ingredient"`
}

type jsonTally struct {
	Name    string         `json:"name"`
	Figures int            `json:"figures"`
	ByBasis map[string]int `json:"by_basis"`
	Zeros   int            `json:"zeros"`
	Unknown int            `json:"unknown"`
}

// bases counts all figures that are no zeros by basis.
func bases(figures []profile.Figure) map[string]int {
	out := map[string]int{}
	for _, all := range profile.Count(figures, func(profile.Figure) string { return "all" }) {
		for basis, n := range all.ByBasis {
			out[string(basis)] = n
		}
	}
	return out
}

func tallyJSON(list []profile.Tally) []jsonTally {
	out := []jsonTally{}
	for _, x := range list {
		one := jsonTally{Name: x.Name, Figures: x.All(), ByBasis: map[string]int{}, Zeros: x.Zeros, Unknown: x.Unknown}
		for basis, n := range x.ByBasis {
			one.ByBasis[string(basis)] = n
		}
		out = append(out, one)
	}
	return out
}
