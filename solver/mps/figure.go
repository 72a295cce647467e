package mps

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"

	"bittersum/solver"
)

// figure is a number of a file: the float64 nearest to it, and the decimal itself where that is not the one
// that the float64 stands for (solver.Decimal).
type figure struct {
	value float64
	exact *big.Rat
}

// surest is how many digits a decimal may have so that the float64 nearest to it stands for it for certain.
const surest = 15

// isNumber reports whether word is a decimal number.
func isNumber(word string) bool {
	if isShortDecimal(word) {
		return true
	}
	_, err := number(word)
	return err == nil
}

// isShortDecimal reports whether word is made of a sign, digits and a point alone, and so short that each is a
// number that can be held. It knows most numbers without reading them.
func isShortDecimal(word string) bool {
	if word != "" && (word[0] == '-' || word[0] == '+') {
		word = word[1:]
	}
	digits, points := 0, 0
	for i := range len(word) {
		switch c := word[i]; {
		case c >= '0' && c <= '9':
			digits++
		case c == '.':
			points++
		default:
			return false
		}
	}
	return digits > 0 && digits <= surest && points <= 1
}

// fortran turns the exponent mark of Fortran's double precision into the common one.
var fortran = strings.NewReplacer("d", "e", "D", "e")

// number reads a decimal number; a D may mark the exponent as Fortran writes it.
func number(word string) (figure, error) {
	if !isShortDecimal(word) {
		switch strings.ToLower(strings.TrimLeft(word, "+-")) {
		case "inf", "infinity":
		default:
			if strings.Trim(word, "0123456789.eEdD+-") != "" {
				return figure{}, fmt.Errorf("%q is not a number", word)
			}
			word = fortran.Replace(word)
		}
	}
	value, err := strconv.ParseFloat(word, 64)
	if err != nil && !math.IsInf(value, 0) {
		return figure{}, fmt.Errorf("%q is not a number", word)
	}
	if len(word) <= surest && math.Abs(value) > 1e-290 {
		return figure{value: value}, nil
	}
	mantissa, _, _ := strings.Cut(strings.ToLower(word), "e")
	switch digits := strings.Trim(mantissa, "+-.0"); {
	case value == 0 && digits != "":
		return figure{}, fmt.Errorf("%q is nearer to zero than any number that can be held here; write 0", word)
	case math.IsInf(value, 0) || len(digits) <= surest && math.Abs(value) > 1e-290:
		return figure{value: value}, nil
	}
	exact, ok := new(big.Rat).SetString(word) // as large as the number is, which is finite and not zero
	if !ok {
		return figure{}, fmt.Errorf("%q is not a number", word)
	}
	return exactFigure(exact), nil
}

// exactFigure returns the figure of a number.
func exactFigure(exact *big.Rat) figure {
	value, _ := exact.Float64()
	f := figure{value: infinite(value)}
	if own := solver.Decimal(f.value); own != nil && own.Cmp(exact) != 0 {
		f.exact = exact
	}
	return f
}

// rational returns the number itself; nil is an infinite one.
func (f figure) rational() *big.Rat {
	if f.exact != nil {
		return f.exact
	}
	return solver.Decimal(f.value)
}

// plus returns the sum of two figures, added as decimals.
func (f figure) plus(g figure) figure {
	if math.IsInf(f.value, 0) || math.IsInf(g.value, 0) {
		return figure{value: f.value + g.value}
	}
	return exactFigure(new(big.Rat).Add(f.rational(), g.rational()))
}

func (f figure) negative() figure {
	if f.value == 0 {
		return f
	}
	n := figure{value: -f.value}
	if f.exact != nil {
		n.exact = new(big.Rat).Neg(f.exact)
	}
	return n
}

func (f figure) magnitude() figure {
	if f.value < 0 {
		return f.negative()
	}
	return f
}

// infinite turns what MPS files write for infinity into it.
func (f figure) infinite() figure {
	if math.Abs(f.value) >= solver.Huge {
		return figure{value: infinite(f.value)}
	}
	return f
}

func infinite(v float64) float64 {
	if math.Abs(v) >= solver.Huge {
		return math.Copysign(solver.Inf, v)
	}
	return v
}

// String writes the decimal that the figure is.
func (f figure) String() string {
	if f.exact != nil {
		return decimal(f.exact)
	}
	v := f.value
	if v == 0 {
		v = 0 // not -0
	}
	if a := math.Abs(v); a != 0 && (a < 1e-4 || a >= 1e15) {
		return strconv.FormatFloat(v, 'e', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// decimal writes a number whose denominator has no factors but 2 and 5, as that of every decimal: its
// digits, and where the point stands. Another number is cut off after as many digits as a file can hold.
func decimal(x *big.Rat) string {
	places, ten := 0, big.NewInt(10)
	whole := new(big.Int).Set(x.Num())
	rest := new(big.Int).Set(x.Denom())
	for ; rest.Cmp(big.NewInt(1)) != 0 && places < longest; places++ {
		common := new(big.Int).GCD(nil, nil, rest, ten)
		rest.Quo(rest, common)
		whole.Mul(whole, new(big.Int).Quo(ten, common))
	}
	if places == 0 {
		return whole.String()
	}
	return whole.Quo(whole, rest).String() + "e-" + strconv.Itoa(places)
}

// longest is how many places a decimal may have; no float64 has more.
const longest = 1100
