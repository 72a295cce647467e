package solver

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func ranging(t testing.TB, p *Problem) *Ranging {
	t.Helper()
	r, err := Range(context.Background(), p, nil)
	require.NoError(t, err)
	return r
}

// The ranges of every textbook problem whose vertex is not degenerate are those of its basis, which
// agree with HiGHS and, for plan, with the report printed in the GLPK reference manual.
func TestRangeTextbook(t *testing.T) {
	for _, c := range textbook(t) {
		if c.Exact == nil || len(c.Exact.Degenerate) > 0 {
			continue
		}
		t.Run(c.ID, func(t *testing.T) {
			p := c.problem(t)
			r := ranging(t, p)
			for j, col := range p.Columns {
				want := c.Exact.X[col.Name].CostRange
				requireClose(t, number(t, want[0]), r.Costs[j].From, col.Name)
				requireClose(t, number(t, want[1]), r.Costs[j].To, col.Name)
			}
			for i, row := range p.Rows {
				want, got := c.Exact.Rows[row.Name], r.Rows[i]
				same := func(interval []string, got *LimitRange) {
					t.Helper()
					if interval == nil {
						return
					}
					require.NotNil(t, got, row.Name)
					require.False(t, got.Degenerate, row.Name)
					requireClose(t, number(t, interval[0]), got.Down.Until, row.Name)
					requireClose(t, number(t, interval[1]), got.Up.Until, row.Name)
					requireClose(t, number(t, want.ShadowPrice), got.Up.Dual, row.Name)
				}
				same(want.LowerRange, got.Lower)
				same(want.UpperRange, got.Upper)
				switch want.Status {
				case "l":
					same(want.Range, got.Lower)
				case "u":
					same(want.Range, got.Upper)
				case "s":
					same(want.Range, got.Both)
				default:
					require.Equal(t, "b", want.Status)
				}
			}
			require.False(t, r.Degenerate)
		})
	}
}

// Winston section 6.3: Dakota's table would be made from a price of 35, and a nonbinding limit's range
// ends at its activity.
func TestRangeDakota(t *testing.T) {
	p := textbookProblem(t, "dakota")
	r := ranging(t, p)
	table := r.Costs[columnNamed(t, p, "TABLE")]
	require.Equal(t, 35.0, table.Entry)
	require.True(t, math.IsNaN(r.Costs[columnNamed(t, p, "DESK")].Entry))
	lumber := r.Rows[rowNamed(t, p, "LUMBER")].Upper
	require.Equal(t, &LimitRange{
		Limit: 48, Value: 24, Opposite: math.Inf(-1),
		Down: Change{Until: 24}, Up: Change{Until: Inf},
	}, lumber)
}

// A two-sided row's range passes its other side, and says where that is.
func TestRangeTwoSidedRow(t *testing.T) {
	p := &Problem{Columns: []Column{{Cost: 1, Upper: 100}, {Cost: 3, Upper: 100}}}
	p.AddRow(Row{Lower: 10, Upper: 20, Terms: []Term{{0, 1}, {1, 1}}})
	p.AddRow(Row{Lower: 2, Upper: 2, Terms: []Term{{1, 1}}})
	r := ranging(t, p)
	require.Equal(t, &LimitRange{
		Limit: 10, Value: 10, Opposite: 20,
		Down: Change{Dual: 1, Until: 2}, Up: Change{Dual: 1, Until: 102, Infeasible: true},
	}, r.Rows[0].Lower)
	require.Equal(t, &LimitRange{
		Limit: 20, Value: 10, Opposite: 10,
		Down: Change{Until: 10, Infeasible: true}, Up: Change{Until: Inf},
	}, r.Rows[0].Upper)
	require.Equal(t, &LimitRange{
		Limit: 2, Value: 2, Opposite: Inf,
		Down: Change{Dual: 2, Until: 0, Infeasible: true}, Up: Change{Dual: 2, Until: 10},
	}, r.Rows[1].Both)
	require.Nil(t, r.Rows[1].Lower)
	require.Equal(t, &LimitRange{
		Limit: 0, Value: 8, Opposite: 100,
		Down: Change{Until: math.Inf(-1)}, Up: Change{Until: 8},
	}, r.Columns[0].Lower)
}

// At the degenerate vertex of max x + y, x <= 1, y <= 1, x + y <= 2, one more unit of the sum's limit
// is worth nothing and one less costs one, whichever basis describes the vertex.
func TestRangeDegenerateVertex(t *testing.T) {
	p := &Problem{Sense: Maximize, Columns: []Column{{Cost: 1, Upper: Inf}, {Cost: 1, Upper: Inf}}}
	p.AddRow(Row{Lower: -Inf, Upper: 1, Terms: []Term{{0, 1}}})
	p.AddRow(Row{Lower: -Inf, Upper: 1, Terms: []Term{{1, 1}}})
	p.AddRow(Row{Lower: -Inf, Upper: 2, Terms: []Term{{0, 1}, {1, 1}}})
	vertices := []*Basis{
		{Columns: []Place{Basic, Basic}, Rows: []Place{AtUpper, AtUpper, Basic}},
		{Columns: []Place{Basic, Basic}, Rows: []Place{AtUpper, Basic, AtUpper}},
		{Columns: []Place{Basic, Basic}, Rows: []Place{Basic, AtUpper, AtUpper}},
	}
	for _, basis := range vertices {
		r, err := Range(context.Background(), p, &Solution{Basis: basis})
		require.NoError(t, err)
		require.True(t, r.Degenerate)
		require.Equal(t, &LimitRange{
			Limit: 2, Value: 2, Opposite: math.Inf(-1), Degenerate: true,
			Down: Change{Dual: 1, Until: 0, Infeasible: true}, Up: Change{Until: Inf},
		}, r.Rows[2].Upper)
		// Down to zero the sum's limit no longer binds and x alone is lost.
		require.Equal(t, &LimitRange{
			Limit: 1, Value: 1, Opposite: math.Inf(-1), Degenerate: true,
			Down: Change{Dual: 1, Until: 0, Infeasible: true}, Up: Change{Until: Inf},
		}, r.Rows[0].Upper)
		require.Equal(t, CostRange{Cost: 1, From: 0, To: Inf, Entry: math.NaN()}.From, r.Costs[0].From)
		require.Equal(t, Inf, r.Costs[0].To)
	}
}

func TestRangeInfeasibleAtOnce(t *testing.T) {
	p := &Problem{Columns: []Column{{Cost: 1, Upper: 1}}}
	p.AddRow(Row{Lower: 1, Upper: Inf, Terms: []Term{{0, 1}}})
	r := ranging(t, p)
	require.Equal(t, Change{Dual: Inf, Until: 1, Infeasible: true}, r.Rows[0].Lower.Up)
	require.Equal(t, Change{Dual: 1, Until: 0}, r.Rows[0].Lower.Down)
	require.Equal(t, Change{Dual: math.Inf(-1), Until: 1, Infeasible: true}, r.Columns[0].Upper.Down)
}

func TestRangeErrors(t *testing.T) {
	_, err := Range(context.Background(), &Problem{Columns: []Column{{Kind: Integer, Upper: 1}}}, nil)
	require.ErrorIs(t, err, errNotLinear)
	_, err = Range(context.Background(), &Problem{Columns: []Column{{Cost: -1, Upper: Inf}}}, nil)
	require.EqualError(t, err, "solver: there is no optimum to explain: the problem is unbounded")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = Range(ctx, textbookProblem(t, "food1"), nil)
	require.ErrorIs(t, err, context.Canceled)
}

// Each dual value is the quotient of fresh exact solves all along its interval, and no longer beyond
// it; X is optimal all along its cost intervals, and not beyond.
func TestRangeProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := optimalTiny().Draw(rt, "problem")
		r := ranging(t, p)
		base := prove(t, p, nil)
		for i := range p.Rows {
			requireSides(rt, p, base, RowVariable(i), r.Rows[i])
		}
		for j := range p.Columns {
			requireSides(rt, p, base, ColumnVariable(j), r.Columns[j])
			requireCost(rt, p, floats(base.X), j, r.Costs[j])
		}
	})
}

func requireSides(t require.TestingT, p *Problem, base *Proof, v Variable, ranges SideRanges) {
	for side, of := range map[Side]*LimitRange{LowerSide: ranges.Lower, UpperSide: ranges.Upper, BothSides: ranges.Both} {
		if of == nil {
			continue
		}
		for direction, change := range map[float64]Change{-1: of.Down, 1: of.Up} {
			requireChange(t, p, base, Bound{v, side}, of, direction, change)
		}
	}
}

func requireChange(t require.TestingT, p *Problem, base *Proof, bound Bound, of *LimitRange, direction float64, change Change) {
	reach := math.Abs(change.Until - of.Limit)
	at := func(by float64) *Proof {
		q := moved(p, []Move{{bound, direction}}, by)
		lower, upper := q.bounds(bound.Variable)
		switch { // the opposite side is no obstacle
		case bound.Side == LowerSide && *lower > *upper:
			*upper = Inf
		case bound.Side == UpperSide && *lower > *upper:
			*lower = -Inf
		}
		proof, err := Prove(context.Background(), q, nil, Options{})
		require.NoError(t, err)
		return proof
	}
	for _, share := range []float64{0.3, 0.9} {
		by := decimals(share*math.Min(reach, 50), 4)
		if by == 0 || by > reach {
			continue
		}
		proof := at(by)
		require.Equal(t, Optimal, proof.Status, "%+v by %v: %+v", bound, by, change)
		want := float(base.Objective) + direction*by*change.Dual
		require.InDelta(t, want, float(proof.Objective), 1e-9*(1+math.Abs(want)), "%+v by %v: %+v", bound, by, change)
	}
	if math.IsInf(reach, 0) {
		return
	}
	beyond := at(decimals(reach+1e-5, 6))
	if change.Infeasible {
		if bound.Side == BothSides || of.Opposite == Inf || of.Opposite == -Inf {
			require.Equal(t, Infeasible, beyond.Status, "%+v: %+v", bound, change)
		}
		return
	}
	require.Equal(t, Optimal, beyond.Status, "%+v: %+v", bound, change)
	line := float(base.Objective) + direction*decimals(reach+1e-5, 6)*change.Dual
	require.Greater(t, math.Abs(line-float(beyond.Objective)), 1e-11*(1+math.Abs(line)), "%+v holds beyond %+v", bound, change)
}

func requireCost(t require.TestingT, p *Problem, x []float64, j int, of CostRange) {
	require.LessOrEqual(t, of.From, of.Cost)
	require.GreaterOrEqual(t, of.To, of.Cost)
	gap := func(cost float64) float64 {
		q := p.Clone()
		q.Columns[j].Cost = cost
		proof, err := Prove(context.Background(), q, nil, Options{})
		require.NoError(t, err)
		if proof.Status == Unbounded {
			return Inf
		}
		return math.Abs(float(proof.Objective) - q.Value(x))
	}
	inside := func(cost float64) {
		if cost = decimals(cost, 4); cost >= of.From && cost <= of.To {
			require.Less(t, gap(cost), 1e-7, "cost %v of column %d: %+v", cost, j, of)
		}
	}
	inside(of.Cost - 0.9*math.Min(of.Cost-of.From, 40))
	inside(of.Cost + 0.9*math.Min(of.To-of.Cost, 40))
	if !math.IsInf(of.From, 0) {
		require.Greater(t, gap(decimals(of.From-1e-5, 6)), 1e-9, "below: column %d: %+v", j, of)
	}
	if !math.IsInf(of.To, 0) {
		require.Greater(t, gap(decimals(of.To+1e-5, 6)), 1e-9, "above: column %d: %+v", j, of)
	}
}

// BenchmarkRange ranges a recipe-sized program from its optimal basis.
func BenchmarkRange(b *testing.B) {
	p := recipeProgram(30, 20)
	s := prove(b, p, nil).Solution()
	for b.Loop() {
		if _, err := Range(context.Background(), p, s); err != nil {
			b.Fatal(err)
		}
	}
}
