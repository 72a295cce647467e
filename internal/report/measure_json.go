package report

import (
	"math"

	"bittersum/internal/assess"
	"bittersum/internal/chem"
)

type jsonReading struct {
	Name    string    `json:"name"`
	Value   number    `json:"value"`
	Unit    string    `json:"unit,omitempty"`
	Target  jsonRange `json:"target"`
	Verdict string    `json:"verdict,omitempty"`
}

type jsonPrediction struct {
	PH            number   `json:"ph_25_c"`
	HighestPH     number   `json:"highest_ph_25_c"`
	Served        *jsonPH  `json:"ph_as_served,omitempty"`
	Estimate      bool     `json:"ph_is_rough,omitempty"`
	Acidity       number   `json:"titratable_acidity_g_per_l"`
	AcidityAs     string   `json:"titratable_acidity_as"`
	EndPoint      number   `json:"titratable_acidity_end_point_ph"`
	Buffer        number   `json:"buffer_capacity_mmol_per_l_per_ph"`
	IonicStrength number   `json:"ionic_strength_mol_per_l"`
	Brix          number   `json:"refractometer_bx"`
	Solids        number   `json:"dissolved_solids_percent"`
	Density       number   `json:"density_20_c_kg_per_l"`
	Gravity       number   `json:"specific_gravity_20_20"`
	Viscosity     number   `json:"viscosity_20_c_mpa_s"`
	AsServed      number   `json:"viscosity_served_mpa_s"`
	Undeclared    []string `json:"acids_unknown_in,omitempty"`
	Silent        []string `json:"ions_unknown_in,omitempty"`
}

type jsonPH struct {
	Celsius number `json:"celsius"`
	PH      number `json:"ph"`
	Highest number `json:"highest_ph"`
}

type jsonPressure struct {
	When    string `json:"when"`
	Celsius number `json:"celsius"`
	Gauge   number `json:"gauge_bar"`
}

type jsonCarbonation struct {
	Grams     number         `json:"carbon_dioxide_g_per_l"`
	Volumes   number         `json:"volumes"`
	Pressures []jsonPressure `json:"pressures"`
	Headspace number         `json:"headspace_share"`
	ClosedAt  number         `json:"closed_at_celsius"`
	Soda      number         `json:"soda_g_per_l,omitempty"`
	Full      bool           `json:"bursts_when_warm,omitempty"`
}

type jsonPreservative struct {
	Name   string   `json:"name"`
	Total  number   `json:"mg_per_l_as_acid"`
	Share  number   `json:"undissociated_share"`
	Active number   `json:"undissociated_mg_per_l"`
	Caps   []string `json:"capped_in,omitempty"`
}

type jsonFermentation struct {
	Sugars    number   `json:"sugars_g_per_l"`
	Fermented number   `json:"fermented_g_per_l"`
	Gauge     number   `json:"gauge_bar_25_c"`
	Between   []string `json:"stands_between"`
	Units60   number   `json:"heat_units_60_c_z_7"`
	Units80   number   `json:"heat_units_80_c_z_10"`
}

type jsonPreservation struct {
	PH            number             `json:"ph"`
	Limit         number             `json:"acid_food_ph"`
	Source        string             `json:"source"`
	Preservatives []jsonPreservative `json:"preservatives"`
	Benzene       bool               `json:"benzoate_with_ascorbic_acid"`
}

type jsonTaste struct {
	Name      string `json:"name"`
	Quality   string `json:"quality"`
	Amount    number `json:"amount"`
	Reference number `json:"reference"`
	Unit      string `json:"unit"`
	Intensity number `json:"times_the_reference"`
	Low       number `json:"low"`
	High      number `json:"high"`
	Exponent  number `json:"exponent"`
	Basis     string `json:"basis"`
	Source    string `json:"source"`
	Limits    string `json:"limits"`
}

// jsonMeasured is what is predicted of a drink; all of it is absent for a blend.
type jsonMeasured struct {
	Throw        number            `json:"throw_parts_of_soda,omitempty"`
	Readings     []jsonReading     `json:"readings,omitempty"`
	Served       *jsonPrediction   `json:"served,omitempty"`
	Syrup        *jsonPrediction   `json:"syrup,omitempty"`
	Carbonation  *jsonCarbonation  `json:"carbonation,omitempty"`
	Preservation *jsonPreservation `json:"preservation,omitempty"`
	Fermentation *jsonFermentation `json:"fermentation,omitempty"`
	Tastes       []jsonTaste       `json:"tastes,omitempty"`
}

func measuredJSON(a *assess.Assessment) jsonMeasured {
	out := jsonMeasured{Throw: number(a.Job.Throw), Served: predictionJSON(a, a.Served), Syrup: predictionJSON(a, a.Syrup)}
	for _, r := range a.Readings {
		out.Readings = append(out.Readings, jsonReading{string(r.Reading), number(r.Value), r.Unit(), jsonRange{number(r.Min), number(r.Max)}, string(r.Verdict)})
	}
	if c := a.Carbonation; c != nil {
		out.Carbonation = &jsonCarbonation{Grams: number(c.Grams), Volumes: number(c.Volumes), Pressures: []jsonPressure{}, Headspace: number(c.Headspace), ClosedAt: number(c.FilledC), Soda: number(c.SodaGrams), Full: c.Full}
		for _, p := range c.Pressures {
			out.Carbonation.Pressures = append(out.Carbonation.Pressures, jsonPressure{p.When, number(p.Celsius), number(p.Gauge)})
		}
	}
	if p := a.Preservation; p != nil {
		out.Preservation = &jsonPreservation{number(p.PH), number(p.Limit), p.Source, []jsonPreservative{}, p.Benzene}
		for _, k := range p.Preservatives {
			kept := jsonPreservative{Name: k.Name, Total: number(k.Total), Share: number(k.Share), Active: number(k.Active)}
			for _, c := range k.Caps {
				kept.Caps = append(kept.Caps, c.Market.Name)
			}
			out.Preservation.Preservatives = append(out.Preservation.Preservatives, kept)
		}
	}
	if f := a.Fermentation; f != nil {
		out.Fermentation = &jsonFermentation{number(f.Sugars), number(f.Fermented), number(f.Gauge), append([]string{}, f.Between...), number(f.Units60), number(f.Units80)}
	}
	for _, t := range a.Tastes {
		out.Tastes = append(out.Tastes, jsonTaste{t.Attribute, t.Quality, number(t.Amount), number(t.Reference), t.Unit,
			number(t.Intensity.Value), number(t.Intensity.Low), number(t.Intensity.High), number(t.TasteExponent.Value), t.Basis, t.Source, chem.TasteLimits})
	}
	return out
}

func predictionJSON(a *assess.Assessment, p *assess.Prediction) *jsonPrediction {
	if p == nil {
		return nil
	}
	var served *jsonPH
	if !math.IsNaN(p.At.Celsius) {
		served = &jsonPH{number(p.At.Celsius), number(p.At.PH), number(p.At.HighestPH)}
	}
	return &jsonPrediction{
		Served: served,
		PH:     number(p.PH), HighestPH: number(p.HighestPH), Estimate: p.Estimate, Acidity: number(p.Acidity), AcidityAs: a.Job.Titration.As.String(), EndPoint: number(a.Job.Titration.EndPoint),
		Buffer: number(p.Buffer), IonicStrength: number(p.IonicStrength), Brix: number(p.Brix), Solids: number(p.Solids),
		Density: number(p.Density), Gravity: number(p.Gravity), Viscosity: number(p.Viscosity), AsServed: number(p.ServedViscosity), Undeclared: p.Undeclared, Silent: p.Silent,
	}
}
