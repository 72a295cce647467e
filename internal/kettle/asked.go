package kettle

import (
	"fmt"
	"math"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"
)

// asked is one thing that the brief asks of the drink.
type asked struct {
	// key names it in the worked-out values, name and unit for people.
	key, name, unit string
	brief.Range
	value   float64
	verdict assess.Verdict
	// measure is the measurement that outranks the worked-out value, empty when there is none; per is what
	// its value is multiplied by to be in the unit of the brief.
	measure string
	per     float64
}

// Judged is one thing that the brief asks for, as it was found.
type Judged struct {
	Name, Unit string
	brief.Range
	// Worked is the value worked out of what was weighed and Measured what was measured, each NaN when there
	// is none.
	Worked, Measured float64
	Class            Class
}

// list returns what the brief asks for beside what an assessment finds.
func list(a *assess.Assessment) []asked {
	var all []asked
	// What is read in the kettle is the drink's only when nothing is added to it.
	drink := func(measure string) string {
		if a.Job.Throw > 0 {
			return ""
		}
		return measure
	}
	for _, v := range a.Attributes {
		if v.Verdict == assess.NoRange {
			continue
		}
		q := asked{"a " + v.Name, v.Name, v.Unit + "/" + perWord(v.Per), v.Target.Range, v.Value, v.Verdict, v.Name, 1}
		switch v.Name {
		case brief.Acidity:
			q.measure = drink(MeasureAcidity)
		case brief.Alcohol:
			q.measure, q.per = drink(MeasureAlcohol), brief.EthanolPerPercent
		}
		all = append(all, q)
	}
	for _, r := range a.Readings {
		if r.Verdict == assess.NoRange {
			continue
		}
		measure := map[brief.Reading]string{brief.PH: MeasurePH, brief.Brix: MeasureBrix, brief.Density: MeasureDensity}[r.Reading]
		all = append(all, asked{"r " + string(r.Reading), string(r.Reading), r.Unit(), r.Range, r.Value, r.Verdict, drink(measure), 1})
	}
	for _, q := range a.Ratios {
		all = append(all, asked{key: "q " + q.Name, name: "ratio " + q.Name, Range: q.Range, value: q.Value, verdict: q.Verdict})
	}
	for _, u := range a.Uses {
		all = append(all, asked{key: "u " + u.Name, name: "use of " + u.Name, unit: "g/L", Range: u.Range, value: u.Value, verdict: u.Verdict})
	}
	return all
}

func perWord(per profile.Per) string {
	return map[profile.Per]string{profile.PerLitre: "L", profile.PerKilogram: "kg", profile.Per100g: "100 g"}[per]
}

// asks judges everything that the brief asks for: by a measurement where there is one, else by what was
// weighed, which is as good as the scales' divisions.
func (m *Made) asks() {
	var off map[string]float64
	for _, q := range list(m.Standing) {
		x, measured := m.value(q.measure)
		j := Judged{Name: q.name, Unit: q.unit, Range: q.Range, Worked: q.value, Measured: x.Value * q.per}
		switch {
		case measured:
			j.Class = m.beside(q, j.Measured, m.Job.Instrument(q.measure).Off(x.Value)*q.per, wasMeasured)
		case q.verdict == assess.Unpredicted:
			j.Class = Missed
			m.found(Missed, fmt.Sprintf("%s cannot be worked out and was not measured; the brief asks for %s", q.name, span(q.Range)), "measure it")
		case q.verdict != assess.Met:
			if off == nil {
				off = effects(m.Standing, m.division)
			}
			j.Class = m.beside(q, q.value, off[q.key], "follows from what was weighed as")
		}
		m.Asked = append(m.Asked, j)
	}
}

const wasMeasured = "was measured at"

// beside holds a value that may be off by e against its range, and returns how it stands.
func (m *Made) beside(q asked, value, e float64, how string) Class {
	slack := math.Max(1e-9, 1e-9*math.Abs(value))
	side, limit, by := "", 0.0, 0.0
	switch {
	case value < q.Min-slack:
		side, limit, by = "least", q.Min, q.Min-value
	case value > q.Max+slack:
		side, limit, by = "most", q.Max, value-q.Max
	default:
		return Noted
	}
	text := strings.TrimSpace(fmt.Sprintf("%s %s %s %s", q.name, how, figure(value), q.unit))
	text += fmt.Sprintf("; the brief asks for at %s %s", side, figure(limit))
	if by <= e+slack {
		m.found(Near, fmt.Sprintf("%s: %s off, and the error is %s", text, figure(by), figure(e)), "")
		return Near
	}
	much := "too little"
	if side == "most" {
		much = "too much"
	}
	m.found(Missed, strings.TrimSpace(fmt.Sprintf("%s: %s %s %s", text, figure(by), q.unit, much)), m.remedy(q, value, side == "least", by, how))
	return Missed
}

// division is the smallest step with which a part was weighed.
func (m *Made) division(p brief.Part) float64 {
	for _, l := range m.Lines {
		if l.Source == p.Source && l.DivisionG > 0 {
			return l.DivisionG
		}
	}
	scales := m.Job.ScalesFor(p.Source.Ingredient.Name)
	for _, s := range scales {
		if s.ToG >= p.Amount {
			return s.DivisionG
		}
	}
	return scales[len(scales)-1].DivisionG
}

// remedy says what can be done about a measurement of what is in the kettle, or is empty: nothing can be
// taken out again, and what follows from what was weighed has its own correction.
func (m *Made) remedy(q asked, value float64, low bool, by float64, how string) string {
	litres := m.litres()
	if how != wasMeasured {
		return ""
	}
	if !low {
		if value > mostGrown*q.Max || q.key[0] != 'a' && q.name != string(brief.Brix) || m.Job.Throw > 0 {
			return ""
		}
		return fmt.Sprintf("about %s kg of water would bring it down, and all else with it", figure(litres*(value/q.Max-1)))
	}
	attribute := q.name
	if attribute == string(brief.Brix) {
		attribute, by = brief.Solids, by*10
	}
	var best *brief.Source
	richest := 0.0
	for _, s := range m.Job.Sources {
		if c := s.Expected(attribute); s.Ingredient.Pure && c > richest && m.usable(s) {
			best, richest = s, c
		}
	}
	if attribute == brief.Solids {
		best, richest = m.sugar()
	}
	if best == nil {
		return ""
	}
	return fmt.Sprintf("about %s of %s would bring it up", weight(by*litres/richest), best.Name)
}

// sugar is the sugar in use, for dissolved solids without taste of their own.
func (m *Made) sugar() (*brief.Source, float64) {
	for _, s := range m.Job.Sources {
		if s.Ingredient.Kind == "sugar" && m.usable(s) {
			return s, s.Expected(brief.Solids)
		}
	}
	return nil, 0
}

func (m *Made) usable(s *brief.Source) bool { return s.Lot == nil || s.Lot.WhyNot(m.Day()) == "" }

// litres is what is in the kettle: measured, or else worked out.
func (m *Made) litres() float64 {
	if x, ok := m.value(MeasureLitres); ok {
		return x.Value
	}
	return m.Standing.Recovered
}

func weight(grams float64) string {
	if grams >= 1000 {
		return figure(grams/1000) + " kg"
	}
	return figure(grams) + " g"
}

// figure prints a value for people: three digits, more where a value is large.
func figure(x float64) string {
	if a := math.Abs(x); a >= 1000 {
		return fmt.Sprintf("%.0f", x)
	}
	return fmt.Sprintf("%.3g", x)
}

func span(r brief.Range) string {
	switch {
	case math.IsInf(r.Min, -1):
		return "at most " + figure(r.Max)
	case math.IsInf(r.Max, 1):
		return "at least " + figure(r.Min)
	}
	return figure(r.Min) + " to " + figure(r.Max)
}
