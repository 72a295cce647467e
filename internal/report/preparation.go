package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
)

// preparation prints what a preparation is made of and what it gives.
func preparation(w io.Writer, m *brief.Made) {
	t := newTable("  ", "lmade in the house of", ".g", "lextracted")
	for _, p := range m.Parts {
		how := ""
		if e, ok := m.Preparation.Extractions[p.Source.Ingredient.Name]; ok {
			how = extraction(e)
		}
		t.row(p.Source.Name, plain(p.Amount), how)
	}
	t.write(w)
	text := fmt.Sprintf("gives %s L, %s kg of %s kg/L", figures(m.YieldL, 3), figures(m.YieldKg, 3), figures(m.YieldKg/m.YieldL, 4))
	if m.AlcoholPercent > 0.05 {
		text += fmt.Sprintf(", %s %% alcohol by volume", figures(m.AlcoholPercent, 3))
	}
	if m.HeldL > 0 {
		text += fmt.Sprintf("; %s mL stay in the spent plants", figures(1000*m.HeldL, 2))
	}
	if lost := 1000 * m.LostL; lost >= 0.5 {
		as := "are left behind"
		if m.Preparation.LostAs == profile.LostWater {
			as = "of water are boiled off"
		}
		text += fmt.Sprintf("; %s mL %s", figures(lost, 2), as)
	}
	fmt.Fprintf(w, "  %s\n", wrap(text+" ["+string(m.Preparation.Basis)+"]", width-2, "  "))
	fmt.Fprintf(w, "  %s\n\n", wrap("What follows is worked out from its parts; each basis is the weakest among theirs.", width-2, "  "))
}

func extraction(e profile.PartExtraction) string {
	var parts []string
	if e.Method != "" {
		parts = append(parts, "by "+e.Method)
	}
	if e.Times > 1 {
		parts = append(parts, fmt.Sprintf("%d times", e.Times))
	}
	var shares []string
	for name, share := range e.Recovery {
		shares = append(shares, name+" "+percent(share))
	}
	slices.Sort(shares)
	if len(shares) > 0 {
		parts = append(parts, strings.Join(shares, ", ")+" ["+string(e.Basis)+"]")
	}
	return strings.Join(parts, "; ")
}

type jsonPreparation struct {
	Parts    []jsonGrams `json:"parts"`
	YieldL   number      `json:"yield_l"`
	YieldKg  number      `json:"yield_kg"`
	HeldL    number      `json:"held_back_l"`
	LostL    number      `json:"lost_l"`
	LostAs   string      `json:"lost_as,omitempty"`
	Strength number      `json:"alcohol_percent"`
	jsonProvenance
}

type jsonGrams struct {
	Ingredient string `json:"ingredient"`
	Grams      number `json:"grams"`
}

func preparationJSON(s *brief.Source) *jsonPreparation {
	if s == nil {
		return nil
	}
	m := s.Made
	out := &jsonPreparation{YieldL: number(m.YieldL), YieldKg: number(m.YieldKg), HeldL: number(m.HeldL), LostL: number(m.LostL), LostAs: m.Preparation.LostAs,
		Strength: number(m.AlcoholPercent), jsonProvenance: provenance(m.Preparation.Provenance)}
	for _, p := range m.Parts {
		out.Parts = append(out.Parts, jsonGrams{p.Source.Name, number(p.Amount)})
	}
	return out
}
