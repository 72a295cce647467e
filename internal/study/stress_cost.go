package study

import (
	"fmt"
	"math"

	"bittersum/internal/chance"
)

// CostSpread is what a litre costs as losses and prices vary, in the brief's currency.
type CostSpread struct {
	// Varies says that a loss or a price has a spread; without one the cost is that of the recipe and there is no Spread.
	Varies bool
	Spread
}

// mostLost is the largest share that a step is taken to lose, the most that a brief may say.
const mostLost = 0.9

// Names in the variance shares of a cost: what is lost at a step, what an ingredient is bought for, and weighing.
const (
	costWeighing = "weighing"
	costLoss     = "loss: "
	costPrice    = "price: "
)

// cost works out how the cost of a litre varies: each part's money is that of its amount as weighed, at its price, and
// the litres recovered are those that the losses leave. Lots of one ingredient without a price of their own share its
// price. A batch is filled up to its volume, so that weighing moves the money and not the litres.
func (st *stress) cost() (CostSpread, error) {
	model := &chance.Model{Seed: st.Seed}
	var sources []string
	out := CostSpread{}
	add := func(name string, shape chance.Shape, mean, sd, low, high float64) (int, error) {
		d, err := chance.New(shape, mean, sd, low, high)
		if err != nil {
			return 0, fmt.Errorf("%s: %w", name, err)
		}
		model.Inputs, sources = append(model.Inputs, d), append(sources, name)
		return len(sources) - 1, nil
	}
	priceOf := map[string]int{}
	var money []func(x []float64) float64
	for n, p := range st.Recipe.Parts {
		whole := st.Cost.Parts[n]
		if p.Amount == 0 || whole == 0 {
			continue
		}
		weighed, err := add(costWeighing, chance.Normal, 1, WeighingVariation, 0, 0)
		if err != nil {
			return out, err
		}
		if p.Source.PriceSD == 0 {
			money = append(money, func(x []float64) float64 { return whole * x[weighed] })
			continue
		}
		out.Varies = true
		name := p.Source.Ingredient.Name
		price, drawn := priceOf[name]
		if !drawn {
			if price, err = add(costPrice+name, chance.Lognormal, p.Source.PricePerKg, p.Source.PriceSD, 0, 0); err != nil {
				return out, err
			}
			priceOf[name] = price
		}
		mean := p.Source.PricePerKg
		perPrice := p.Amount / (1 - p.Source.Ingredient.TrimmingLoss) / 1000 / st.Recovered
		money = append(money, func(x []float64) float64 { return (whole + perPrice*(x[price]-mean)) * x[weighed] })
	}
	var lost []int
	certain := 1.0
	for _, l := range st.Job.Losses {
		if l.SD == 0 {
			certain *= 1 - l.Share
			continue
		}
		out.Varies = true
		n, err := add(costLoss+l.Step, chance.Lognormal, l.Share, l.SD, 0, mostLost)
		if err != nil {
			return out, err
		}
		lost = append(lost, n)
	}
	if !out.Varies {
		return out, nil
	}
	usual := st.Job.Kept()
	outcome := chance.Outcome{Of: func(x []float64) float64 {
		kept := certain
		for _, n := range lost {
			kept *= 1 - x[n]
		}
		recovered := st.Recovered + st.Liquor*(kept-usual)
		if !(recovered > 0) {
			return math.Inf(1)
		}
		sum := 0.0
		for _, part := range money {
			sum += part(x)
		}
		return sum * st.Recovered / recovered
	}}
	out.Spread = spreadOf(model, outcome, sources, st.Draws)
	if math.IsInf(out.Expected, 0) || math.IsNaN(out.Expected) {
		return out, fmt.Errorf("with losses that vary so, some batches leave nothing to sell: [losses]")
	}
	return out, nil
}
