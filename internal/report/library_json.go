package report

import (
	"slices"

	"bittersum/internal/profile"
)

type jsonProvenance struct {
	Basis  string `json:"basis,omitempty"`
	Source string `json:"source,omitempty"`
}

func provenance(p profile.Provenance) jsonProvenance {
	return jsonProvenance{string(p.Basis), p.Source}
}

type jsonContent struct {
	PerGram     float64 `json:"per_g"`
	SD          float64 `json:"sd"`
	Recovery    float64 `json:"recovery"`
	CapRecovery float64 `json:"cap_recovery"`
	Shape       string  `json:"shape,omitempty"`
	MeasuredOn  string  `json:"measured_on,omitempty"`
	jsonProvenance
}

type jsonMethod struct {
	Recovery     map[string]float64 `json:"recovery"`
	SolubleShare float64            `json:"soluble_share"`
	HoldUp       float64            `json:"hold_up_l_per_g"`
	SolutesShare float64            `json:"solutes_share"`
	jsonProvenance
}

type jsonIngredient struct {
	Name           string                    `json:"name"`
	Title          string                    `json:"title"`
	Kind           string                    `json:"kind"`
	Plants         []string                  `json:"plants,omitempty"`
	Pure           bool                      `json:"pure,omitempty"`
	Contents       map[string]jsonContent    `json:"contents"`
	Absent         map[string]jsonProvenance `json:"absent,omitempty"`
	Solutes        map[string]float64        `json:"solutes_mmol_per_g,omitempty"`
	Moisture       float64                   `json:"moisture_share,omitempty"`
	Methods        map[string]jsonMethod     `json:"methods,omitempty"`
	UsualMethod    string                    `json:"usual_method,omitempty"`
	SolubleShare   float64                   `json:"soluble_share"`
	SpecificVolume float64                   `json:"specific_volume_ml_per_g"`
	HoldUp         float64                   `json:"hold_up_l_per_g"`
	TrimmingLoss   float64                   `json:"trimming_loss"`
	LabourPerKg    float64                   `json:"labour_per_kg"`
	PricePerKg     float64                   `json:"price_per_kg"`
	PriceFrom      jsonProvenance            `json:"price_from"`
	Allergens      []string                  `json:"allergens,omitempty"`
	Cautions       []string                  `json:"cautions,omitempty"`
	MadeOf         *jsonPreparation          `json:"made_of,omitempty"`
	AtLeast        map[string]jsonContent    `json:"at_least,omitempty"`
	Together       *jsonCorrelations         `json:"correlations,omitempty"`
}

// jsonCorrelations say how the logarithms of contents go together, by the names of two attributes.
type jsonCorrelations struct {
	Of map[string]map[string]float64 `json:"of"`
	jsonProvenance
}

func ingredientJSON(g *profile.Ingredient) jsonIngredient {
	out := jsonIngredient{
		Name: g.Name, Title: g.Title, Kind: g.Kind, Plants: g.Plants, Pure: g.Pure, Solutes: g.Solutes, Moisture: g.Moisture,
		Contents: map[string]jsonContent{}, Absent: map[string]jsonProvenance{},
		SolubleShare: g.SolubleShare, SpecificVolume: g.SpecificVolume, HoldUp: g.HoldUp, TrimmingLoss: g.TrimmingLoss,
		LabourPerKg: g.LabourPerKg, PricePerKg: g.PricePerKg, PriceFrom: provenance(g.PriceProvenance),
		Allergens: g.Allergens, Cautions: g.Cautions,
	}
	for name, c := range g.Contents {
		out.Contents[name] = jsonContent{c.PerGram, c.SD, c.Recovery, c.CapRecovery, c.Shape, c.MeasuredOn, provenance(c.Provenance)}
	}
	for name, c := range g.Least {
		if out.AtLeast == nil {
			out.AtLeast = map[string]jsonContent{}
		}
		out.AtLeast[name] = jsonContent{c.PerGram, c.SD, c.Recovery, c.CapRecovery, c.Shape, c.MeasuredOn, provenance(c.Provenance)}
	}
	for name, m := range g.Methods {
		if out.Methods == nil {
			out.Methods = map[string]jsonMethod{}
		}
		out.Methods[name] = jsonMethod{m.Recovery, m.SolubleShare, m.HoldUp, m.SolutesShare, provenance(m.Provenance)}
	}
	if c := g.Correlations; c != nil {
		out.Together = &jsonCorrelations{c.Of, provenance(c.Provenance)}
	}
	for name, p := range g.Absent {
		out.Absent[name] = provenance(p)
	}
	return out
}

type jsonAttributeProfile struct {
	Name     string  `json:"name"`
	Title    string  `json:"title"`
	Family   string  `json:"family"`
	Unit     string  `json:"unit"`
	JND      float64 `json:"jnd,omitempty"`
	JNDShare float64 `json:"jnd_share,omitempty"`
	Note     string  `json:"note,omitempty"`
	jsonProvenance
}

func attributeJSON(a *profile.Attribute) jsonAttributeProfile {
	return jsonAttributeProfile{a.Name, a.Title, a.Family, perUnit(a), a.JND, a.JNDShare, a.Note, provenance(a.Provenance)}
}

type jsonMarketCap struct {
	Substance    string             `json:"substance"`
	Max          float64            `json:"max"`
	Per          string             `json:"per"`
	PerPercent   bool               `json:"for_each_percent,omitempty"`
	Sum          map[string]float64 `json:"sum_of,omitempty"`
	Plants       []string           `json:"plants,omitempty"`
	Added        []string           `json:"added,omitempty"`
	ExceptPlants []string           `json:"except_plants,omitempty"`
	jsonScope
	jsonLaw
}

type jsonScope struct {
	Drinks       string  `json:"drinks"`
	FromPercent  float64 `json:"from_percent,omitempty"`
	BelowPercent float64 `json:"below_percent,omitempty"`
	Gas          string  `json:"gas,omitempty"`
}

type jsonLaw struct {
	Class    string `json:"class,omitempty"`
	Citation string `json:"citation"`
	Edition  string `json:"edition,omitempty"`
	Text     string `json:"text"`
	Note     string `json:"note,omitempty"`
}

func scopeJSON(s profile.Scope) jsonScope {
	return jsonScope{s.Drinks, s.FromPercent, s.BelowPercent, s.Gas}
}

func lawJSON(l profile.Law) jsonLaw {
	return jsonLaw{l.Class, l.Citation, l.Edition, l.Text, l.Note}
}

type jsonPermission struct {
	Rule     string   `json:"rule"`
	Plants   []string `json:"plants,omitempty"`
	Added    []string `json:"added,omitempty"`
	ENumbers []string `json:"e_numbers,omitempty"`
	jsonScope
	jsonLaw
}

type jsonDeclaration struct {
	Wording  string `json:"wording"`
	Citation string `json:"citation"`
	Edition  string `json:"edition,omitempty"`
	Text     string `json:"text"`
}

type jsonClass struct {
	Class    string `json:"class"`
	Title    string `json:"title"`
	Seen     int    `json:"rules_seen"`
	Recalled int    `json:"rules_recalled"`
	What     string `json:"what,omitempty"`
}

type jsonMarket struct {
	Name         string            `json:"name"`
	Title        string            `json:"title"`
	Caps         []jsonMarketCap   `json:"caps"`
	Permissions  []jsonPermission  `json:"permissions"`
	Declarations []jsonDeclaration `json:"declarations"`
	Duties       []jsonDeclaration `json:"duties,omitempty"`
	Note         string            `json:"note,omitempty"`
	Held         []jsonClass       `json:"classes_held"`
	Lacking      []jsonClass       `json:"classes_lacking"`
	Closed       []string          `json:"closed_categories,omitempty"`
}

func marketJSON(m *profile.Market) jsonMarket {
	out := jsonMarket{Name: m.Name, Title: m.Title, Note: m.Note, Closed: m.Closed}
	for _, c := range m.Caps {
		sum := map[string]float64{}
		for _, s := range c.Sum {
			sum[s.Substance] = s.Max
		}
		out.Caps = append(out.Caps, jsonMarketCap{c.Substance, c.Max, string(c.Per), c.PerPercent, sum, c.Plants,
			slices.Concat(c.Added, c.Additives), c.ExceptPlants, scopeJSON(c.Scope), lawJSON(c.Law)})
	}
	for _, p := range m.Permissions {
		out.Permissions = append(out.Permissions, jsonPermission{p.Rule, p.Plants, slices.Concat(p.Added, p.Additives), p.ENumbers, scopeJSON(p.Scope), lawJSON(p.Law)})
	}
	for _, d := range m.Declarations {
		out.Declarations = append(out.Declarations, jsonDeclaration{d.Wording, d.Citation, d.Edition, d.Text})
	}
	for _, d := range m.Duties {
		out.Duties = append(out.Duties, jsonDeclaration{d.Wording, d.Citation, d.Edition, d.Text})
	}
	count := m.CountRules()
	for _, c := range m.HeldClasses() {
		out.Held = append(out.Held, jsonClass{c.Name, c.Title, count[c.Name].Seen, count[c.Name].Recalled, m.Holds[c.Name]})
	}
	for _, c := range m.MissingClasses() {
		out.Lacking = append(out.Lacking, jsonClass{c.Name, c.Title, 0, 0, m.Lacks[c.Name]})
	}
	return out
}
