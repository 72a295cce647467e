package works

import (
	"math"
	"strconv"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/study"
)

// ParsePriceMove reads NAME=+30%, NAME=8.50 or NAME=6..9: how the price of what a brief may use moves.
func ParsePriceMove(job *brief.Job, text string) (study.PriceMove, error) {
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
