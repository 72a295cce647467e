package report

import (
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/chance"
	"bittersum/internal/profile"
	"bittersum/internal/study"
)

// Stress writes how sure a recipe is when lots vary.
func Stress(w io.Writer, s *study.Stressed, extent Extent) {
	a := s.Assessment
	title(w, a.Job)
	what := "How sure this recipe is when every lot is another one: "
	if s.Batch != "" {
		what = "How sure batch " + s.Batch + " is, as far as its lots are known: "
	}
	fmt.Fprintf(w, "%s\n\n", wrap(what+costLine(a), width, "  "))
	capChances(w, s)
	targetChances(w, s)
	if len(s.Left) > 0 {
		fmt.Fprintf(w, "%s\n\n", wrap("Counted as certain here: "+strings.Join(s.Left, ", ")+".", width, "  "))
	}
	costSpread(w, s)
	saleable(w, s)
	recipe(w, a)
	assumptions(w, s)
	cautions(w, a, extent)
}

func capChances(w io.Writer, s *study.Stressed) {
	if len(s.Caps) == 0 {
		return
	}
	fmt.Fprintln(w, "Caps in the drink as served, as lots vary:")
	t := newTable("  ", "lsubstance", ".expected", ".5 % to 95 %", "rcap", "rbroken in", "lmostly from")
	for _, c := range s.Caps {
		broken := chanceText(c.Broken)
		if len(c.Accepted) > 0 {
			broken = "unknown"
		} else if c.Cap.Expected == 0 && c.Broken.Chance == 0 {
			continue // not in this recipe
		}
		t.row(c.Substance+", "+c.Market.Name, figures(c.Spread.Expected, 3), figures(c.Low, 3)+" to "+figures(c.High, 3), plain(c.Max)+" "+c.Unit(), broken, mostly(c.Spread))
	}
	if len(t.rows) == 0 {
		t.row("none of them is in this recipe")
	}
	t.write(w)
	for _, m := range s.Markets {
		fmt.Fprintf(w, "  %s\n", wrap(fmt.Sprintf("Any cap of %s: %s", m.Market.Title, between(m.AtLeast, m.AtMost)+asDrawn(m)+besides(m.Unknown)), width-2, "  "))
	}
	fmt.Fprintln(w)
	judgedBy(w, s.Assessment.Job)
}

func targetChances(w io.Writer, s *study.Stressed) {
	t := newTable("  ", "ltarget", ".5 % to 95 %", "rasked", "rbelow", "rabove", "lmostly from")
	for _, v := range s.Targets {
		below, above := "", ""
		if !math.IsInf(v.Min, -1) {
			below = chanceText(v.Below)
		}
		if !math.IsInf(v.Max, 1) {
			above = chanceText(v.Above)
		}
		name := readingName(v.Name)
		if v.Unit != "" {
			name += ", " + v.Unit
		}
		t.row(name, figures(v.Low, 3)+" to "+figures(v.High, 3), span(v.Min, v.Max), below, above, mostly(v.Spread))
	}
	if len(t.rows) == 0 {
		return
	}
	fmt.Fprintln(w, "What the brief asks for, and how often a batch would miss it unless it is measured\nand corrected:")
	t.write(w)
	fmt.Fprintln(w)
}

// mostly names the source that makes up the most of an outcome's variance.
func mostly(s study.Spread) string {
	if len(s.Shares) == 0 || s.Shares[0].Total < 0.01 {
		return ""
	}
	if s.Shares[0].Total > 0.995 {
		return s.Shares[0].Source
	}
	return s.Shares[0].Source + " " + percent(s.Shares[0].Total)
}

// leastTold is the smallest chance worth telling: below it the shape of the tail is anyone's guess.
const leastTold = 1e-6

// chanceText says a chance as a maker would: in percent, or once in so many batches.
func chanceText(e chance.Estimate) string {
	switch {
	case e.AtMost == 0:
		return "none"
	case e.Chance < leastTold:
		return "< 1 in a million"
	}
	return oftenText(e.Chance)
}

func oftenText(p float64) string {
	switch {
	case p > 0.9995:
		return "nearly all"
	case p >= 0.01:
		return percent(p)
	}
	once := 1 / p
	digits := math.Pow(10, math.Floor(math.Log10(once))-1)
	return "1 in " + grouped(math.Round(once/digits)*digits)
}

// grouped prints a whole number with a space between thousands.
func grouped(x float64) string {
	digits := fixed(x, 0)
	for n := len(digits) - 3; n > 0; n -= 3 {
		digits = digits[:n] + " " + digits[n:]
	}
	return digits
}

// between says the bounds of a chance.
func between(least, most float64) string {
	switch {
	case most == 0:
		return "none can be broken"
	case most < leastTold:
		return "under 1 batch in a million"
	case least < leastTold:
		return "at most " + oftenText(most) + " of batches"
	case oftenText(least) == oftenText(most):
		return oftenText(most) + " of batches"
	}
	return oftenText(least) + " to " + oftenText(most) + " of batches"
}

// asDrawn says the chance as drawn, where its bounds leave it open.
func asDrawn(m study.MarketChance) string {
	if m.AtMost < leastTold || oftenText(m.AtLeast) == oftenText(m.AtMost) {
		return ""
	}
	if m.Drawn.Chance == 0 {
		return "; as drawn under " + oftenText(m.Drawn.AtMost)
	}
	return "; " + oftenText(m.Drawn.Chance) + " as drawn"
}

// besides names the caps that no chance covers.
func besides(unknown []string) string {
	if len(unknown) == 0 {
		return ""
	}
	return "; unknown besides: " + strings.Join(unknown, ", ")
}

// costSpread says how the cost of a litre varies, or that it does not.
func costSpread(w io.Writer, s *study.Stressed) {
	a, c := s.Assessment, s.Cost
	if !c.Varies {
		fmt.Fprintf(w, "%s\n\n", wrap(fmt.Sprintf("The cost does not vary with lots as weighed: %s %s a litre. The brief gives no spread of a loss or a price.", figures(a.Cost.PerLitre, 4), a.Job.Currency), width, "  "))
		return
	}
	fmt.Fprintf(w, "What a litre costs as losses and prices vary, in %s:\n", a.Job.Currency)
	t := newTable("  ", ".expected", ".5 %", ".50 %", ".95 %", "lmostly from")
	t.row(figures(c.Expected, 4), figures(c.Low, 4), figures(c.Middle, 4), figures(c.High, 4), mostly(c.Spread))
	t.write(w)
	fmt.Fprintf(w, "  %s\n\n", wrap("Weighing (0.5 %) is counted in. Prices and losses without a spread of their own, trimming and labour count as certain.", width-2, "  "))
}

func saleable(w io.Writer, s *study.Stressed) {
	a := s.Assessment
	text := fmt.Sprintf("A litre that can be sold costs %s %s when every batch that breaks a cap is thrown away", figures(s.Saleable[0], 4), a.Job.Currency)
	switch {
	case math.IsInf(s.Saleable[1], 1):
		text = "When every batch that breaks a cap is thrown away, there may be nothing left to sell"
	case figures(s.Saleable[0], 4) != figures(s.Saleable[1], 4):
		text = fmt.Sprintf("A litre that can be sold costs %s to %s %s when every batch that breaks a cap is thrown away", figures(s.Saleable[0], 4), figures(s.Saleable[1], 4), a.Job.Currency)
	}
	for _, m := range s.Markets {
		if len(m.Unknown) > 0 {
			text += "; what is unknown is not counted in"
			break
		}
	}
	fmt.Fprintf(w, "%s\n\n", wrap(text+".", width, "  "))
}

func assumptions(w io.Writer, s *study.Stressed) {
	fmt.Fprintln(w, "What this rests on:")
	say := func(text string) { fmt.Fprintf(w, "  - %s\n", wrap(text, width-4, "    ")) }
	say("Contents are lognormal about their expected value unless their profile says otherwise, one source independent of the other; a kettle's recoveries (10 %) and weighing (0.5 %) vary too. The range for any cap holds whatever goes together.")
	goTogether(say, s.Assessment)
	assumedVariation(say, s.Assumed, s.Options.Assumed)
	for _, u := range s.Unknown {
		say(fmt.Sprintf("No chance covers %s in %s, which is unknown and was accepted.", u.Substance, u.Ingredient))
	}
	say("A cap is judged at the brief's assurance for each lot by itself; these chances are no permission to exceed it.")
	fmt.Fprintln(w)
}

// assumedVariation says of which sources the variation is assumed.
func assumedVariation(say func(string), sources []string, assumed float64) {
	if len(sources) > 0 {
		say(fmt.Sprintf("No deviation between lots is known for contents of %s: %s is assumed (practice), 10 %% where a lot's certificate states no error. A certificate of each lot makes this surer.", strings.Join(sources, ", "), percent(assumed)))
	}
}

// goTogether says which contents of one source vary together.
func goTogether(say func(string), a *assess.Assessment) {
	for _, p := range a.Recipe.Parts {
		if c := p.Source.Correlations(); c != nil && p.Amount > 0 {
			by := "profile"
			if c != p.Source.Ingredient.Correlations {
				by = "lot"
			}
			say(fmt.Sprintf("Contents of %s go together from lot to lot as its %s says: %s.", p.Source.Name, by, correlations(c)))
		}
	}
}

// correlations lists how contents go together, with where that is known from.
func correlations(c *profile.Correlations) string {
	var parts []string
	for _, a := range slices.Sorted(maps.Keys(c.Of)) {
		for _, b := range slices.Sorted(maps.Keys(c.Of[a])) {
			parts = append(parts, fmt.Sprintf("%s and %s %s", a, b, plain(c.Of[a][b])))
		}
	}
	return strings.Join(parts, ", ") + " (" + string(c.Basis) + ")"
}
