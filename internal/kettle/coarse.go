package kettle

import (
	"cmp"
	"context"
	"slices"

	"bittersum/internal/formulate"
)

func sortDoses(doses []Dose) {
	slices.SortStableFunc(doses, func(a, b Dose) int { return cmp.Compare(b.Share, a.Share) })
}

// larger tries larger batches, each about a quarter larger than the one before, until the same scales do.
func (c *Coarse) larger(ctx context.Context, f *formulate.Formulation, o Options, free []float64) error {
	o.Nodes = min(o.Nodes, easyNodes) // one size that is missed matters little
	for _, times := range []float64{1.25, 1.6, 2, 2.5, 3.2, 4, 5, 6.4, 8, 10, 12.5, 16, 20, 25, 32, 40, 50, 64, 80, 100} {
		larger := o
		larger.Litres = o.Litres * times
		c.MostLitres = larger.Litres
		grams := make([]float64, len(free))
		for n := range free {
			grams[n] = free[n] * times
		}
		lines, s, b, err := onScales(ctx, f, larger, grams, false)
		if err != nil {
			return err
		}
		if s.X == nil {
			continue
		}
		if _, _, _, err := settle(ctx, f, larger, lines, s, b); err == nil {
			c.Litres = larger.Litres
			return nil
		}
	}
	return nil
}
