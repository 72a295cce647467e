package peer

import (
	"fmt"
	"math/big"
)

// fraction returns the float nearest to a number written as a fraction.
func fraction(text string) (float64, error) {
	exact, ok := new(big.Rat).SetString(text)
	if !ok {
		return 0, fmt.Errorf("%q is not a fraction", text)
	}
	value, _ := exact.Float64()
	return value, nil
}
