package mps_test

import (
	"fmt"
	"os"
	"strings"

	"bittersum/solver"
	"bittersum/solver/mps"
)

func ExampleRead() {
	p, err := mps.Read(strings.NewReader(`NAME two
ROWS
 N cost
 L most
COLUMNS
 peel cost 1.5 most 2
RHS
 RHS most 0.4
RANGES
 RNG most 0.1
ENDATA
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(p.Name, p.Columns[0].Name, p.Columns[0].Cost)
	lower, upper := p.ExactBounds(solver.RowVariable(0))
	fmt.Println(lower, upper)
	// Output:
	// two peel 1.5
	// 3/10 2/5
}

func ExampleWrite() {
	p := &solver.Problem{Name: "two", Columns: []solver.Column{{Name: "peel", Cost: 1.5, Upper: 3}}}
	p.AddRow(solver.Row{Name: "least", Lower: 0.25, Upper: 0.75, Terms: []solver.Term{{Column: 0, Value: 2}}})
	if err := mps.Write(os.Stdout, p); err != nil {
		fmt.Println(err)
	}
	// Output:
	// NAME          two  FREE
	// ROWS
	//  N objective
	//  G least
	// COLUMNS
	//     peel objective 1.5
	//     peel least 2
	// RHS
	//     RHS least 0.25
	// RANGES
	//     RANGE least 0.5
	// BOUNDS
	//  UP BOUND peel 3
	// ENDATA
}
