package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"bittersum/internal/fit"
	"bittersum/internal/profile"
	"bittersum/internal/regress"
	"bittersum/internal/sensory"
)

// LinePanel writes what a panel's marks on a line say.
func LinePanel(w io.Writer, lib *profile.Library, r *sensory.PanelResult, tasted []fit.Tasted, seems *fit.Seeming) {
	unit := perUnit(lib.Attributes[r.Attribute])
	fmt.Fprintf(w, "%s\n\n", wrap(fmt.Sprintf("%s on a line of %s: %d samples, %d tasters, %d cups of each.", r.Attribute, plain(r.Scale), len(r.Samples), len(r.Tasters), len(r.Scores[0][0])), width, "  "))
	t := newTable("  ", "lsample", ".mean mark", ".± ", "lstands for")
	for n, s := range r.Samples {
		stands := ""
		switch {
		case s.Strength > 0:
			stands = plain(s.Strength) + " " + unit + ", reference"
		case !math.IsNaN(r.Found[n].PerLitre):
			stands = plusMinus(r.Found[n].PerLitre, r.Found[n].SD) + " " + unit
			if r.Found[n].Beyond {
				stands += ", beyond the references"
			}
		}
		t.row(s.Name, figures(r.Means[n], 3), figures(r.Error, 2), stands)
	}
	t.write(w)
	if !math.IsNaN(r.Least) {
		fmt.Fprintf(w, "  %s\n\n", wrap(fmt.Sprintf("Two samples differ from %s marks apart on (5 %%).", figures(r.Least, 2)), width-2, "  "))
	}
	varianceTable(w, r.Variance)
	tastersTable(w, r)
	houseScale(w, r, unit)
	tastedTable(w, lib, r, tasted)
	if seems != nil {
		seemingText(w, r, seems)
	}
	fmt.Fprintf(w, "%s\n", wrap("Bitter and restricted plants are spat out, and not for those who must avoid them; tell everyone what is in the cups.", width, "  "))
}

func varianceTable(w io.Writer, c *regress.Crossed) {
	t := newTable("  ", "lof the marks' variation", ".sum of squares", ".degrees", ".F", "rby chance")
	row := func(name string, s regress.Source) {
		if s.DF == 0 {
			return
		}
		f, p := "", ""
		if !math.IsNaN(s.F) {
			f, p = figures(s.F, 3), percentOrLess(s.P)
		}
		t.row(name, figures(s.Sum, 4), plain(s.DF), f, p)
	}
	row("samples", c.First)
	row("tasters", c.Second)
	row("samples by tasters", c.Interaction)
	row("cups", c.Error)
	t.write(w)
	fmt.Fprintln(w)
}

func tastersTable(w io.Writer, r *sensory.PanelResult) {
	t := newTable("  ", "ltaster", ".mean mark", ".agrees with the others", "rtells samples apart by chance")
	for _, e := range r.Each {
		p, agrees := "", ""
		if !math.IsNaN(e.P) {
			p = percentOrLess(e.P)
		}
		if !math.IsNaN(e.Agrees) {
			agrees = figures(e.Agrees, 2)
		}
		t.row(e.Name, figures(e.Mean, 3), agrees, p)
	}
	t.write(w)
	fmt.Fprintln(w)
}

func houseScale(w io.Writer, r *sensory.PanelResult, unit string) {
	if r.Power == nil {
		fmt.Fprintf(w, "  %s\n\n", wrap("Fewer than three references of different strengths: there is no scale, and marks stand for nothing but themselves.", width-2, "  "))
		return
	}
	p := r.Power
	fmt.Fprintf(w, "  %s\n\n", wrap(fmt.Sprintf("The house's scale: mark = %s × strength^%s (± %s; strength in %s, references from %s to %s). Twice as much seems %s times as strong.",
		figures(p.Factor, 3), figures(p.Exponent, 3), figures(p.ExponentSD, 2), unit, plain(p.Least), plain(p.Most), figures(math.Pow(2, p.Exponent), 3)), width-2, "  "))
}

func tastedTable(w io.Writer, lib *profile.Library, r *sensory.PanelResult, tasted []fit.Tasted) {
	if len(tasted) == 0 {
		return
	}
	unit := lib.Attributes[r.Attribute].Unit
	t := newTable("  ", "la gram of", "rbrings", "rnext lot ±", "rprofile", "l")
	for _, x := range tasted {
		before, note := "unknown", ""
		if !x.Unknown() {
			before = plusMinus(x.Before, x.BeforeSD) + " " + unit
		}
		if x.Beyond() {
			note = "beyond the references: taste it weaker or stronger"
		}
		t.row(x.Ingredient, plusMinus(x.PerGram, x.PanelSD)+" "+unit, figures(x.LotSD, 2), before, note)
	}
	t.write(w)
	fmt.Fprintln(w)
}

func seemingText(w io.Writer, r *sensory.PanelResult, s *fit.Seeming) {
	if s.Strength == 0 {
		fmt.Fprintf(w, "  %s\n\n", wrap(fmt.Sprintf("%s has no %s.", s.Drink, r.Attribute), width-2, "  "))
		return
	}
	text := fmt.Sprintf("%s, at %s %s, would seem %s of %s on this line (95 %% of such panels: %s to %s).", s.Drink, figures(s.Strength, 3), s.Unit, figures(s.Score, 3), plain(r.Scale), figures(s.Low, 3), figures(s.High, 3))
	if s.Beyond {
		text += " That lies beyond the references, and the law is only carried on to it."
	}
	if len(s.Unknown) > 0 {
		text += " Unknown besides: what " + strings.Join(s.Unknown, ", ") + " brings."
	}
	fmt.Fprintf(w, "  %s\n\n", wrap(text+" Other tastes of the drink can hide or lift it.", width-2, "  "))
}

// LinePanelJSON writes the same as JSON.
func LinePanelJSON(w io.Writer, r *sensory.PanelResult, tasted []fit.Tasted, seems *fit.Seeming) error {
	type jsonSample struct {
		Name     string `json:"name"`
		Mean     number `json:"mean"`
		Strength number `json:"strength"`
		SD       number `json:"strength_sd"`
		Beyond   bool   `json:"beyond_references"`
		Known    bool   `json:"reference"`
	}
	type jsonVariance struct {
		DF  number `json:"degrees"`
		Sum number `json:"sum_of_squares"`
		F   number `json:"f"`
		P   number `json:"p"`
	}
	type jsonTaster struct {
		Name   string `json:"name"`
		Mean   number `json:"mean"`
		Agrees number `json:"agrees"`
		P      number `json:"p"`
	}
	type jsonTasted struct {
		Ingredient string `json:"ingredient"`
		PerGram    number `json:"per_g"`
		SD         number `json:"panel_sd"`
		LotSD      number `json:"next_lot_sd"`
	}
	type jsonScale struct {
		Factor   number `json:"factor"`
		Exponent number `json:"exponent"`
		SD       number `json:"exponent_sd"`
		Least    number `json:"from"`
		Most     number `json:"to"`
	}
	type jsonSeems struct {
		Drink    string   `json:"drink"`
		Strength number   `json:"strength"`
		Score    number   `json:"mark"`
		Low      number   `json:"low"`
		High     number   `json:"high"`
		Beyond   bool     `json:"beyond_references"`
		Unknown  []string `json:"unknown_in,omitempty"`
	}
	out := struct {
		Schema    string                  `json:"schema"`
		Attribute string                  `json:"attribute"`
		Error     number                  `json:"standard_error"`
		Least     number                  `json:"least_significant_difference"`
		Samples   []jsonSample            `json:"samples"`
		Variance  map[string]jsonVariance `json:"variance"`
		Tasters   []jsonTaster            `json:"tasters"`
		Scale     *jsonScale              `json:"scale,omitempty"`
		Tasted    []jsonTasted            `json:"ingredients"`
		Seems     *jsonSeems              `json:"seems,omitempty"`
	}{Schema: "bittersum/panel/1", Attribute: r.Attribute, Error: number(r.Error), Least: number(r.Least), Variance: map[string]jsonVariance{}, Tasted: []jsonTasted{}}
	for n, s := range r.Samples {
		one := jsonSample{s.Name, number(r.Means[n]), number(r.Found[n].PerLitre), number(r.Found[n].SD), r.Found[n].Beyond, s.Strength > 0}
		if s.Strength > 0 {
			one.Strength, one.SD = number(s.Strength), 0
		}
		out.Samples = append(out.Samples, one)
	}
	for name, s := range map[string]regress.Source{"samples": r.Variance.First, "tasters": r.Variance.Second, "samples_by_tasters": r.Variance.Interaction, "cups": r.Variance.Error} {
		out.Variance[name] = jsonVariance{number(s.DF), number(s.Sum), number(s.F), number(s.P)}
	}
	for _, e := range r.Each {
		out.Tasters = append(out.Tasters, jsonTaster{e.Name, number(e.Mean), number(e.Agrees), number(e.P)})
	}
	if p := r.Power; p != nil {
		out.Scale = &jsonScale{number(p.Factor), number(p.Exponent), number(p.ExponentSD), number(p.Least), number(p.Most)}
	}
	for _, x := range tasted {
		out.Tasted = append(out.Tasted, jsonTasted{x.Ingredient, number(x.PerGram), number(x.PanelSD), number(x.LotSD)})
	}
	if seems != nil {
		out.Seems = &jsonSeems{seems.Drink, number(seems.Strength), number(seems.Score), number(seems.Low), number(seems.High), seems.Beyond, seems.Unknown}
	}
	return encode(w, out)
}

// WriteNoticed writes what kept answers say.
func WriteNoticed(w io.Writer, a *fit.Answered) {
	t := newTable("  ", "lday", "ltest", "rright", "lwhat", "lsays")
	for _, x := range a.Tests {
		says := "not shown to differ"
		switch {
		case x.Score.Different:
			says = "they differ"
		case x.Score.Alike:
			says = "alike enough"
		}
		what := strings.Trim(x.A+" / "+x.B, " /")
		if x.Attribute != "" {
			what = strings.TrimSpace(what + " " + x.Attribute + " " + plain(x.Base) + " to " + plain(x.Changed))
		}
		t.row(x.On, testName(x.Test), fmt.Sprintf("%d of %d", x.Right, x.Of), what, says)
	}
	t.write(w)
	fmt.Fprintln(w)
	if len(a.Found) > 0 {
		t := newTable("  ", "ljust noticed", "rhere", "l95 % hold it within", "rlibrary", "l")
		for n, x := range a.Found {
			note := ""
			if x.Misfit < 0.05 {
				note = "the tests do not fit together"
			}
			before := "unknown"
			if a.Before[n] > 0 {
				before = noticedValue(x, a.Before[n])
			}
			high := "no end"
			if !math.IsInf(x.High, 1) {
				high = noticedValue(x, x.High)
			}
			t.row(x.Attribute, noticedValue(x, x.JND), noticedValue(x, x.Low)+" to "+high, before, note)
		}
		t.write(w)
		fmt.Fprintf(w, "  %s\n\n", wrap("At this difference three in four find the stronger of two (76 %, d' 1).", width-2, "  "))
	}
	for _, text := range a.Untold {
		fmt.Fprintf(w, "  - %s\n", wrap(text, width-4, "    "))
	}
}

// noticedValue prints a difference as a share or in the attribute's unit.
func noticedValue(n sensory.Noticed, x float64) string {
	if n.Share {
		return percent(x)
	}
	return figures(x, 3)
}

// NoticedJSON writes the same as JSON.
func NoticedJSON(w io.Writer, a *fit.Answered) error {
	type jsonNoticed struct {
		Attribute string `json:"attribute"`
		Share     bool   `json:"share"`
		JND       number `json:"jnd"`
		Low       number `json:"low"`
		High      number `json:"high"`
		Tests     int    `json:"tests"`
		Answers   int    `json:"answers"`
		Misfit    number `json:"misfit_by_chance"`
	}
	type jsonTest struct {
		Test      string `json:"test"`
		On        string `json:"on,omitempty"`
		Right     int    `json:"right"`
		Of        int    `json:"of"`
		P         number `json:"p"`
		D         number `json:"d_prime"`
		Different bool   `json:"different"`
		Alike     bool   `json:"alike"`
	}
	out := struct {
		Schema string        `json:"schema"`
		Tests  []jsonTest    `json:"tests"`
		Found  []jsonNoticed `json:"just_noticed"`
		Untold []string      `json:"untold,omitempty"`
	}{Schema: "bittersum/noticed/1", Tests: []jsonTest{}, Found: []jsonNoticed{}, Untold: a.Untold}
	for _, x := range a.Tests {
		out.Tests = append(out.Tests, jsonTest{string(x.Test), x.On, x.Right, x.Of, number(x.Score.P), number(x.Score.Difference), x.Score.Different, x.Score.Alike})
	}
	for _, n := range a.Found {
		out.Found = append(out.Found, jsonNoticed{n.Attribute, n.Share, number(n.JND), number(n.Low), number(n.High), n.Tests, n.Answers, number(n.Misfit)})
	}
	return encode(w, out)
}
