package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/fit"
)

// Fit writes what batches and infusions say of contents.
func Fit(w io.Writer, j *brief.Job, r *fit.Result) {
	title(w, j)
	learnedTable(w, r)
	fitRows(w, r)
	fitNotes(w, r)
}

func learnedTable(w io.Writer, r *fit.Result) {
	fmt.Fprintln(w, "What reaches the drink of a gram, by the profiles and by what was measured:")
	t := newTable("  ", "lcontent", "rprofile", "rmeasured", "rnext lot ±", "l")
	var untold []string
	for _, l := range r.Learned {
		name := l.Subject.String()
		if l.Lot != "" {
			name += ", lot " + l.Lot
		}
		if !l.Told {
			untold = append(untold, name)
			continue
		}
		note := ""
		if l.Conflict {
			note = "far off the profile"
		}
		t.row(name, plusMinus(l.Before, l.BeforeSD)+" "+l.Unit, plusMinus(l.After, l.AfterSD)+" "+l.Unit, figures(l.LotSD, 2), note)
	}
	if len(t.rows) == 0 {
		t.row("nothing is told so well that it were worth writing down")
	}
	t.write(w)
	if len(untold) > 0 {
		fmt.Fprintf(w, "  %s\n", wrap("Not told, and left as the profiles have it: "+strings.Join(untold, "; ")+".", width-2, "  "))
	}
	fmt.Fprintln(w)
}

// measuredName is the word for a measurement of a record.
func measuredName(name string) string {
	switch name {
	case brief.MeasureAcidity:
		return brief.Acidity
	case brief.MeasureDensity:
		return readingName(string(brief.Density))
	}
	return readingName(name)
}

// plusMinus prints a value with its deviation.
func plusMinus(x, sd float64) string { return figures(x, 3) + " ± " + figures(sd, 2) }

func fitRows(w io.Writer, r *fit.Result) {
	fmt.Fprintln(w, "What was measured, and what is foretold of it:")
	t := newTable("  ", "lbatch", "lwhat", ".measured", ".±", ".by profiles", ".as fitted", ".off", "l")
	for _, row := range r.Rows {
		off, note := "", ""
		if !math.IsNaN(row.Off) {
			off = signed(row.Off, 2)
		}
		if row.Outlier {
			note = "the others contradict it"
		}
		t.row(row.Batch, measuredName(row.Name), figures(row.Value, 4), figures(row.Error, 2), figures(row.Before, 4), figures(row.After, 4), off, note)
	}
	t.write(w)
	fmt.Fprintf(w, "  %s\n\n", wrap("Off counts the deviations between a measurement and what the profiles and all other measurements foretell of it.", width-2, "  "))
}

func fitNotes(w io.Writer, r *fit.Result) {
	say := func(text string) { fmt.Fprintf(w, "  - %s\n", wrap(text, width-4, "    ")) }
	fmt.Fprintln(w, "Notes:")
	for _, row := range r.Outliers() {
		say(fmt.Sprintf("%s of %s lies %s deviations off: look for a slip of the pen, or leave it out by --without %s/%s.", measuredName(row.Name), row.Batch, figures(math.Abs(row.Off), 2), row.Batch, row.Name))
	}
	for _, l := range r.Learned {
		if l.Conflict {
			say(fmt.Sprintf("%s: %s times the profile's. Look whether plant, scale and unit are right before it is used.", l.Subject, figures(l.Factor, 2)))
		}
	}
	for _, pair := range r.Together {
		say(fmt.Sprintf("%s and %s go together in these batches (correlation %s): their sum is told better than either. An infusion of one alone tells them apart.", pair.A, pair.B, figures(pair.Correlation, 2)))
	}
	if r.IllConditioned() {
		say(fmt.Sprintf("The equations have a condition number of %s: small errors of measurements make large ones here.", figures(r.Condition, 2)))
	}
	var assumed []string
	for _, l := range r.Learned {
		if l.Assumed && l.Lot == "" {
			assumed = append(assumed, l.Subject.String())
		}
	}
	if len(assumed) > 0 {
		say("The profiles know no deviation of " + strings.Join(assumed, ", ") + "; what was known before is assumed (practice).")
	}
	if len(r.Unused) > 0 {
		say("These tell of no content: " + strings.Join(r.Unused, ", ") + ".")
	}
	say("Half of the variance between lots is taken to be common to all lots of an ingredient, the other half each lot's own (practice): a later lot is never known better than that.")
	say("What a kettle draws less than the profile says does not lower what caps are judged by: a cap counts the whole content.")
	fmt.Fprintln(w)
}

// FitKept says where what was told was written.
func FitKept(w io.Writer, path string, written bool) {
	if !written {
		fmt.Fprintln(w, "Nothing was written: nothing is told so well.")
		return
	}
	fmt.Fprintf(w, "%s\n", wrap("Wrote "+path+": these figures stand over the profiles of that folder, marked measured. A brief sees them with profiles = \"FOLDER\".", width, "  "))
}

const fitSchema = "bittersum/fit/1"

type jsonLearned struct {
	Ingredient string   `json:"ingredient"`
	Attribute  string   `json:"attribute"`
	Method     string   `json:"method,omitempty"`
	Lot        string   `json:"lot,omitempty"`
	Unit       string   `json:"unit"`
	Before     number   `json:"reaches_by_profile"`
	BeforeSD   number   `json:"reaches_by_profile_sd"`
	After      number   `json:"reaches"`
	AfterSD    number   `json:"reaches_sd"`
	LotSD      number   `json:"next_lot_sd"`
	Told       bool     `json:"told"`
	Conflict   bool     `json:"far_off_profile"`
	Assumed    bool     `json:"deviation_assumed"`
	Batches    []string `json:"batches"`
}

type jsonFitRow struct {
	Batch   string `json:"batch"`
	Name    string `json:"name"`
	Value   number `json:"value"`
	Error   number `json:"error"`
	Before  number `json:"by_profiles"`
	After   number `json:"as_fitted"`
	Off     number `json:"off_deviations"`
	Outlier bool   `json:"outlier"`
}

type jsonTogether struct {
	A           string `json:"a"`
	B           string `json:"b"`
	Correlation number `json:"correlation"`
}

// FitJSON writes what was learned as JSON.
func FitJSON(w io.Writer, j *brief.Job, r *fit.Result) error {
	out := struct {
		Schema    string         `json:"schema"`
		Brief     string         `json:"brief"`
		Learned   []jsonLearned  `json:"contents"`
		Rows      []jsonFitRow   `json:"measurements"`
		Together  []jsonTogether `json:"told_together"`
		Condition number         `json:"condition_number"`
		Rounds    int            `json:"rounds"`
		Unused    []string       `json:"unused,omitempty"`
	}{fitSchema, j.Name, []jsonLearned{}, []jsonFitRow{}, []jsonTogether{}, number(r.Condition), r.Rounds, r.Unused}
	for _, l := range r.Learned {
		out.Learned = append(out.Learned, jsonLearned{l.Ingredient, l.Attribute, l.Method, l.Lot, l.Unit, number(l.Before), number(l.BeforeSD), number(l.After), number(l.AfterSD), number(l.LotSD), l.Told, l.Conflict, l.Assumed, l.Batches})
	}
	for _, row := range r.Rows {
		out.Rows = append(out.Rows, jsonFitRow{row.Batch, row.Name, number(row.Value), number(row.Error), number(row.Before), number(row.After), number(row.Off), row.Outlier})
	}
	for _, p := range r.Together {
		out.Together = append(out.Together, jsonTogether{p.A.String(), p.B.String(), number(p.Correlation)})
	}
	return encode(w, out)
}
