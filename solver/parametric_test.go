package solver

import (
	"context"
	"math"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func rowNamed(t testing.TB, p *Problem, name string) int {
	t.Helper()
	i := slices.IndexFunc(p.Rows, func(r Row) bool { return r.Name == name })
	require.GreaterOrEqual(t, i, 0, name)
	return i
}

func columnNamed(t testing.TB, p *Problem, name string) int {
	t.Helper()
	j := slices.IndexFunc(p.Columns, func(c Column) bool { return c.Name == name })
	require.GreaterOrEqual(t, j, 0, name)
	return j
}

// segment is one line of a published or independently derived table of an optimal-value curve.
type segment struct{ from, to, objective, slope float64 }

// segments are the curve's pieces without the break-points at which the objective does not bend.
func segments(c *Curve) (s []segment) {
	for _, p := range c.Pieces {
		if n := len(s); n > 0 && math.Abs(s[n-1].slope-p.Slope) < 1e-12 {
			s[n-1].to = p.To
			continue
		}
		s = append(s, segment{p.From, p.To, p.ObjectiveFrom, p.Slope})
	}
	return s
}

func requireSegments(t testing.TB, want, got []segment) {
	t.Helper()
	require.Len(t, got, len(want), "%v", got)
	for k := range want {
		requireClose(t, want[k].from, got[k].from)
		requireClose(t, want[k].to, got[k].to)
		requireClose(t, want[k].objective, got[k].objective)
		requireClose(t, want[k].slope, got[k].slope)
	}
}

// Optimal value against one right-hand side. The middle intervals stand in Hillier & Lieberman
// (Wyndor), Winston section 6.3 (Dakota) and Taha (TOYCO); the whole curves, and those of the two
// diets, were derived in rational arithmetic independently of this project.
func TestParametricLimitsTextbook(t *testing.T) {
	cases := []struct {
		id, row  string
		from, to float64
		want     []segment
	}{
		{"wyndor", "PLANT2", 0, 24, []segment{{0, 6, 12, 2.5}, {6, 18, 27, 1.5}, {18, 24, 45, 0}}},
		{"wyndor", "PLANT3", 0, 36, []segment{{0, 12, 0, 2.5}, {12, 24, 30, 1}, {24, 36, 42, 0}}},
		{"toyco", "OP1", 0, 600, []segment{{0, 230, 0, 5}, {230, 440, 1150, 1}, {440, 600, 1360, 0}}},
		{"dakota", "FINISH", 0, 40, []segment{{0, 16, 0, 15}, {16, 24, 240, 10}, {24, 40, 320, 0}}},
		{"dakota", "CARPENT", 0, 16, []segment{{0, 20.0 / 3, 0, 40}, {20.0 / 3, 10, 800.0 / 3, 10}, {10, 16, 300, 0}}},
		{"windiet", "SUGAR", 0, 20, []segment{{0, 6, 60, 0}, {6, 20, 60, 7.5}}},
		{"polly", "CALCIUM", 0, 2500, []segment{
			{0, 1334.5, 92.5, 0}, {1334.5, 6908.0 / 3, 92.5, 0.0049922534},
			{6908.0 / 3, 2374.1538461538, 97.333333333, 0.099713056},
			{2374.1538461538, 2443.6363636364, 104.461538462, 0.15821256},
			{2443.6363636364, 2500, 115.454545455, 0.169039146},
		}},
	}
	for _, c := range cases {
		t.Run(c.id+" "+c.row, func(t *testing.T) {
			p := textbookProblem(t, c.id)
			i := rowNamed(t, p, c.row)
			side, now := UpperSide, p.Rows[i].Upper
			if now >= Huge {
				side, now = LowerSide, p.Rows[i].Lower
			}
			moves := []Move{{RowBound(i, side), 1}}
			curve, err := ParametricLimits(context.Background(), p, nil, moves, c.from-now, c.to-now)
			require.NoError(t, err)
			got := segments(curve)
			for k := range got {
				got[k].from += now
				got[k].to += now
			}
			if c.id == "polly" { // its table is printed to nine figures
				for k := range got {
					require.InEpsilon(t, 1+c.want[k].slope, 1+got[k].slope, 1e-8)
					got[k].slope = c.want[k].slope
				}
			}
			requireSegments(t, c.want, got)
			require.Equal(t, Optimal, curve.Low)
			require.Equal(t, Optimal, curve.High)
			requireSoundCurve(t, p, curve, true, func(t float64) *Problem { return moved(p, moves, t) })
		})
	}
}

// Hillier & Lieberman's parametric cost table of the Wyndor Glass problem, z = (3+2t) x1 + (5-t) x2.
func TestParametricCostsWyndor(t *testing.T) {
	p := textbookProblem(t, "wyndor")
	curve, err := ParametricCosts(context.Background(), p, nil, []float64{2, -1}, 0, Inf)
	require.NoError(t, err)
	requireSegments(t, []segment{{0, 9.0 / 7, 36, -2}, {9.0 / 7, 5, 27 + 45.0/7, 5}, {5, Inf, 52, 8}}, segments(curve))
	require.Equal(t, [][]float64{{2, 6}, {4, 3}, {4, 0}}, [][]float64{
		curve.Pieces[0].XFrom, curve.Pieces[1].XFrom, curve.Pieces[2].XFrom,
	})
	require.Equal(t, []Variable{RowVariable(1)}, curve.Pieces[1].Entering)
	require.Equal(t, []Variable{RowVariable(0)}, curve.Pieces[1].Leaving)
	objective, x := curve.Find(10).At(10)
	requireClose(t, 92, objective)
	require.Equal(t, []float64{4, 0}, x)
}

func TestParametricEnds(t *testing.T) {
	ctx := context.Background()
	p := textbookProblem(t, "wyndor")
	t.Run("infeasible", func(t *testing.T) {
		curve, err := ParametricLimits(ctx, p, nil, []Move{{RowBound(0, UpperSide), 1}}, -Inf, Inf)
		require.NoError(t, err)
		require.Equal(t, Infeasible, curve.Low)
		require.Equal(t, -4.0, curve.Pieces[0].From)
		require.Equal(t, Optimal, curve.High)
		last := curve.Pieces[len(curve.Pieces)-1]
		require.Equal(t, Inf, last.To)
		require.Nil(t, last.XTo)
		require.Equal(t, 36.0, last.ObjectiveTo)
	})
	t.Run("unbounded", func(t *testing.T) {
		free := p.Clone()
		free.Rows[1].Upper, free.Rows[2].Upper = Inf, Inf
		free.Columns[1].Cost = -1
		curve, err := ParametricCosts(ctx, free, nil, []float64{0, 1}, -3, 9)
		require.NoError(t, err)
		require.Equal(t, Unbounded, curve.High)
		require.Equal(t, 1.0, curve.Pieces[len(curve.Pieces)-1].To)
	})
	t.Run("sides cross", func(t *testing.T) {
		q := &Problem{Columns: []Column{{Cost: 1, Lower: 1, Upper: 3}}}
		curve, err := ParametricLimits(ctx, q, nil, []Move{{ColumnBound(0, LowerSide), 2}}, 0, 9)
		require.NoError(t, err)
		require.Equal(t, Infeasible, curve.High)
		require.Equal(t, segment{0, 1, 1, 2}, segments(curve)[0])
	})
	t.Run("errors", func(t *testing.T) {
		for _, bad := range [][]Move{
			{{RowBound(0, LowerSide), 1}}, {{RowBound(9, UpperSide), 1}}, {{ColumnBound(-1, LowerSide), 1}},
			{{RowBound(0, UpperSide), math.NaN()}},
		} {
			_, err := ParametricLimits(ctx, p, nil, bad, -1, 1)
			require.Error(t, err)
		}
		_, err := ParametricLimits(ctx, p, nil, nil, 1, 2)
		require.Error(t, err)
		_, err = ParametricCosts(ctx, p, nil, []float64{1}, 0, 2)
		require.Error(t, err)
		_, err = ParametricCosts(ctx, textbookProblem(t, "ampldt2"), nil, make([]float64, 8), 0, 2)
		require.EqualError(t, err, "solver: there is no optimum to explain: the problem is infeasible")
	})
}

// decimals rounds v to so many decimal places, so that it stands for a short decimal again.
func decimals(v float64, places int) float64 {
	short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'f', places, 64), 64)
	if err != nil {
		panic(err)
	}
	return short
}

// moved returns p with its bounds at parameter t.
func moved(p *Problem, moves []Move, t float64) *Problem {
	q := p.Clone()
	for _, m := range moves {
		lower, upper := q.bounds(m.Bound.Variable)
		if m.Bound.Side != UpperSide {
			*lower = decimals(*lower+t*m.Rate, 9)
		}
		if m.Bound.Side != LowerSide {
			*upper = decimals(*upper+t*m.Rate, 9)
		}
	}
	return q
}

func priced(p *Problem, rates []float64, t float64) *Problem {
	q := p.Clone()
	for j := range q.Columns {
		q.Columns[j].Cost = decimals(q.Columns[j].Cost+t*rates[j], 9)
	}
	return q
}

// requireSoundCurve checks that the pieces meet, have length, bend the right way, and agree with fresh
// exact solves inside every piece and beyond the ends.
func requireSoundCurve(t require.TestingT, p *Problem, c *Curve, limits bool, at func(t float64) *Problem) {
	bend := 1.0
	if (p.Sense == Maximize) == limits {
		bend = -1
	}
	for k, piece := range c.Pieces {
		require.Less(t, piece.From, piece.To)
		if k > 0 {
			before := c.Pieces[k-1]
			require.Equal(t, before.To, piece.From)
			require.InDelta(t, before.ObjectiveTo, piece.ObjectiveFrom, 1e-9*(1+math.Abs(piece.ObjectiveFrom)))
			require.GreaterOrEqual(t, bend*(piece.Slope-before.Slope), -1e-12)
			if limits {
				require.InDeltaSlice(t, before.XTo, piece.XFrom, 1e-9)
			}
		}
		for _, share := range []float64{0.25, 0.5} {
			from, to := piece.From, math.Min(piece.To, math.Max(piece.From, -1e3)+1e3)
			from = math.Max(from, to-1e3)
			where := decimals(from+share*(to-from), 4)
			if where < from || where > to {
				continue
			}
			objective, x := piece.At(where)
			proof, err := Prove(context.Background(), at(where), nil, Options{})
			require.NoError(t, err)
			require.Equal(t, Optimal, proof.Status, "at %v of %+v", where, piece)
			require.InDelta(t, float(proof.Objective), objective, 1e-9*(1+math.Abs(objective)))
			require.InDelta(t, at(where).Value(x), objective, 1e-9*(1+math.Abs(objective)))
		}
	}
	beyond := func(end Status, where float64) {
		proof, err := Prove(context.Background(), at(where), nil, Options{})
		require.NoError(t, err)
		if end != Optimal {
			require.Equal(t, end, proof.Status, "at %v beyond the end", where)
		}
	}
	if n := len(c.Pieces); n > 0 {
		beyond(c.Low, decimals(c.Pieces[0].From-1e-5, 6))
		beyond(c.High, decimals(c.Pieces[n-1].To+1e-5, 6))
	}
}

// optimalTiny draws tiny problems that have an optimum.
func optimalTiny() *rapid.Generator[*Problem] {
	return tinyProblem().Filter(func(p *Problem) bool {
		proof, err := Prove(context.Background(), p, nil, Options{})
		return err == nil && proof.Status == Optimal
	})
}

func TestParametricLimitsProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := optimalTiny().Draw(rt, "problem")
		rate := rapid.SampledFrom([]float64{0, 1, -1, 2, 0.5})
		var moves []Move
		move := func(v Variable, lower, upper float64) {
			if lower > -Huge {
				moves = append(moves, Move{Bound{v, LowerSide}, rate.Draw(rt, "rate")})
			}
			if upper < Huge {
				moves = append(moves, Move{Bound{v, UpperSide}, rate.Draw(rt, "rate")})
			}
		}
		for i, row := range p.Rows {
			move(RowVariable(i), row.Lower, row.Upper)
		}
		if rapid.Bool().Draw(rt, "move columns") {
			for j, c := range p.Columns {
				move(ColumnVariable(j), c.Lower, c.Upper)
			}
		}
		curve, err := ParametricLimits(context.Background(), p, nil, moves, -4, 5)
		require.NoError(rt, err)
		requireSoundCurve(rt, p, curve, true, func(t float64) *Problem { return moved(p, moves, t) })
	})
}

func TestParametricCostsProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := optimalTiny().Draw(rt, "problem")
		rates := make([]float64, len(p.Columns))
		for j := range rates {
			rates[j] = rapid.SampledFrom([]float64{0, 1, -1, 2, 0.5}).Draw(rt, "rate")
		}
		curve, err := ParametricCosts(context.Background(), p, nil, rates, -4, 5)
		require.NoError(rt, err)
		requireSoundCurve(rt, p, curve, false, func(t float64) *Problem { return priced(p, rates, t) })
	})
}

// BenchmarkParametricLimits follows a recipe-sized program as one target moves by a tenth either way.
func BenchmarkParametricLimits(b *testing.B) {
	p := recipeProgram(30, 20)
	s := prove(b, p, nil).Solution()
	moves := []Move{{RowBound(3, LowerSide), p.Rows[3].Lower}, {RowBound(3, UpperSide), p.Rows[3].Lower}}
	pieces := 0
	for b.Loop() {
		curve, err := ParametricLimits(context.Background(), p, s, moves, -0.1, 0.1)
		if err != nil {
			b.Fatal(err)
		}
		pieces = len(curve.Pieces)
	}
	b.ReportMetric(float64(pieces), "pieces")
}
