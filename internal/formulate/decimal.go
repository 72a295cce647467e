package formulate

import (
	"math"
	"math/big"
	"strconv"

	"bittersum/solver"
)

// Decimal returns steps·place as the float64 nearest to that decimal number.
func Decimal(steps, place float64) float64 {
	exponent := int(math.Round(math.Log10(place)))
	x, _ := strconv.ParseFloat(strconv.FormatFloat(steps, 'f', 0, 64)+"e"+strconv.Itoa(exponent), 64)
	return x
}

// minus returns a - b·c of the decimals that print the three, rounded once.
func minus(a, b, c float64) float64 {
	x := new(big.Rat).Mul(solver.Decimal(b), solver.Decimal(c))
	v, _ := x.Sub(solver.Decimal(a), x).Float64()
	return v
}

// Times returns the float64 nearest to the decimal product of the two decimals.
func Times(a, b float64) float64 {
	switch {
	case a == 0 || b == 0:
		return 0
	case b == 1:
		return a
	}
	return -minus(0, a, b)
}
