package kettle

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/chem"
)

// Hold is a point at which work stops until something is written down.
type Hold struct {
	// After names the step it follows.
	After string
	// Ask is what has to be so before work goes on.
	Ask string
	// Measure is the name that the record has the value under, empty for a signature; Unit its unit.
	Measure, Unit string
	// Expect is the value expected, NaN when there is none; Least and Most bound what is let pass, and
	// are infinite where nothing is asked.
	Expect, Least, Most float64
	// From says what asks for it: practice, the brief, or a rule.
	From string
}

// Measures that a record may hold, besides attributes.
const (
	MeasureBrix    = brief.MeasureBrix
	MeasurePH      = brief.MeasurePH
	MeasureAcidity = brief.MeasureAcidity
	MeasureDensity = brief.MeasureDensity
	MeasureAlcohol = brief.MeasureAlcohol
	MeasureLitres  = brief.MeasureLitres
	MeasureMarc    = brief.MeasureMarc
	MeasureBottles = brief.MeasureBottles
)

func (p *Plan) holds() {
	nan, inf := math.NaN(), math.Inf(1)
	final := p.Steps[len(p.Steps)-2].Expect
	p.before()
	for _, l := range p.Lines {
		if substance := p.restricted(l.Source); substance != "" && (l.Source.Ingredient.Kind == "alkaloid" || leastHeadRoom(p.Assessment, substance) < 0.5) {
			p.Holds = append(p.Holds, Hold{After: "Weigh", Ask: fmt.Sprintf("A second person reads the scale: %s, which carries %s.", l.Source.Name, substance),
				Expect: nan, Least: -inf, Most: inf, From: "practice"})
		}
	}
	add := func(after, ask, measure, unit string, expect, least, most float64, from string) {
		p.Holds = append(p.Holds, Hold{after, ask, measure, unit, expect, least, most, from})
	}
	strained := p.Steps[len(p.Steps)-2].Name
	if p.Yield.MarcKg > 0 {
		add(strained, "No particle of plant in the liquor, against the light.", "", "", nan, -inf, inf, "practice")
		add(strained, "Weight of the spent plants, pressed.", MeasureMarc, "kg", p.Yield.MarcKg, -inf, inf, "practice")
	}
	add(strained, "Litres in the kettle.", MeasureLitres, "L", p.Yield.Litres, -inf, inf, "practice")
	// What the brief asks of the drink as served can be read in the kettle only when nothing is added to it.
	asked := func(r brief.Range) (least, most float64, from string) {
		if r == brief.Unbounded() || p.Job.Throw > 0 {
			return -inf, inf, "practice"
		}
		return r.Min, r.Max, "brief"
	}
	if final.Alcohol > 0 {
		least, most, from := asked(brief.Range{Min: p.Job.Target(brief.Alcohol).Min / brief.EthanolPerPercent, Max: p.Job.Target(brief.Alcohol).Max / brief.EthanolPerPercent})
		add(strained, "Strength, % by volume at 20 °C, by distillation or a meter: sugar misleads a hydrometer. Expected by mass, with the contraction of alcohol and water (OIML R 22).", MeasureAlcohol, "%", final.Alcohol, least, most, from)
		least, most, from = asked(p.Job.ReadingTarget(brief.Density).Range)
		add(strained, "Density at 20 °C.", MeasureDensity, "kg/L", final.Density, least, most, from)
	} else {
		least, most, from := asked(p.Job.ReadingTarget(brief.Brix).Range)
		add(strained, "°Bx, degassed, at 20 °C.", MeasureBrix, "°Bx", final.Brix, least, most, from)
	}
	least, most, from := asked(p.Job.Target(brief.Acidity).Range)
	add(strained, "Titratable acidity.", MeasureAcidity, "g/L", final.Acidity, least, most, from)
	least, most, from = asked(p.Job.ReadingTarget(brief.PH).Range)
	rule := "21 CFR 114.3(a), (d), text seen"
	if from == "brief" {
		rule = "brief; " + rule
	}
	add(strained, "pH. Above 4.6: stop, and ask a process authority.", MeasurePH, "", final.PH, least, math.Min(most, chem.AcidFoodPH), rule)
	if len(p.Job.Heat) > 0 {
		add("Fill", "Temperatures in the coldest bottle and minutes of the heat, from the thermometer.", "", "", nan, -inf, inf, "brief")
	}
	if p.Job.BottleML > 0 {
		bears := "Bottles filled, each with lot code " + p.Options.Number
		if day := p.Job.BestBefore(p.Job.Day); !day.IsZero() {
			bears += " and best before " + day.Format(time.DateOnly) + " (if made on " + p.Job.Day.Format(time.DateOnly) + ")."
		} else {
			bears += " and its best-before day."
		}
		add("Fill", bears, MeasureBottles, "", float64(p.Yield.Bottles), -inf, inf, "practice")
	}
	seen := map[string]bool{}
	for _, c := range p.Assessment.Caps {
		if len(c.Sum) == 0 && c.Guarded > 0 && c.HeadRoom < 0.5 && !seen[c.Substance] {
			seen[c.Substance] = true
			add("Release", fmt.Sprintf("Laboratory result for %s in the finished drink.", c.Substance), c.Substance, c.Unit(), c.Expected, -inf, c.Max, c.Market.Name+": "+c.Citation+", text "+c.Text)
		}
	}
}

// before are the checks before anything is weighed.
func (p *Plan) before() {
	clean := "Kettle, hoses and filler are clean and rinsed, and the last drink is written down here."
	if all := p.Allergens(); len(all) > 0 {
		clean += " This batch brings " + strings.Join(all, ", ") + ": clean again before a drink without."
	}
	p.Holds = append(p.Holds, Hold{After: "Before", Ask: clean, Expect: math.NaN(), Least: math.Inf(-1), Most: math.Inf(1), From: "practice"})
}

// Allergens names what of the batch's ingredients has to be declared as allergenic.
func (p *Plan) Allergens() []string {
	var all []string
	for _, l := range p.Lines {
		for _, allergen := range l.Source.Ingredient.Allergens {
			if !slices.Contains(all, allergen) {
				all = append(all, allergen)
			}
		}
	}
	return all
}

// restricted names a capped substance that the source carries, or is empty.
func (p *Plan) restricted(s *brief.Source) string {
	for _, c := range p.Job.Caps {
		if p.Job.GuardedBy(s, c.Cap) > 0 {
			return c.Substance
		}
	}
	return ""
}

func leastHeadRoom(a *assess.Assessment, substance string) float64 {
	room := 1.0
	for _, c := range a.Caps {
		if c.Substance == substance {
			room = math.Min(room, c.HeadRoom)
		}
	}
	return room
}
