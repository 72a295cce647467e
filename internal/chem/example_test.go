package chem_test

import (
	"fmt"

	"bittersum/internal/chem"
)

// Five grams of citric acid in a litre, as in a bitter lemon, and the alkali that titrates them.
func Example() {
	var s chem.Solution
	s.Amounts[chem.Citric] = 5 / chem.Citric.Constants().MolarMass
	state, err := chem.PH(&s)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("pH %.2f\n", state.PH)
	point, err := chem.BaseToReach(&s, 8.2)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f mmol of alkali to pH 8.2, %.1f mmol of acid groups\n", point.Base*1000, 3000*s.Amounts[chem.Citric])
	// Output:
	// pH 2.39
	// 78.0 mmol of alkali to pH 8.2, 78.1 mmol of acid groups
}

func ExampleGramsFromVolumes() {
	fmt.Printf("%.1f g/L are 3 volumes of carbon dioxide\n", chem.GramsFromVolumes(3))
	// Output:
	// 5.9 g/L are 3 volumes of carbon dioxide
}
