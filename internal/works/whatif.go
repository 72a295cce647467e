package works

import (
	"context"
	"math"
	"slices"
	"strconv"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/study"
	"bittersum/internal/tomlfile"
)

// SwapOptions says what a swap may do: with how much of what is short, and with how much drift (nil: as much as the
// brief allows), or with the least drift first.
func SwapOptions(short []Amount, drift *float64, closest bool) (study.SwapOptions, error) {
	o := study.SwapOptions{Within: math.Inf(1), Closest: closest}
	if drift != nil {
		if o.Within = *drift; closest {
			return o, Usage("--drift and --closest exclude each other")
		}
		if !(*drift >= 0) || math.IsInf(*drift, 0) {
			return o, Usage("--drift %v is no number of just noticeable differences", *drift)
		}
	}
	for _, s := range short {
		if s.Value < 0 {
			return o, Usage("--limit: %v is below zero", s.Value)
		}
		o.Short = append(o.Short, study.Shortage{Name: s.Name, Most: s.Value})
	}
	return o, nil
}

// Alternatives looks for other recipes within so many percent of the least cost.
func Alternatives(ctx context.Context, job *brief.Job, percent float64, count int) (*study.Alternatives, error) {
	if !(percent >= 0 && percent <= 1000) {
		return nil, Usage("--within %v is not a percentage; give it as 2%%", percent)
	}
	if count < 1 || count > 20 {
		return nil, Usage("--count %d is out of range; it must be 1 to 20", count)
	}
	return study.FindAlternatives(ctx, job, percent/100, count)
}

// InTwoMarkets sets a recipe, the cheapest one of its brief if none is named, beside itself in another market. Where
// that brief cannot be met, both are the cheapest ones of their markets.
func InTwoMarkets(ctx context.Context, side study.Side, markets [2]string) (a, b study.Side, err error) {
	sides := [2]study.Side{}
	for n, market := range markets {
		sides[n] = study.Side{Name: side.Name + " in " + market}
		if sides[n].Job, err = study.InMarkets(side.Job, market); err != nil {
			return a, b, err
		}
	}
	recipe := side.Recipe
	if recipe == nil { // the same recipe in both
		cheapest, err := study.Cheapest(ctx, sides[0].Job)
		if err != nil {
			return a, b, err
		}
		if cheapest.Conflict == nil {
			recipe = cheapest.Assessment.Recipe
		}
	}
	for n := range sides {
		if recipe != nil {
			sides[n].Recipe, _ = sides[n].Job.Here(recipe)
		}
	}
	return sides[0], sides[1], nil
}

// CheckStockpile looks whether a buying plan can be made of what is said of it.
func CheckStockpile(pile *study.Stockpile) error {
	for _, f := range []Amount{{"stock", pile.StockKg}, {"monthly", pile.MonthlyLitres}, {"keeps", pile.KeepsMonths}} {
		if !(f.Value >= 0) || math.IsInf(f.Value, 0) || f.Value == 0 && f.Name != "stock" {
			return Usage("--%s %v is out of range", f.Name, f.Value)
		}
	}
	if !pile.From.After(pile.Today) {
		return Usage("--from %s is not in the future: today is %s", DateText(pile.From), DateText(pile.Today))
	}
	return nil
}

// parsePriceMove reads NAME=+30%, NAME=8.50 or NAME=6..9: how the price of what a brief may use moves.
func parsePriceMove(job *brief.Job, text string) (study.PriceMove, error) {
	name, value, ok := strings.Cut(text, "=")
	if !ok || name == "" || value == "" {
		return study.PriceMove{}, Usage("--price %s: give it as NAME=+30%%, NAME=8.50 or NAME=6..9", text)
	}
	now, known := study.PriceOf(job, name)
	move := study.PriceMove{Name: name, From: now, To: now}
	if !known { // told with the nearest name by the study
		return move, nil
	}
	var err error
	move.From, move.To, err = priceRange(text, value, now)
	return move, err
}

// priceRange reads +30%, 8.50 or 6..9.
func priceRange(text, value string, now float64) (from, to float64, err error) {
	number := func(s string) (float64, error) {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return 0, Usage("--price %s: %q is not a price; give it as NAME=+30%%, NAME=8.50 or NAME=6..9", text, s)
		}
		return x, nil
	}
	positive := func(x float64) error {
		if x < 0 {
			return Usage("--price %s: a price of %s is below zero", text, strconv.FormatFloat(x, 'g', 6, 64))
		}
		return nil
	}
	from = now
	switch low, high, isRange := strings.Cut(value, ".."); {
	case isRange:
		if from, err = number(low); err != nil {
			return 0, 0, err
		}
		if err = positive(from); err != nil {
			return 0, 0, err
		}
		to, err = number(high)
		if err == nil && from >= to {
			err = Usage("--price %s: the range is empty", text)
		}
	case strings.HasSuffix(value, "%"):
		to, err = number(strings.TrimSuffix(value, "%"))
		to = now * (1 + to/100)
	default:
		to, err = number(value)
	}
	if err != nil {
		return 0, 0, err
	}
	return from, to, positive(to)
}

// PriceMoves reads the prices that move: texts such as NAME=+30%, NAME=8.50 or NAME=6..9, and those of a price list
// in a file, if one is named.
func PriceMoves(job *brief.Job, texts []string, list string) ([]study.PriceMove, error) {
	var moves []study.PriceMove
	for _, text := range texts {
		move, err := parsePriceMove(job, text)
		if err != nil {
			return nil, err
		}
		moves = append(moves, move)
	}
	if list == "" {
		return moves, nil
	}
	listed, err := brief.OpenPrices(list, job.Money(), job.Library)
	if err != nil {
		return nil, err
	}
	var names []string
	for name := range listed {
		if _, used := study.PriceOf(job, name); used {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	for _, name := range names {
		now, _ := study.PriceOf(job, name)
		moves = append(moves, study.PriceMove{Name: name, From: now, To: listed[name].PerKg})
	}
	if len(names) == 0 {
		return nil, tomlfile.Faults{{File: list, What: "holds no price of an ingredient in use"}}
	}
	return moves, nil
}
