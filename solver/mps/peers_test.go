package mps_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bittersum/solver"
	"bittersum/solver/internal/peer"
)

func terms(values ...float64) []solver.Term {
	var t []solver.Term
	for j, v := range values {
		if v != 0 {
			t = append(t, solver.Term{Column: j, Value: v})
		}
	}
	return t
}

// Every installed solver reads what Write wrote and finds the known optimum.
func TestOtherSolversReadWhatIsWritten(t *testing.T) {
	inf := solver.Inf
	wyndor := &solver.Problem{Sense: solver.Maximize, Name: "two products",
		Columns: []solver.Column{{Name: "glass door", Cost: 3, Upper: inf}, {Name: "glass door", Cost: 5, Upper: inf}},
		Rows: []solver.Row{
			{Name: "plant 1", Lower: -inf, Upper: 4, Terms: terms(1)},
			{Name: "plant 2", Lower: -inf, Upper: 12, Terms: terms(0, 2)},
			{Name: "plant 3", Lower: -inf, Upper: 18, Terms: terms(3, 2)},
		}}
	shifted := wyndor.Clone()
	shifted.Offset = 2.5
	shifted.Columns[0].Name = strings.Repeat("long", 60)

	// By hand: x = -3 is forced by its upper bound, y = -10 by the range -12 <= x + y + z <= -9 with
	// z = 1; w = 0.5 by its equality; v costs 1e-7 and is held at 1e7.
	bounds := &solver.Problem{
		Columns: []solver.Column{
			{Name: "x", Cost: -1, Lower: -inf, Upper: -3},
			{Name: "y", Cost: 1, Lower: -inf, Upper: inf},
			{Name: "z", Cost: 0, Lower: 1, Upper: 1},
			{Name: "w", Cost: 2, Lower: -5, Upper: 5},
			{Name: "v", Cost: 1e-7, Lower: 1e7, Upper: 1e8},
			{Name: "nowhere", Cost: 0, Lower: -1, Upper: 0},
		},
		Rows: []solver.Row{
			{Name: "range", Lower: -12, Upper: -9, Terms: terms(1, 1, 1)},
			{Name: "fixed", Lower: 1.25, Upper: 1.25, Terms: terms(0, 0, 0, 2.5)},
			{Name: "none", Lower: -inf, Upper: inf, Terms: terms(1, 1)},
			{Name: "no terms", Lower: -1, Upper: 1},
		}}
	mixed := &solver.Problem{Sense: solver.Maximize,
		Columns: []solver.Column{{Name: "i", Cost: 1, Upper: inf, Kind: solver.Integer}, {Name: "c", Cost: 0.5, Upper: 0.25}, {Name: "j", Cost: -1, Lower: -3, Upper: 7, Kind: solver.Integer}},
		Rows:    []solver.Row{{Name: "r", Lower: -inf, Upper: 7, Terms: terms(2, 1)}},
	}
	for _, c := range []struct {
		name    string
		problem *solver.Problem
		want    float64
		integer bool
	}{
		{"Wyndor Glass (Hillier and Lieberman, Introduction to Operations Research, section 3.1)", wyndor, 36, false},
		{"the same with a constant and a long name", shifted, 38.5, false},
		{"bounds of every kind, by hand", bounds, 3 - 10 + 1 + 1, false},
		{"integers, by hand", mixed, 3 + 0.125 + 3, true},
		{"nothing at all", &solver.Problem{}, 0, false},
	} {
		programs := []peer.Program{peer.Glpsol, peer.Clp, peer.Esolver}
		if c.integer {
			programs = []peer.Program{peer.Glpsol, peer.Cbc}
		}
		if len(c.problem.Columns) == 0 {
			programs = []peer.Program{peer.Glpsol} // the others take no empty program
		}
		for _, program := range programs {
			t.Run(program.Name+"/"+c.name, func(t *testing.T) {
				if !program.Present() {
					t.Skipf("%s is not installed", program.Name)
				}
				answer, err := program.Solve(t.TempDir(), c.problem)
				require.NoError(t, err)
				require.Equal(t, solver.Optimal, answer.Status, answer.Log)
				assert.InDelta(t, c.want, answer.Objective, 1e-7*(1+math.Abs(c.want)))
			})
		}
	}
}
