package report

import (
	"fmt"
	"io"
	"math"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/chem"
)

// readingName is how a reading is called in text.
func readingName(name string) string {
	switch brief.Reading(name) {
	case brief.PH:
		return "pH"
	case brief.Brix:
		return "°Bx"
	}
	return name
}

// readingValue prints a reading at the last place an instrument shows.
func readingValue(r brief.Reading, x float64) string {
	if math.IsNaN(x) {
		return "unknown"
	}
	switch r {
	case brief.PH:
		return fixed(x, 2)
	case brief.Brix:
		return fixed(x, 1) + " °Bx"
	}
	return fixed(x, 4) + " kg/L"
}

// instruments prints what instruments will show of the drink, and of its syrup beside it.
func instruments(w io.Writer, a *assess.Assessment, extent Extent) {
	if a.Served == nil {
		return
	}
	if extent == Short {
		readingsInALine(w, a)
		return
	}
	fmt.Fprintln(w, "What instruments will show, predicted (measure it all the same):")
	t := newTable("  ", "l", ".drink", "l")
	liquids := []*assess.Prediction{a.Served}
	if a.Syrup != nil {
		t = newTable("  ", "l", ".as served", ".syrup", "l")
		liquids = append(liquids, a.Syrup)
	}
	row := func(name, note string, shown func(*assess.Prediction) string) {
		cells := []string{name}
		for _, p := range liquids {
			cells = append(cells, shown(p))
		}
		t.row(append(cells, note)...)
	}
	row("pH", "at 25 °C", predictedPH)
	if c := a.Served.At.Celsius; !math.IsNaN(c) {
		row("pH", "at "+plain(c)+" °C", func(p *assess.Prediction) string {
			switch {
			case math.IsNaN(p.At.PH):
				return "unknown"
			case math.IsNaN(p.At.HighestPH):
				return decimals(p.At.PH, 2) + " or more"
			}
			return p.At.PHText()
		})
	}
	row("titratable acidity", fmt.Sprintf("g/L %s acid, to pH %s", a.Job.Titration.As, plain(a.Job.Titration.EndPoint)),
		func(p *assess.Prediction) string { return decimals(p.Acidity, 2) })
	row("buffer capacity", "mmol/L alkali for one pH", func(p *assess.Prediction) string { return decimals(p.Buffer, 1) })
	row("refractometer", "°Bx", func(p *assess.Prediction) string { return decimals(p.Brix, 1) })
	row("density", "kg/L at 20 °C", func(p *assess.Prediction) string { return decimals(p.Density, 4) })
	row("specific gravity", "20/20 °C", func(p *assess.Prediction) string { return decimals(p.Gravity, 4) })
	row("viscosity", "mPa s at 20 °C, as of sugar; gum arabic counted", func(p *assess.Prediction) string { return decimals(p.Viscosity, 2) })
	if !math.IsNaN(a.Served.ServedViscosity) {
		row("", fmt.Sprintf("at %s °C, as served", plain(a.Job.ServingC)), func(p *assess.Prediction) string {
			if math.IsNaN(p.ServedViscosity) {
				return ""
			}
			return decimals(p.ServedViscosity, 2)
		})
	}
	t.write(w)
	if c := a.Carbonation; c != nil && !math.IsNaN(c.Grams) {
		text := fmt.Sprintf("Carbon dioxide %s g/L, %s volumes. Pressure in a closed bottle of it, closed with %s of air at %s °C, bar over the atmosphere:", trimmed(c.Grams, 3), figures(c.Volumes, 3), percent(c.Headspace), plain(c.FilledC))
		for n, p := range c.Pressures {
			if n > 0 {
				text += ","
			}
			text += fmt.Sprintf(" %s at %s °C %s", fixed(p.Gauge, 1), plain(p.Celsius), p.When)
		}
		fmt.Fprintf(w, "  %s\n", wrap(text+".", width-2, "  "))
	}
	keeping(w, a)
	tastes(w, a)
	fmt.Fprintln(w)
}

func decimals(x float64, n int) string {
	if math.IsNaN(x) {
		return "unknown"
	}
	return fixed(x, n)
}

func predictedPH(p *assess.Prediction) string {
	switch {
	case math.IsNaN(p.PH):
		return "unknown"
	case math.IsNaN(p.HighestPH):
		return decimals(p.PH, 2) + " or more"
	case p.Estimate:
		return p.PHText() + " rough"
	}
	return p.PHText()
}

// readingsInALine says what instruments will show without a table.
func readingsInALine(w io.Writer, a *assess.Assessment) {
	shown := func(p *assess.Prediction) string {
		return fmt.Sprintf("pH %s, acidity %s g/L as %s acid, %s °Bx, %s kg/L", predictedPH(p), decimals(p.Acidity, 2), a.Job.Titration.As, decimals(p.Brix, 1), decimals(p.Density, 4))
	}
	text := "Instruments will show, predicted (measure it all the same): " + shown(a.Served)
	if a.Syrup != nil {
		text += "; of the syrup " + shown(a.Syrup)
	}
	if c := a.Carbonation; c != nil && !math.IsNaN(c.Grams) {
		for n, p := range c.Pressures {
			text += []string{"; in the bottle ", ", "}[min(n, 1)] + fixed(p.Gauge, 1) + " bar at " + plain(p.Celsius) + " °C"
		}
	}
	fmt.Fprintf(w, "%s\n\n", wrap(text+".", width, "  "))
}

// keeping prints what there is to say of spoilage.
func keeping(w io.Writer, a *assess.Assessment) {
	p := a.Preservation
	if p == nil {
		return
	}
	if !math.IsNaN(p.PH) {
		side := "below"
		if p.PH > p.Limit {
			side = "ABOVE"
		}
		fmt.Fprintf(w, "  %s\n", wrap(fmt.Sprintf("Keeping: pH %s, the highest it may have, is %s %s pH %s, the end of acid food [%s].",
			fixed(p.PH, 2), fixed(math.Abs(p.Limit-p.PH), 2), side, plain(p.Limit), p.Source), width-2, "  "))
	}
	for _, k := range p.Preservatives {
		text := fmt.Sprintf("%s: %s mg/L as the acid", k.Name, figures(k.Total, 3))
		if !math.IsNaN(k.Share) {
			text += fmt.Sprintf(", %s of it undissociated: %s mg/L preserve", percent(k.Share), figures(k.Active, 3))
		}
		for _, c := range k.Caps {
			text += fmt.Sprintf("; cap %s %s, %s", plain(c.Max), c.Unit(), c.Market.Name)
		}
		fmt.Fprintf(w, "  %s\n", wrap(text+".", width-2, "  "))
	}
}

// tastes prints how strong tastes may seem.
func tastes(w io.Writer, a *assess.Assessment) {
	if len(a.Tastes) == 0 {
		return
	}
	against := map[string]string{"bitterness": "the just bitter", "sweetness": "sugar at", brief.Acidity: "citric acid at"}
	text := "May seem, each taste alone:"
	for n, t := range a.Tastes {
		if n > 0 {
			text += ";"
		}
		text += fmt.Sprintf(" %s times as %s as %s %s %s", figures(t.Intensity.Value, 2), t.Quality, against[t.Attribute], plain(t.Reference), t.Unit)
		if t.Intensity.Low != t.Intensity.High {
			text += fmt.Sprintf(" (%s to %s)", figures(t.Intensity.Low, 2), figures(t.Intensity.High, 2))
		}
	}
	fmt.Fprintf(w, "  %s\n", wrap(text+". Not optimised: "+chem.TasteLimits+".", width-2, "  "))
}
