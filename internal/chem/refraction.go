package chem

import "fmt"

// refractive holds the ICUMSA refractive index of sucrose solutions at 20 °C and 589.3 nm, in steps
// of 5 mass percent from 0; from memory of the ICUMSA table (also in OIML R 142).
var refractive = [...]float64{
	1.332986, 1.340264, 1.347824, 1.355679, 1.363842, 1.372328, 1.381149, 1.390322,
	1.399860, 1.409777, 1.420087, 1.430800, 1.441928, 1.453478, 1.465456, 1.477870,
}

const (
	refractiveStep = 5.0
	maxRefractive  = 75.0
	// refractiveDigit is how far a reading may lie outside the table by its own last digit.
	refractiveDigit = 5e-5
)

// CitricRefractometerShare is what one mass percent of citric acid adds to the °Bx that a
// refractometer shows: a 10 % solution has nD20 1.3459 (chemister.ru property tables), which reads
// 8.74 °Bx.
const CitricRefractometerShare = 0.874

// RefractiveIndex returns nD20 of a solution with so many mass percent of sucrose, 0 to 75, by cubic
// interpolation in the ICUMSA table.
func RefractiveIndex(brix float64) (float64, error) {
	if !(brix >= 0 && brix <= maxRefractive) {
		return 0, fmt.Errorf("%w: refractive index at %g °Bx; 0 to %g holds", ErrRange, brix, maxRefractive)
	}
	return refractiveIndex(brix), nil
}

func refractiveIndex(brix float64) float64 {
	x := brix / refractiveStep
	first := min(max(int(x)-1, 0), len(refractive)-4)
	u := x - float64(first)
	y := refractive[first : first+4]
	return -y[0]*(u-1)*(u-2)*(u-3)/6 + y[1]*u*(u-2)*(u-3)/2 - y[2]*u*(u-1)*(u-3)/2 + y[3]*u*(u-1)*(u-2)/6
}

// RefractometerBrix returns the °Bx that a refractometer shows for a refractive index nD20.
// A reading up to 0.00005 below water is 0 °Bx.
func RefractometerBrix(index float64) (float64, error) {
	if !(index >= refractive[0]-refractiveDigit && index <= refractive[len(refractive)-1]+refractiveDigit) {
		return 0, fmt.Errorf("%w: refractive index %g; %g to %g holds", ErrRange, index, refractive[0], refractive[len(refractive)-1])
	}
	return findRoot(func(b float64) float64 { return refractiveIndex(b) - index }, 0, maxRefractive), nil
}
