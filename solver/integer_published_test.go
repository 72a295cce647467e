package solver_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"bittersum/solver"
	"bittersum/solver/mps"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func readFile(t testing.TB, path string) *solver.Problem {
	t.Helper()
	file, err := os.Open(path)
	require.NoError(t, err)
	defer file.Close()
	p, err := mps.Read(file)
	require.NoError(t, err, path)
	return p
}

// The optima are those of testdata/stigler-integer/SOURCES.md.
func TestStiglerWithWholeNumbers(t *testing.T) {
	for name, want := range map[string]float64{
		"stcard1": 0.5072463768115942, "stcard2": 0.13763417645510945, "stcard4": 0.10973128239580072,
		"stmin002": 0.1087443871076945, "stmin01": 0.11161612493190484,
		"stpack7": 85.5, "stpack365": 3974.5,
	} {
		t.Run(name, func(t *testing.T) {
			p := readFile(t, filepath.Join("..", "testdata", "stigler-integer", name+".mps"))
			s, err := solver.Solve(context.Background(), p, solver.Options{})
			require.NoError(t, err)
			require.Equal(t, solver.Optimal, s.Status, s.Reason)
			assert.InEpsilon(t, want, s.Objective, 1e-7)
			assert.InEpsilon(t, want, s.Bound, 1e-7)
			assert.LessOrEqual(t, s.Certificate.PrimalResidual, 1e-7)
			t.Logf("%d nodes, %d iterations", s.Nodes, s.Iterations)
		})
	}
}

// The minimum purchase of stmin002, stated as semi-continuous columns instead of with binaries.
func TestStiglerSemiContinuous(t *testing.T) {
	p := readFile(t, filepath.Join("..", "testdata", "stigler-integer", "stpack7.mps"))
	whole := p.Clone()
	// In stpack7 column j counts purchase units; a use of 3 or more units, or none, and at most 40.
	linked := p.Clone()
	for j := range p.Columns {
		p.Columns[j].Kind, p.Columns[j].Lower, p.Columns[j].Upper = solver.SemiContinuous, 3, 40
		linked.Columns[j].Kind, linked.Columns[j].Upper = solver.Continuous, 40
		z := linked.AddColumn(solver.Column{Kind: solver.Integer, Upper: 1})
		linked.AddRow(solver.Row{Lower: -solver.Inf, Upper: 0, Terms: []solver.Term{{Column: j, Value: 1}, {Column: z, Value: -40}}})
		linked.AddRow(solver.Row{Lower: 0, Upper: solver.Inf, Terms: []solver.Term{{Column: j, Value: 1}, {Column: z, Value: -3}}})
	}
	semi, err := solver.Solve(context.Background(), p, solver.Options{})
	require.NoError(t, err)
	binary, err := solver.Solve(context.Background(), linked, solver.Options{})
	require.NoError(t, err)
	require.Equal(t, solver.Optimal, semi.Status, semi.Reason)
	require.Equal(t, solver.Optimal, binary.Status, binary.Reason)
	assert.InEpsilon(t, binary.Objective, semi.Objective, 1e-7)
	assert.NotEqual(t, whole.Columns[0].Kind, p.Columns[0].Kind)
}

// foodManufacture is H. P. Williams, Model Building in Mathematical Programming, 5th ed. (2013),
// section 12.2, "Food manufacture 2": as 12.1, with at most three oils in a month, 20 tons or more of
// each oil used, and OIL 3 used whenever a vegetable oil is. Prices and conditions are those of the
// GLPK 5.0 example food.mod for the first part.
func foodManufacture() *solver.Problem {
	prices := [][]float64{
		{110, 120, 130, 110, 115}, {130, 130, 110, 90, 115}, {110, 140, 130, 100, 95},
		{120, 110, 120, 120, 125}, {100, 120, 150, 110, 105}, {90, 100, 140, 80, 135},
	}
	hardness := []float64{8.8, 6.1, 2.0, 4.2, 5.0}
	p := &solver.Problem{Sense: solver.Maximize}
	var stock [5]int
	for month, price := range prices {
		made := p.AddColumn(solver.Column{Name: fmt.Sprint("made ", month), Cost: 150, Upper: solver.Inf})
		total := []solver.Term{{Column: made, Value: -1}}
		hard := []solver.Term{{Column: made, Value: -6}}
		soft := []solver.Term{{Column: made, Value: -3}}
		var vegetable, other, count []solver.Term
		var used [5]int
		for oil := range price {
			buy := p.AddColumn(solver.Column{Cost: -price[oil], Upper: solver.Inf})
			limit := 250.0
			if oil < 2 {
				limit = 200
			}
			use := p.AddColumn(solver.Column{Kind: solver.SemiContinuous, Lower: 20, Upper: limit})
			used[oil] = p.AddColumn(solver.Column{Kind: solver.Integer, Upper: 1})
			keep := p.AddColumn(solver.Column{Cost: -5, Upper: 1000})
			balance := solver.Row{Terms: []solver.Term{{Column: buy, Value: 1}, {Column: use, Value: -1}, {Column: keep, Value: -1}}}
			if month == 0 {
				balance.Lower, balance.Upper = -500, -500
			} else {
				balance.Terms = append(balance.Terms, solver.Term{Column: stock[oil], Value: 1})
			}
			p.AddRow(balance)
			if month == len(prices)-1 {
				p.Columns[keep].Lower, p.Columns[keep].Upper = 500, 500
			}
			stock[oil] = keep
			// An oil that is marked as not used has no use, and one that is marked as used has some.
			p.AddRow(solver.Row{Lower: -solver.Inf, Upper: 0, Terms: []solver.Term{{Column: use, Value: 1}, {Column: used[oil], Value: -limit}}})
			p.AddRow(solver.Row{Lower: 0, Upper: solver.Inf, Terms: []solver.Term{{Column: use, Value: 1}, {Column: used[oil], Value: -20}}})
			term := solver.Term{Column: use, Value: 1}
			total = append(total, term)
			hard = append(hard, solver.Term{Column: use, Value: hardness[oil]})
			soft = append(soft, solver.Term{Column: use, Value: hardness[oil]})
			count = append(count, solver.Term{Column: used[oil], Value: 1})
			if oil < 2 {
				vegetable = append(vegetable, term)
			} else {
				other = append(other, term)
			}
		}
		p.AddRow(solver.Row{Terms: total})
		p.AddRow(solver.Row{Lower: -solver.Inf, Upper: 0, Terms: hard})
		p.AddRow(solver.Row{Lower: 0, Upper: solver.Inf, Terms: soft})
		p.AddRow(solver.Row{Lower: -solver.Inf, Upper: 200, Terms: vegetable})
		p.AddRow(solver.Row{Lower: -solver.Inf, Upper: 250, Terms: other})
		p.AddRow(solver.Row{Lower: -solver.Inf, Upper: 3, Terms: count})
		for oil := range 2 {
			p.AddRow(solver.Row{Lower: -solver.Inf, Upper: 0, Terms: []solver.Term{{Column: used[oil], Value: 1}, {Column: used[4], Value: -1}}})
		}
	}
	return p
}

// The published profit is 100279 (Williams, section 14.2; recalled). CBC gives 100278.7037 for the same
// program with binaries for the semi-continuous columns.
func TestFoodManufacture(t *testing.T) {
	s, err := solver.Solve(context.Background(), foodManufacture(), solver.Options{})
	require.NoError(t, err)
	require.Equal(t, solver.Optimal, s.Status, s.Reason)
	assert.InDelta(t, 100278.7037, s.Objective, 1e-3)
	t.Logf("%d nodes, %d iterations", s.Nodes, s.Iterations)
}

func TestIntegerLimits(t *testing.T) {
	p := foodManufacture()
	s, err := solver.Solve(context.Background(), p, solver.Options{Nodes: 5})
	require.NoError(t, err)
	require.Equal(t, solver.Limit, s.Status)
	assert.Equal(t, "node limit", s.Reason)
	assert.GreaterOrEqual(t, s.Bound, 100278.7)
	if s.X != nil {
		assert.LessOrEqual(t, s.Objective, 100278.71)
		assert.InDelta(t, s.Bound-s.Objective, s.Certificate.Gap, 1e-6)
	}

	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	s, err = solver.Solve(ctx, p, solver.Options{})
	require.NoError(t, err)
	assert.Equal(t, solver.Limit, s.Status)

	s, err = solver.Solve(context.Background(), p, solver.Options{Time: time.Nanosecond})
	require.NoError(t, err)
	assert.Equal(t, solver.Limit, s.Status)
}

func TestIntegerSearchIsTheSameEachTime(t *testing.T) {
	p := foodManufacture()
	first, err := solver.Solve(context.Background(), p, solver.Options{Nodes: 60})
	require.NoError(t, err)
	second, err := solver.Solve(context.Background(), p, solver.Options{Nodes: 60})
	require.NoError(t, err)
	assert.Equal(t, first, second)
}
