package kettle

import "math"

// Purchase is what has to be bought, or made in the house, for a batch.
type Purchase struct {
	Ingredient string
	// NeedKg is what the batch takes beyond the lots, and BarredKg what is on the shelf but may not be
	// used.
	NeedKg, BarredKg float64
	// PackKg is the size of packs, 0 when the brief gives none; Packs is how many to order, LeastPacks the
	// smallest order, OrderKg what comes.
	PackKg            float64
	Packs, LeastPacks int
	OrderKg           float64
	// PricePerKg is the price, PriceFrom where it comes from, and Cost that of the order.
	PricePerKg float64
	PriceFrom  string
	Cost       float64
	// Make is what has to be weighed in for it, where it is a preparation of the house.
	Make []Need
}

// Need is what a preparation takes of a part.
type Need struct {
	Name string
	Kg   float64
}

// shopping lists what the lots do not cover. Water comes from the tap.
func (p *Plan) shopping() {
	for _, l := range p.Lines {
		if l.Source.Lot != nil || l.Source.Water() {
			continue
		}
		name := l.Source.Ingredient.Name
		b := Purchase{Ingredient: name, NeedKg: l.TakeG / 1000, OrderKg: l.TakeG / 1000, PricePerKg: l.Source.PricePerKg, PriceFrom: l.Source.PriceFrom}
		for n := range p.Job.Lots {
			if lot := &p.Job.Lots[n]; lot.Ingredient == name && lot.WhyNot(p.Job.Day) != "" {
				b.BarredKg += lot.LeftKg()
			}
		}
		if pack, ok := p.Job.Packs[name]; ok {
			b.PackKg, b.LeastPacks = pack.Kg, pack.LeastPacks
			b.Packs = max(pack.LeastPacks, int(math.Ceil(b.NeedKg/pack.Kg-1e-9)))
			b.OrderKg = float64(b.Packs) * pack.Kg
		}
		b.Cost = b.OrderKg * b.PricePerKg
		if m := l.Source.Made; m != nil {
			for _, part := range m.Parts {
				b.Make = append(b.Make, Need{part.Source.Name, part.Amount / 1000 * b.OrderKg / m.YieldKg})
			}
		}
		p.Shopping = append(p.Shopping, b)
	}
}
