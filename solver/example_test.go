package solver_test

import (
	"context"
	"fmt"

	"bittersum/solver"
)

// glass is Wyndor Glass: F. S. Hillier and G. J. Lieberman, Introduction to Operations Research, section 3.1.
func glass() *solver.Problem {
	p := &solver.Problem{Sense: solver.Maximize}
	doors := p.AddColumn(solver.Column{Name: "doors", Cost: 3, Upper: solver.Inf})
	windows := p.AddColumn(solver.Column{Name: "windows", Cost: 5, Upper: solver.Inf})
	p.AddRow(solver.Row{Name: "plant 1", Lower: -solver.Inf, Upper: 4, Terms: []solver.Term{{Column: doors, Value: 1}}})
	p.AddRow(solver.Row{Name: "plant 2", Lower: -solver.Inf, Upper: 12, Terms: []solver.Term{{Column: windows, Value: 2}}})
	p.AddRow(solver.Row{Name: "plant 3", Lower: -solver.Inf, Upper: 18, Terms: []solver.Term{{Column: doors, Value: 3}, {Column: windows, Value: 2}}})
	return p
}

func ExampleSolve() {
	p := glass()
	s, err := solver.Solve(context.Background(), p, solver.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.Status, s.Objective)
	for j, c := range p.Columns {
		fmt.Println(c.Name, s.X[j])
	}
	for i, r := range p.Rows {
		fmt.Println(r.Name, s.Dual[i])
	}
	// Output:
	// optimal 36
	// doors 2
	// windows 6
	// plant 1 0
	// plant 2 1.5
	// plant 3 1
}

func ExampleProve() {
	p := glass()
	p.Columns[0].Cost = 0.1 // read as 1/10
	s, _ := solver.Solve(context.Background(), p, solver.Options{})
	proof, _ := solver.Prove(context.Background(), p, s, solver.Options{})
	fmt.Println(proof.Status, proof.Objective.RatString())

	// At most 5 windows and a half, whole ones: 5, which leave room for 8/3 doors.
	p.Columns[1].Kind, p.Columns[1].Upper = solver.Integer, 5.5
	s, _ = solver.Solve(context.Background(), p, solver.Options{})
	proof, _ = solver.Prove(context.Background(), p, s, solver.Options{})
	fmt.Println(proof.Status, proof.Objective.RatString())
	// Output:
	// optimal 151/5
	// optimal 379/15
}

func ExampleSensitivity() {
	p := glass()
	s, _ := solver.Solve(context.Background(), p, solver.Options{})
	down, up, _ := solver.Sensitivity(context.Background(), p, s, solver.Direction{Row: 1, Limit: 1, Side: solver.UpperSide})
	fmt.Printf("an hour less in plant 2 costs %.2f, down by %.0f hours\n", down.Rate, -down.Delta)
	fmt.Printf("an hour more brings %.2f, up to %.0f more\n", up.Rate, up.Delta)
	// Output:
	// an hour less in plant 2 costs 1.50, down by 6 hours
	// an hour more brings 1.50, up to 6 more
}

func ExampleFindConflict() {
	p := glass()
	p.Columns[0].Lower = 3 // doors take 9 of plant 3's hours, and 7 windows 14 more
	p.Columns[1].Lower = 7
	c, _ := solver.FindConflict(context.Background(), p, solver.ConflictOptions{})
	for _, b := range c.Members {
		if b.Row {
			fmt.Println(p.Rows[b.Index].Name, b.Side)
		} else {
			fmt.Println(p.Columns[b.Index].Name, b.Side)
		}
	}
	// Output:
	// windows lower
	// plant 2 upper
}

func ExampleSession() {
	session, _ := solver.NewSession(glass(), solver.Options{})
	for _, hours := range []float64{12, 14, 18, 20} {
		session.SetRowBounds(1, -solver.Inf, hours)
		s, _ := session.Solve(context.Background())
		fmt.Println(hours, s.Objective)
	}
	// Output:
	// 12 36
	// 14 39
	// 18 45
	// 20 45
}

func ExampleFollow() {
	p := glass()
	s, _ := solver.Solve(context.Background(), p, solver.Options{})
	path, _ := solver.Follow(context.Background(), p, s, solver.Direction{Row: 1, Limit: 1, Side: solver.UpperSide}, 0, 10)
	for _, piece := range path.Pieces {
		fmt.Printf("%.0f to %.0f hours more: %.0f to %.0f\n", piece.From, piece.To, piece.ObjectiveFrom, piece.ObjectiveTo)
	}
	// Output:
	// 0 to 6 hours more: 36 to 45
	// 6 to 10 hours more: 45 to 45
}
