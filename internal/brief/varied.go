package brief

import (
	"maps"

	"bittersum/internal/profile"
)

// Varied returns the source with contents multiplied by factors, another lot of the same kind: acids and ions go
// with its acidity, as in Scaled.
func (s *Source) Varied(factors map[string]float64) *Source {
	varied := *s
	own := *s.Ingredient
	own.Contents = maps.Clone(own.Contents)
	varied.Ingredient = &own
	if s.Lot != nil {
		lot := *s.Lot
		lot.Contents = maps.Clone(lot.Contents)
		varied.Lot = &lot
	}
	for attribute, factor := range factors {
		if attribute == Acidity {
			continue
		}
		multiply(own.Contents, attribute, factor)
		if varied.Lot != nil {
			multiply(varied.Lot.Contents, attribute, factor)
		}
	}
	if factor, sour := factors[Acidity]; sour {
		return varied.Scaled(factor)
	}
	return &varied
}

func multiply(contents map[string]profile.Content, attribute string, factor float64) {
	if c, ok := contents[attribute]; ok {
		c.PerGram *= factor
		c.SD *= factor
		contents[attribute] = c
	}
}
