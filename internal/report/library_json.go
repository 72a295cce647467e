package report

import "bittersum/internal/profile"

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
		out.Contents[name] = jsonContent{c.PerGram, c.SD, c.Recovery, c.CapRecovery, provenance(c.Provenance)}
	}
	for name, c := range g.Least {
		if out.AtLeast == nil {
			out.AtLeast = map[string]jsonContent{}
		}
		out.AtLeast[name] = jsonContent{c.PerGram, c.SD, c.Recovery, c.CapRecovery, provenance(c.Provenance)}
	}
	for name, m := range g.Methods {
		if out.Methods == nil {
			out.Methods = map[string]jsonMethod{}
		}
		out.Methods[name] = jsonMethod{m.Recovery, m.SolubleShare, m.HoldUp, m.SolutesShare, provenance(m.Provenance)}
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
	Substance string   `json:"substance"`
	Max       float64  `json:"max"`
	Per       string   `json:"per"`
	Drinks    string   `json:"drinks"`
	Plants    []string `json:"plants,omitempty"`
	Added     []string `json:"added,omitempty"`
	Citation  string   `json:"citation"`
	Text      string   `json:"text"`
	Note      string   `json:"note,omitempty"`
}

type jsonPermission struct {
	Rule        string   `json:"rule"`
	Plants      []string `json:"plants,omitempty"`
	Ingredients []string `json:"ingredients,omitempty"`
	Added       []string `json:"added,omitempty"`
	Citation    string   `json:"citation"`
	Text        string   `json:"text"`
	Note        string   `json:"note,omitempty"`
}

type jsonDeclaration struct {
	Wording  string `json:"wording"`
	Citation string `json:"citation"`
	Text     string `json:"text"`
}

type jsonMarket struct {
	Name         string            `json:"name"`
	Title        string            `json:"title"`
	Caps         []jsonMarketCap   `json:"caps"`
	Permissions  []jsonPermission  `json:"permissions"`
	Declarations []jsonDeclaration `json:"declarations"`
}

func marketJSON(m *profile.Market) jsonMarket {
	out := jsonMarket{Name: m.Name, Title: m.Title}
	for _, c := range m.Caps {
		out.Caps = append(out.Caps, jsonMarketCap{c.Substance, c.Max, string(c.Per), c.Drinks, c.Plants, c.Added, c.Citation, c.Text, c.Note})
	}
	for _, p := range m.Permissions {
		out.Permissions = append(out.Permissions, jsonPermission{p.Rule, p.Plants, p.Ingredients, p.Added, p.Citation, p.Text, p.Note})
	}
	for _, d := range m.Declarations {
		out.Declarations = append(out.Declarations, jsonDeclaration{d.Wording, d.Citation, d.Text})
	}
	return out
}
