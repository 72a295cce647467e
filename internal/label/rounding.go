package label

import (
	"fmt"
	"math"
	"strconv"
)

// nearest rounds x to a multiple of step, halves upward.
func nearest(x, step float64) float64 { return math.Floor(x/step+0.5+1e-9) * step }

func decimal(x float64) string { return strconv.FormatFloat(math.Round(x*1e6)/1e6, 'f', -1, 64) }

// USCalories rounds kcal as 21 CFR 101.9(c)(1) asks: below 5 nothing, up to 50 to the nearest 5, above to
// the nearest 10.
func USCalories(kcal float64) string {
	switch {
	case kcal < 5:
		return "0"
	case kcal <= 50:
		return decimal(nearest(kcal, 5))
	}
	return decimal(nearest(kcal, 10))
}

// USFat rounds grams of fat as 101.9(c)(2) asks: below 0.5 nothing, below 5 to the nearest 0.5, from there
// to the nearest 1.
func USFat(g float64) string {
	switch {
	case g < 0.5:
		return "0 g"
	case g < 5:
		return decimal(nearest(g, 0.5)) + " g"
	}
	return decimal(nearest(g, 1)) + " g"
}

// USSodium rounds mg of sodium as 101.9(c)(4) asks: below 5 nothing, up to 140 to the nearest 5, above to
// the nearest 10.
func USSodium(mg float64) string {
	switch {
	case mg < 5:
		return "0 mg"
	case mg <= 140:
		return decimal(nearest(mg, 5)) + " mg"
	}
	return decimal(nearest(mg, 10)) + " mg"
}

// USGrams rounds grams of carbohydrate, fibre, sugars or protein as 101.9(c)(6) and (7) ask: below 0.5
// nothing, below 1 "less than 1 g", from there to the nearest 1.
func USGrams(g float64) string {
	switch {
	case g < 0.5:
		return "0 g"
	case g < 1:
		return "less than 1 g"
	}
	return decimal(nearest(g, 1)) + " g"
}

// USPotassium rounds mg of potassium: the nearest 10, as the guidance has it for a daily intake of 250 mg
// and more.
func USPotassium(mg float64) string { return decimal(nearest(mg, 10)) + " mg" }

// USMineralDaily rounds the percentage of the daily value of a vitamin or mineral as 101.9(c)(8)(iii) asks:
// below 2 nothing, up to 10 to the nearest 2, up to 50 to the nearest 5, above to the nearest 10.
func USMineralDaily(percent float64) string {
	switch {
	case percent < 2:
		return "0 %"
	case percent <= 10:
		return decimal(nearest(percent, 2)) + " %"
	case percent <= 50:
		return decimal(nearest(percent, 5)) + " %"
	}
	return decimal(nearest(percent, 10)) + " %"
}

// USDaily rounds another percentage of a daily value to the nearest 1.
func USDaily(percent float64) string { return decimal(nearest(percent, 1)) + " %" }

// EUGrams rounds grams of fat, carbohydrate, sugars, protein, fibre or polyols as the Commission's guidance
// of December 2012 has it: from 10 to the nearest 1, above 0.5 to the nearest 0.1, below "< 0.5 g", and
// "0 g" where there is none.
func EUGrams(g float64) string { return euGrams(g, 0.5) }

// EUSaturates rounds grams of saturates likewise, with 0.1 in the place of 0.5.
func EUSaturates(g float64) string { return euGrams(g, 0.1) }

func euGrams(g, least float64) string {
	switch {
	case g <= 1e-9:
		return "0 g"
	case g <= least:
		return fmt.Sprintf("< %v g", least)
	case g < 10 && nearest(g, 0.1) < 10:
		return fmt.Sprintf("%.1f g", nearest(g, 0.1))
	}
	return decimal(nearest(g, 1)) + " g"
}

// EUSalt rounds grams of salt by the same guidance: from 1 to the nearest 0.1, above 0.0125 to the nearest
// 0.01, below "< 0.01 g", and "0 g" where there is none.
func EUSalt(g float64) string {
	switch {
	case g <= 1e-9:
		return "0 g"
	case g <= 0.0125:
		return "< 0.01 g"
	case g < 1 && nearest(g, 0.01) < 1:
		return fmt.Sprintf("%.2f g", nearest(g, 0.01))
	}
	return fmt.Sprintf("%.1f g", nearest(g, 0.1))
}

// EUEnergy rounds kJ or kcal to the nearest 1.
func EUEnergy(x float64) string { return decimal(nearest(x, 1)) }

// threeFigures rounds to three significant figures at most, as Australia and New Zealand ask.
func threeFigures(x float64) string {
	if x <= 0 {
		return "0"
	}
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 3, 64), 64)
	return decimal(y)
}

// EUKilojoules and EUKilocalories are the energy of so many grams by the factors of Regulation (EU)
// 1169/2011 Annex XIV; polyols other than erythritol, which counts nothing.
func EUKilojoules(carbohydrate, polyols, protein, fat, alcohol, acids, fibre float64) float64 {
	return 17*carbohydrate + 10*polyols + 17*protein + 37*fat + 29*alcohol + 13*acids + 8*fibre
}

// EUKilocalories is EUKilojoules in kcal, by that annex's own factors.
func EUKilocalories(carbohydrate, polyols, protein, fat, alcohol, acids, fibre float64) float64 {
	return 4*carbohydrate + 2.4*polyols + 4*protein + 9*fat + 7*alcohol + 3*acids + 2*fibre
}
