package solver

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// methods runs each simplex method by itself from the logical basis, perturbations and all, until run
// confirms the end.
var methods = map[string]func(*simplex) outcome{
	"primal": (*simplex).primal,
	"dual":   (*simplex).dual,
}

func solveBy(p *Problem, method func(*simplex) outcome) *Solution {
	s := newSimplex(newForm(p))
	s.logicalStart()
	s.begin(newLimits(context.Background(), Options{}, s.n+s.m))
	s.refresh()
	if o := method(s); o == noPoint || o == noLimit {
		return s.answer(p, o)
	}
	return s.answer(p, s.run())
}

// certified draws a program together with its optimum. Rows and bounds are chosen so that a drawn point
// and drawn dual values meet the conditions of optimality: each row and column binds on the side that
// the sign of its price asks for, or its price is zero.
func certified(r *rand.Rand, n, m int, decades float64) (*Problem, float64) {
	p := &Problem{Columns: make([]Column, n), Rows: make([]Row, m)}
	x, y := make([]float64, n), make([]float64, m)
	span := func(v, price float64) (lower, upper float64) {
		lower, upper = -Inf, Inf
		switch {
		case price > 0:
			lower = v
		case price < 0:
			upper = v
		default:
			lower = v - r.Float64()
		}
		if r.IntN(3) == 0 {
			if math.IsInf(lower, -1) {
				lower = v - float64(r.IntN(3))
			} else if math.IsInf(upper, 1) {
				upper = v + float64(r.IntN(3))
			}
		}
		return lower, upper
	}
	price := func() float64 { return float64(max(r.IntN(7)-2, 0)*(1-2*r.IntN(2))) / 2 }
	for j := range n {
		x[j] = float64(r.IntN(9) - 2)
	}
	rowScale := make([]float64, m)
	for i := range m {
		y[i] = price()
		rowScale[i] = math.Exp2(math.Round((r.Float64() - 0.5) * decades * 3.3))
		for j := range n {
			if r.Float64() < 0.4 {
				p.Rows[i].Terms = append(p.Rows[i].Terms, Term{j, float64(r.IntN(19)-9) / 2})
			}
		}
		p.Rows[i].Lower, p.Rows[i].Upper = span(formAt(p.Rows[i].Terms, x), y[i])
	}
	cost := make([]float64, n)
	for i := range m {
		for _, t := range p.Rows[i].Terms {
			cost[t.Column] += t.Value * y[i]
		}
	}
	objective := 0.0
	for j := range n {
		d := price()
		p.Columns[j].Lower, p.Columns[j].Upper = span(x[j], d)
		p.Columns[j].Cost = cost[j] + d
		objective += p.Columns[j].Cost * x[j]
	}
	// Rows in other units.
	for i := range m {
		for k := range p.Rows[i].Terms {
			p.Rows[i].Terms[k].Value *= rowScale[i]
		}
		p.Rows[i].Lower *= rowScale[i]
		p.Rows[i].Upper *= rowScale[i]
	}
	return p, objective
}

func TestCertifiedPrograms(t *testing.T) {
	for seed := range uint64(150) {
		r := rand.New(rand.NewPCG(seed, 3))
		p, objective := certified(r, 1+r.IntN(60), r.IntN(60), float64(seed%4)*3)
		s, err := Solve(context.Background(), p, Options{})
		require.NoError(t, err)
		requireOptimum(t, objective, s, "program %d", seed)
		for name, method := range methods {
			requireOptimum(t, objective, solveBy(p, method), "program %d by %s", seed, name)
		}
	}
}

// requireOptimum checks objective, certificate and the shape of the answer.
func requireOptimum(t *testing.T, objective float64, s *Solution, format string, of ...any) {
	t.Helper()
	message := append([]any{format}, of...)
	require.Equal(t, Optimal, s.Status, append([]any{format + ": " + s.Reason}, of...)...)
	room := 1e-8 * (1 + math.Abs(objective))
	require.InDelta(t, objective, s.Objective, room, message...)
	require.LessOrEqual(t, s.Certificate.Gap, room, message...)
	basic := 0
	for _, places := range [][]Place{s.Basis.Columns, s.Basis.Rows} {
		for _, q := range places {
			if q == Basic {
				basic++
			}
		}
	}
	require.Len(t, s.Basis.Rows, basic, message...)
}

// row makes a row from coefficients of the columns in turn.
func row(lower, upper float64, values ...float64) Row {
	r := Row{Lower: lower, Upper: upper}
	for j, v := range values {
		if v != 0 {
			r.Terms = append(r.Terms, Term{j, v})
		}
	}
	return r
}

// nonnegative makes a program with columns from zero up.
func nonnegative(sense Sense, costs []float64, rows ...Row) *Problem {
	p := &Problem{Sense: sense, Rows: rows}
	for _, c := range costs {
		p.AddColumn(Column{Cost: c, Upper: Inf})
	}
	return p
}

// TestCyclingExamples solves programs on which the simplex method with the textbook rule cycles.
func TestCyclingExamples(t *testing.T) {
	tests := map[string]struct {
		p         *Problem
		objective float64
	}{
		// Beale (1955), "Cycling in the dual simplex algorithm", as in Dantzig (1963), section 10-2.
		"Beale": {nonnegative(Minimize, []float64{-0.75, 150, -0.02, 6},
			row(-Inf, 0, 0.25, -60, -0.04, 9), row(-Inf, 0, 0.5, -90, -0.02, 3), row(-Inf, 1, 0, 0, 1)), -0.05},
		// Chvátal (1983), Linear Programming, page 31.
		"Chvatal": {nonnegative(Maximize, []float64{10, -57, -9, -24},
			row(-Inf, 0, 0.5, -5.5, -2.5, 9), row(-Inf, 0, 0.5, -1.5, -0.5, 1), row(-Inf, 1, 1)), 1},
		// Kuhn's example, as in Balinski and Tucker (1969), "Duality theory of linear programs".
		"Kuhn": {nonnegative(Minimize, []float64{-2, -3, 1, 12},
			row(-Inf, 0, -2, -9, 1, 9), row(-Inf, 0, 1.0/3, 1, -1.0/3, -2), row(-Inf, 2, 2, 3, -1, -12)), -2},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			for method, run := range methods {
				requireOptimum(t, test.objective, solveBy(test.p, run), method)
			}
		})
	}
}

// TestKleeMinty solves the cubes of Klee and Minty (1972) in the form of Chvátal (1983), page 47.
func TestKleeMinty(t *testing.T) {
	for n := 2; n <= 8; n++ {
		p := &Problem{Sense: Maximize}
		for j := range n {
			p.AddColumn(Column{Cost: math.Pow(10, float64(n-1-j)), Upper: Inf})
		}
		for i := range n {
			r := Row{Lower: -Inf, Upper: math.Pow(100, float64(i))}
			for j := range i {
				r.Terms = append(r.Terms, Term{j, 2 * math.Pow(10, float64(i-j))})
			}
			r.Terms = append(r.Terms, Term{i, 1})
			p.AddRow(r)
		}
		for method, run := range methods {
			s := solveBy(p, run)
			requireOptimum(t, math.Pow(100, float64(n-1)), s, "cube %d by %s", n, method)
		}
	}
}

// TestMetamorphic changes programs in ways that must not change the optimum, or change it in a known
// way.
func TestMetamorphic(t *testing.T) {
	changes := map[string]func(r *rand.Rand, p *Problem, objective float64) float64{
		"rows and columns in other units": func(r *rand.Rand, p *Problem, objective float64) float64 {
			for i := range p.Rows {
				f := math.Pow(10, r.Float64()*4-2)
				scaleRow(&p.Rows[i], f)
			}
			for j := range p.Columns {
				f := math.Pow(10, r.Float64()*4-2)
				c := &p.Columns[j]
				c.Cost, c.Lower, c.Upper = c.Cost*f, c.Lower/f, c.Upper/f
				for i := range p.Rows {
					for k := range p.Rows[i].Terms {
						if p.Rows[i].Terms[k].Column == j {
							p.Rows[i].Terms[k].Value *= f
						}
					}
				}
			}
			return objective
		},
		"order": func(r *rand.Rand, p *Problem, objective float64) float64 {
			order := r.Perm(len(p.Columns))
			columns := make([]Column, len(p.Columns))
			for j, k := range order {
				columns[k] = p.Columns[j]
			}
			p.Columns = columns
			for i := range p.Rows {
				for k := range p.Rows[i].Terms {
					p.Rows[i].Terms[k].Column = order[p.Rows[i].Terms[k].Column]
				}
			}
			r.Shuffle(len(p.Rows), func(a, b int) { p.Rows[a], p.Rows[b] = p.Rows[b], p.Rows[a] })
			return objective
		},
		"sense": func(_ *rand.Rand, p *Problem, objective float64) float64 {
			p.Sense = Maximize
			for j := range p.Columns {
				p.Columns[j].Cost = -p.Columns[j].Cost
			}
			return -objective
		},
		"repeated rows": func(r *rand.Rand, p *Problem, objective float64) float64 {
			for i := range len(p.Rows) {
				if r.IntN(2) == 0 {
					copied := p.Clone().Rows[i]
					scaleRow(&copied, -2)
					copied.Lower, copied.Upper = copied.Upper, copied.Lower
					p.AddRow(copied)
				}
			}
			return objective
		},
		"costs in other money": func(_ *rand.Rand, p *Problem, objective float64) float64 {
			for j := range p.Columns {
				p.Columns[j].Cost *= 1e5
			}
			p.Offset = 7
			return objective*1e5 + 7
		},
		"mirrored columns": func(_ *rand.Rand, p *Problem, objective float64) float64 {
			for j := range p.Columns {
				c := &p.Columns[j]
				c.Cost, c.Lower, c.Upper = -c.Cost, -c.Upper, -c.Lower
			}
			for i := range p.Rows {
				for k := range p.Rows[i].Terms {
					p.Rows[i].Terms[k].Value *= -1
				}
			}
			return objective
		},
	}
	for name, change := range changes {
		t.Run(name, func(t *testing.T) {
			for seed := range uint64(40) {
				r := rand.New(rand.NewPCG(seed, 5))
				p, objective := certified(r, 2+r.IntN(30), 1+r.IntN(30), 0)
				want := change(r, p, objective)
				s, err := Solve(context.Background(), p, Options{})
				require.NoError(t, err)
				requireOptimum(t, want, s, "program %d", seed)
			}
		})
	}
}

func scaleRow(r *Row, f float64) {
	for k := range r.Terms {
		r.Terms[k].Value *= f
	}
	r.Lower *= f
	r.Upper *= f
}

// TestEdgeCases solves programs at the rim of what a program is.
func TestEdgeCases(t *testing.T) {
	free := Column{Lower: -Inf, Upper: Inf}
	tests := map[string]struct {
		p         *Problem
		status    Status
		objective float64
	}{
		"nothing":                {&Problem{Offset: 3}, Optimal, 3},
		"rows alone":             {&Problem{Rows: []Row{row(-1, 1)}}, Optimal, 0},
		"empty row out of reach": {&Problem{Rows: []Row{row(1, 2)}}, Infeasible, 0},
		"columns alone":          {&Problem{Columns: []Column{{Cost: 2, Lower: 1, Upper: 5}, {Cost: -1, Lower: 0, Upper: 4}}}, Optimal, -2},
		"endless column":         {&Problem{Columns: []Column{{Cost: -1, Upper: Inf}}}, Unbounded, 0},
		"free column":            {&Problem{Columns: []Column{free}}, Optimal, 0},
		"free row":               {&Problem{Columns: []Column{{Cost: 1, Lower: 2, Upper: 3}}, Rows: []Row{row(-Inf, Inf, 1)}}, Optimal, 2},
		"fixed column":           {&Problem{Columns: []Column{{Cost: 1, Lower: 2, Upper: 2}}, Rows: []Row{row(2, 2, 1)}}, Optimal, 2},
		"fixed out of reach":     {&Problem{Columns: []Column{{Cost: 1, Lower: 2, Upper: 2}}, Rows: []Row{row(3, 3, 1)}}, Infeasible, 0},
		"crossed column":         {&Problem{Columns: []Column{{Lower: 2, Upper: 1}}}, Infeasible, 0},
		"crossed row":            {&Problem{Columns: []Column{free}, Rows: []Row{row(2, 1, 1)}}, Infeasible, 0},
		"huge is infinite":       {&Problem{Columns: []Column{{Cost: -1, Upper: 1e30}}}, Unbounded, 0},
		"zero coefficient":       {&Problem{Columns: []Column{{Cost: 1, Lower: 0, Upper: 1}}, Rows: []Row{{Lower: 0, Upper: 0, Terms: []Term{{0, 0}}}}}, Optimal, 0},
		"unbounded through a row": {&Problem{Sense: Maximize, Columns: []Column{{Cost: 1, Upper: Inf}, {Upper: Inf}},
			Rows: []Row{row(-Inf, 1, 1, -1)}}, Unbounded, 0},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			s, err := Solve(context.Background(), test.p, Options{})
			require.NoError(t, err)
			require.Equal(t, test.status, s.Status, s.Reason)
			if s.Status == Optimal {
				require.InDelta(t, test.objective, s.Objective, 1e-12)
			}
			if s.Status == Unbounded {
				require.True(t, provesUnbounded(test.p, s.Ray))
			}
		})
	}
}

func TestMalformedProblemIsAnError(t *testing.T) {
	_, err := Solve(context.Background(), &Problem{Columns: []Column{{Cost: math.NaN()}}}, Options{})
	require.EqualError(t, err, `solver: column 0 "": cost is NaN`)
}

func TestLimits(t *testing.T) {
	p, objective := certified(rand.New(rand.NewPCG(1, 3)), 200, 150, 0)
	ended, cancel := context.WithCancel(context.Background())
	cancel()
	s, err := Solve(ended, p, Options{})
	require.NoError(t, err)
	require.Equal(t, Limit, s.Status)
	require.Equal(t, "interrupted", s.Reason)

	s, err = Solve(context.Background(), p, Options{Iterations: 3})
	require.NoError(t, err)
	require.Equal(t, Limit, s.Status)
	require.Equal(t, "iteration limit", s.Reason)
	require.LessOrEqual(t, s.Iterations, 5)

	s, err = Solve(context.Background(), p, Options{Time: 1})
	require.NoError(t, err)
	require.Equal(t, Limit, s.Status)
	require.Equal(t, "time limit", s.Reason)

	// The basis where a limit stopped is a start for the next solve.
	s, err = Solve(context.Background(), p, Options{Start: s.Basis})
	require.NoError(t, err)
	requireOptimum(t, objective, s, "carried on")

	// A session survives a limit, too.
	session, err := NewSession(p, Options{Time: 1})
	require.NoError(t, err)
	s, err = session.Solve(context.Background())
	require.NoError(t, err)
	require.Equal(t, Limit, s.Status)
	session.SetOptions(Options{Iterations: 5})
	s, err = session.Solve(context.Background())
	require.NoError(t, err)
	require.Equal(t, Limit, s.Status)
	session.SetOptions(Options{})
	s, err = session.Solve(context.Background())
	require.NoError(t, err)
	requireOptimum(t, objective, s, "session carried on")

	lines := 0
	s, err = Solve(context.Background(), p, Options{Progress: func(progress Progress) {
		lines++
		require.NotEmpty(t, progress.Phase)
		require.Positive(t, progress.Iteration)
	}})
	require.NoError(t, err)
	require.Equal(t, s.Iterations/progressEvery > 0, lines > 0)
}

// TestDeterministic solves the same program twice, other solves between.
func TestDeterministic(t *testing.T) {
	p, _ := certified(rand.New(rand.NewPCG(2, 3)), 150, 120, 6)
	first, err := Solve(context.Background(), p, Options{})
	require.NoError(t, err)
	other, _ := certified(rand.New(rand.NewPCG(3, 3)), 90, 140, 0)
	_, err = Solve(context.Background(), other, Options{})
	require.NoError(t, err)
	second, err := Solve(context.Background(), p, Options{})
	require.NoError(t, err)
	require.Equal(t, first, second)
}
