package solver

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The least single relaxations of the two infeasible diets, derived in rational arithmetic
// independently of this project, where all limits were tried. (All bounds of the columns besides.)
func TestSingleRelaxationsTextbook(t *testing.T) {
	cases := map[string]map[string]float64{
		"ampldt2": {"NB2 lower": 601.0913706, "NNA upper": 48186, "HAM upper": 25.28235294, "TUR lower": -15.57003257},
		"jumpinf": {
			"PROTEIN lower": 74.72233581, "SODIUM upper": 2310.630293, "DAIRY upper": 9.561458333,
			"HOTDOG lower": -0.4512594553, "MACARONI lower": -1.165016606,
			"PIZZA lower": -1.951660263, "SALAD lower": -3.326072691,
		},
	}
	for id, want := range cases {
		t.Run(id, func(t *testing.T) {
			p := textbookProblem(t, id)
			var all []Bound
			for i := range p.Rows {
				all = append(all, RowBound(i, LowerSide), RowBound(i, UpperSide))
			}
			for j := range p.Columns {
				all = append(all, ColumnBound(j, LowerSide), ColumnBound(j, UpperSide))
			}
			finite := all[:0]
			for _, b := range all {
				if p.checkSide(b) == nil {
					finite = append(finite, b)
				}
			}
			results, err := SingleRelaxations(context.Background(), p, nil, finite)
			require.NoError(t, err)
			got := map[string]float64{}
			for _, r := range results {
				if r.Possible {
					got[names(p, []Bound{r.Bound})[0]] = r.To
					requireFeasibleFrom(t, p, r)
				}
			}
			require.InDeltaMapValues(t, want, got, 5e-7)
			c, err := FindConflict(context.Background(), p, ConflictOptions{})
			require.NoError(t, err)
			for name := range got {
				require.Contains(t, names(p, c.Members), name, "one limit alone helps only if every conflict holds it")
			}
		})
	}
}

// requireFeasibleFrom checks a relaxation by fresh exact solves, at it and short of it.
func requireFeasibleFrom(t require.TestingT, p *Problem, r SingleRelaxation) {
	at := func(limit float64) *Proof {
		q := p.Clone()
		lower, upper := q.bounds(r.Bound.Variable)
		if r.Bound.Side == LowerSide {
			*lower = limit
		} else {
			*upper = limit
		}
		proof, err := Prove(context.Background(), q, nil, Options{})
		require.NoError(t, err)
		return proof
	}
	step := 1e-9 * (1 + math.Abs(r.To))
	if r.Bound.Side == LowerSide {
		step = -step
	}
	beyond := at(r.To + step)
	require.Equal(t, r.Status, beyond.Status, "%+v", r)
	if r.Status == Optimal {
		require.InDelta(t, float(beyond.Objective), r.Objective, 1e-5*(1+math.Abs(r.Objective)), "%+v", r)
		require.InDelta(t, p.Value(r.X), r.Objective, 1e-9*(1+math.Abs(r.Objective)))
	}
	require.Equal(t, Infeasible, at(r.To-step).Status, "%+v", r)
}

func TestSingleRelaxationsProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := infeasibleTiny().Draw(rt, "problem")
		c, err := FindConflict(context.Background(), p, ConflictOptions{})
		require.NoError(rt, err)
		results, err := SingleRelaxations(context.Background(), p, nil, c.Members)
		require.NoError(rt, err)
		for _, r := range results {
			if r.Possible {
				requireFeasibleFrom(rt, p, r)
				continue
			}
			q := loosened(rt, p, r.Bound)
			require.Equal(rt, Infeasible, prove(t, q, nil).Status, "%+v", r)
		}
	})
}

func TestSingleRelaxationsErrors(t *testing.T) {
	p := textbookProblem(t, "polly")
	_, err := SingleRelaxations(context.Background(), p, nil, []Bound{RowBound(0, LowerSide)})
	require.EqualError(t, err, "solver: the program to relax is feasible")
	for _, bad := range []Bound{RowBound(0, UpperSide), RowBound(9, LowerSide), ColumnBound(0, BothSides)} {
		_, err = SingleRelaxations(context.Background(), p, nil, []Bound{bad})
		require.Error(t, err)
	}
}

// One limit alone is cheapest where its price is low enough: the sodium limit of the second AMPL diet
// is 8186 mg short (testdata/textbook).
func TestLeastRelaxationDiet(t *testing.T) {
	p := textbookProblem(t, "ampldt2")
	i, j := rowNamed(t, p, "NNA"), rowNamed(t, p, "NB2")
	r, err := LeastRelaxation(context.Background(), p, []Price{
		{RowBound(i, UpperSide), 0.001}, {RowBound(j, LowerSide), 1},
	})
	require.NoError(t, err)
	require.Equal(t, Optimal, r.Status)
	requireClose(t, 8.186, r.Cost)
	require.Equal(t, []Shift{{RowBound(i, UpperSide), 40000, 48186, 8.186}}, r.Shifts)

	r, err = LeastRelaxation(context.Background(), p, []Price{{RowBound(rowNamed(t, p, "NCAL"), LowerSide), 1}})
	require.NoError(t, err)
	require.Equal(t, &Relaxation{Status: Infeasible}, r)

	r, err = LeastRelaxation(context.Background(), textbookProblem(t, "polly"), []Price{{RowBound(0, LowerSide), 1}})
	require.NoError(t, err)
	require.Empty(t, r.Shifts)
	require.Zero(t, r.Cost)
	require.Equal(t, 92.5, r.Objective)

	for _, bad := range []Price{{RowBound(i, UpperSide), 0}, {RowBound(i, UpperSide), Inf}, {RowBound(99, UpperSide), 1}} {
		_, err = LeastRelaxation(context.Background(), p, []Price{bad})
		require.Error(t, err)
	}
}

// With every limit priced alike, the least total is that of the elastic program solved the other way
// round, as its dual: the largest infeasibility over multipliers within the prices. Here it is checked
// from both sides: the shifts make the program feasible, and one per cent less on all does not.
func TestLeastRelaxationProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := infeasibleTiny().Draw(rt, "problem")
		var prices []Price
		add := func(v Variable, lower, upper float64) {
			if lower > -Huge {
				prices = append(prices, Price{Bound{v, LowerSide}, rapid.SampledFrom([]float64{1, 2, 0.5}).Draw(rt, "price")})
			}
			if upper < Huge {
				prices = append(prices, Price{Bound{v, UpperSide}, rapid.SampledFrom([]float64{1, 3}).Draw(rt, "price")})
			}
		}
		for i, row := range p.Rows {
			add(RowVariable(i), row.Lower, row.Upper)
		}
		for j, c := range p.Columns {
			add(ColumnVariable(j), c.Lower, c.Upper)
		}
		r, err := LeastRelaxation(context.Background(), p, prices)
		require.NoError(rt, err)
		require.NotEqual(rt, Infeasible, r.Status)
		require.Positive(rt, r.Cost)
		shifted := func(share float64) *Problem {
			q := p.Clone()
			for j := range q.Columns {
				q.Columns[j].Cost = 0
			}
			for _, s := range r.Shifts {
				lower, upper := q.bounds(s.Bound.Variable)
				if s.Bound.Side == LowerSide {
					*lower += share * (s.To - s.Now)
				} else {
					*upper += share * (s.To - s.Now)
				}
			}
			return q
		}
		require.Equal(rt, Optimal, prove(t, shifted(1+1e-9), nil).Status)
		require.Equal(rt, Infeasible, prove(t, shifted(0.99), nil).Status)
		total := 0.0
		for _, s := range r.Shifts {
			total += s.Cost
		}
		require.InDelta(rt, r.Cost, total, 1e-9*(1+total))
	})
}
