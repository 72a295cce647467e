package report

import (
	"fmt"
	"io"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"
)

// basisWords say of what kind figures of a basis are.
var basisWords = []struct {
	basis profile.Basis
	word  string
}{
	{assess.Given, "your own"}, {profile.Measured, "measured"}, {profile.Published, "published"}, {"derived", "derived"}, {profile.Practice, "practice"},
	{profile.Memory, "recalled"}, {profile.Invented, "invented"},
}

// RestNotes say in a line each how much of the recipe's bitterness and prices rests on figures that nobody
// has checked, and what to do first.
func RestNotes(a *assess.Assessment) []string {
	var notes []string
	if a.Job.Kind == brief.Blend {
		return notes
	}
	if r, ok := a.Bitterness(); ok && r.Weak() >= 0.005 {
		var kinds []string
		for _, k := range basisWords {
			if (k.basis == profile.Memory || k.basis == profile.Invented) && r.Share(k.basis) >= 0.005 {
				kinds = append(kinds, k.word)
			}
		}
		notes = append(notes, fmt.Sprintf("Of this recipe's bitterness %s rests on %s figures: measure %s first.", percent(r.Weak()), strings.Join(kinds, " and "), r.Contributions[0].Name))
	}
	if invented, all, share := a.Priced(); invented > 0 {
		verb := "are"
		if all == 1 {
			verb = "is"
		}
		notes = append(notes, fmt.Sprintf("Prices of %d of %d ingredients %s invented (%s of the cost): give your own in the brief, a price list or with lots.", invented, all, verb, percent(share)))
	}
	if free := a.Unpriced(); len(free) > 0 {
		notes = append(notes, fmt.Sprintf("No price is given for %s: it counts as free here.", strings.Join(free, ", ")))
	}
	return notes
}

// restLines prints the notes below a recipe.
func restLines(w io.Writer, a *assess.Assessment) {
	for _, note := range RestNotes(a) {
		fmt.Fprintf(w, "  %s\n", wrap(note, width-2, "  "))
	}
}

// Rests writes on what each target, cap and the cost of a recipe rest.
func Rests(w io.Writer, a *assess.Assessment) {
	fmt.Fprintln(w, "\nWhat these figures rest on:")
	t := newTable("  ", "lamount", "runchecked", "lof it, largest first", "r", "l")
	for _, r := range a.Rests() {
		unchecked := "-" // nothing is known of it
		if len(r.Contributions) > 0 {
			unchecked = percent(r.Weak())
		}
		row := []string{restName(r), unchecked}
		for _, c := range r.Contributions[:min(mostNamed, len(r.Contributions))] {
			if c.Weak() && c.Share >= 0.0005 {
				t.row(append(row, c.Name, percent(c.Share), word(c.Basis))...)
				row = []string{"", ""}
			}
		}
		if len(r.Unknown) > 0 {
			t.row(append(row, strings.Join(r.Unknown, ", "), "", "no figure")...)
		} else if row[0] != "" {
			t.row(append(row, "", "", "")...)
		}
	}
	t.write(w)
	fmt.Fprintf(w, "  %s\n", wrap("Unchecked: recalled or invented. Of a cap the amount counts that it is judged with. A pH and a density are not counted: they add nothing up.", width-2, "  "))
}

func restName(r assess.Rests) string {
	switch r.Kind {
	case assess.RestsCap:
		return "cap " + r.Name + ", " + r.Cap.Market.Name
	case assess.RestsCost:
		return "cost"
	}
	return r.Name
}

func word(basis profile.Basis) string {
	for _, k := range basisWords {
		if k.basis == basis {
			return k.word
		}
	}
	return string(basis)
}

// mostNamed is how many ingredients are named for an amount.
const mostNamed = 3

type jsonRests struct {
	Kind          string             `json:"kind"`
	Name          string             `json:"name,omitempty"`
	Market        string             `json:"market,omitempty"`
	Unchecked     number             `json:"recalled_or_invented_share"`
	Shares        map[string]number  `json:"share_by_basis"`
	Contributions []jsonContribution `json:"contributions"`
	Unknown       []string           `json:"unknown_in,omitempty"`
}

type jsonContribution struct {
	Ingredient string `json:"ingredient"`
	Share      number `json:"share"`
	Basis      string `json:"basis"`
}

func restsJSON(a *assess.Assessment) []jsonRests {
	var out []jsonRests
	for _, r := range a.Rests() {
		one := jsonRests{Kind: r.Kind, Name: r.Name, Unchecked: number(r.Weak()), Shares: map[string]number{}, Contributions: []jsonContribution{}, Unknown: r.Unknown}
		if r.Cap != nil {
			one.Market = r.Cap.Market.Name
		}
		for _, k := range basisWords {
			if share := r.Share(k.basis); share > 0 {
				one.Shares[string(k.basis)] = number(share)
			}
		}
		for _, c := range r.Contributions {
			one.Contributions = append(one.Contributions, jsonContribution{c.Name, number(c.Share), string(c.Basis)})
		}
		out = append(out, one)
	}
	return out
}
