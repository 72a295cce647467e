package solver

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
)

// forgeable is a program whose optimum 17/5 lies at x = 6/5, y = 8/5, z = 1 (by hand: the two rows hold with
// equality, z stands on its upper bound) with the dual values 1/5, 2/5 and the reduced cost of z below zero.
//
//	maximise x + y + z·3/5   x + 2y <= 22/5,  3x + y <= 26/5,  0 <= z <= 1
func forgeable() *Problem {
	p := &Problem{Sense: Maximize, Columns: []Column{{Name: "x", Cost: 1, Upper: Inf}, {Name: "y", Cost: 1, Upper: Inf}, {Name: "z", Cost: 0.6, Upper: 1}}}
	p.AddRow(Row{Name: "first", Lower: -Inf, Upper: 4.4, Terms: []Term{{0, 1}, {1, 2}}})
	p.AddRow(Row{Name: "second", Lower: -Inf, Upper: 5.2, Terms: []Term{{0, 3}, {1, 1}}})
	p.AddRow(Row{Name: "idle", Lower: -1, Upper: 100, Terms: []Term{{0, 1}, {2, -1}}})
	return p
}

func ratsCopied(x []*big.Rat) []*big.Rat {
	y := make([]*big.Rat, len(x))
	for n := range x {
		y[n] = new(big.Rat).Set(x[n])
	}
	return y
}

func copyOf(p *Proof) *Proof {
	c := *p
	c.X, c.Activity, c.Dual, c.ReducedCost = ratsCopied(p.X), ratsCopied(p.Activity), ratsCopied(p.Dual), ratsCopied(p.ReducedCost)
	c.Farkas, c.Ray = ratsCopied(p.Farkas), ratsCopied(p.Ray)
	return &c
}

// Every figure of an optimum moved by the least amount, either way, is refused.
func TestForgedOptimum(t *testing.T) {
	p := forgeable()
	e := newExactProgram(p)
	proof := prove(t, p, nil)
	require.Equal(t, Optimal, proof.Status)
	requireRat(t, big.NewRat(17, 5), proof.Objective)
	require.Empty(t, e.faultOfOptimum(proof))
	parts := func(p *Proof) map[string][]*big.Rat {
		return map[string][]*big.Rat{"x": p.X, "activity": p.Activity, "dual": p.Dual, "reduced cost": p.ReducedCost}
	}
	for name, figures := range parts(proof) {
		for n := range figures {
			for _, by := range []*big.Rat{big.NewRat(1, 1e12), big.NewRat(-1, 1e12)} {
				forged := copyOf(proof)
				at := parts(forged)[name][n]
				at.Add(at, by)
				require.NotEmpty(t, e.faultOfOptimum(forged), "%s %d moved by %s", name, n, by)
			}
		}
	}
}

// A point and prices that fit each other are refused where a price is of the sign that the other bound asks
// for, whatever the sense.
func TestForgedSides(t *testing.T) {
	for _, sense := range []Sense{Minimize, Maximize} {
		p := &Problem{Sense: sense, Columns: []Column{{Cost: 1, Lower: 1, Upper: 2}}}
		p.AddRow(Row{Lower: 3, Upper: 6, Terms: []Term{{0, 3}}})
		e := newExactProgram(p)
		best, worst := int64(1), int64(2)
		if sense == Maximize {
			best, worst = worst, best
		}
		at := func(x int64, dual *big.Rat) *Proof {
			reduced := new(big.Rat).Sub(big.NewRat(1, 1), new(big.Rat).Mul(dual, big.NewRat(3, 1)))
			return &Proof{X: []*big.Rat{big.NewRat(x, 1)}, Activity: []*big.Rat{big.NewRat(3*x, 1)}, Dual: []*big.Rat{dual}, ReducedCost: []*big.Rat{reduced}}
		}
		require.Empty(t, e.faultOfOptimum(at(best, big.NewRat(0, 1))))
		require.Empty(t, e.faultOfOptimum(at(best, big.NewRat(1, 3))))
		require.Equal(t, "a reduced cost has the wrong sign", e.faultOfOptimum(at(worst, big.NewRat(0, 1))))
		require.Equal(t, "a dual value has the wrong sign", e.faultOfOptimum(at(worst, big.NewRat(1, 3))))
		require.Equal(t, "a dual value has the wrong sign", e.faultOfOptimum(at(best, big.NewRat(-1, 1))))
		require.Equal(t, "a reduced cost has the wrong sign", e.faultOfOptimum(at(best, big.NewRat(1, 1))))
		require.Equal(t, "the point lies outside a bound", e.faultOfOptimum(at(3, big.NewRat(0, 1))))
		require.Equal(t, "the point lies outside a bound", e.faultOfOptimum(at(0, big.NewRat(0, 1))))
	}
}

// Multipliers contradict only where the gap is above zero: x + y >= 2 beside x + y <= 2 is no contradiction,
// and beside any smaller limit it is.
func TestForgedFarkas(t *testing.T) {
	at := func(upper float64) *exactProgram {
		p := &Problem{Columns: []Column{{Upper: 5}, {Lower: -3, Upper: Inf}}}
		p.AddRow(Row{Lower: 2, Upper: Inf, Terms: []Term{{0, 1}, {1, 1}}})
		p.AddRow(Row{Lower: -Inf, Upper: upper, Terms: []Term{{0, 1}, {1, 1}}})
		return newExactProgram(p)
	}
	weights := func(a, b int64) []*big.Rat { return []*big.Rat{big.NewRat(a, 1), big.NewRat(b, 1)} }
	require.Empty(t, at(1.999999999).faultOfFarkas(weights(-1, 1)))
	require.NotEmpty(t, at(2).faultOfFarkas(weights(-1, 1)), "the two limits meet")
	require.NotEmpty(t, at(1).faultOfFarkas(weights(1, -1)), "the other sides are infinite")
	require.NotEmpty(t, at(1).faultOfFarkas(weights(0, 0)))
	require.NotEmpty(t, at(1).faultOfFarkas(weights(-1, 2)), "a column without an upper bound is left over")
	require.NotEmpty(t, at(1).faultOfFarkas(weights(-2, 1)), "a column's room covers the gap")
	require.NotEmpty(t, at(1).faultOfFarkas(weights(-1, 0)))

	// Column bounds alone: 3x at most 15 where 15 or 15.001 is asked for.
	only := func(lower float64) *exactProgram {
		p := &Problem{Columns: []Column{{Upper: 5}}}
		p.AddRow(Row{Lower: lower, Upper: Inf, Terms: []Term{{0, 3}}})
		return newExactProgram(p)
	}
	require.Empty(t, only(15.001).faultOfFarkas([]*big.Rat{big.NewRat(-1, 1)}))
	require.NotEmpty(t, only(15).faultOfFarkas([]*big.Rat{big.NewRat(-1, 1)}))
}

// A direction is refused where it leaves a bound that is finite, of a column or a row, and where the objective
// stands still or gets worse.
func TestForgedRay(t *testing.T) {
	p := &Problem{Columns: []Column{{Cost: -1, Upper: Inf}, {Lower: -Inf, Upper: Inf}, {Upper: 4}}}
	p.AddRow(Row{Lower: -Inf, Upper: 1, Terms: []Term{{0, 1}, {1, -1}, {2, 1}}})
	e := newExactProgram(p)
	proof := prove(t, p, nil)
	require.Equal(t, Unbounded, proof.Status)
	require.Empty(t, e.faultOfRay(proof))
	for _, c := range []struct {
		ray  [3]int64
		want string
	}{
		{[3]int64{1, 1, 0}, ""},
		{[3]int64{2, 3, 0}, ""},
		{[3]int64{1, 0, 0}, "the ray runs into a bound"},
		{[3]int64{1, 2, 1}, "the ray runs into a bound"},
		{[3]int64{1, 1, -1}, "the ray runs into a bound"},
		{[3]int64{-1, 0, 0}, "the ray runs into a bound"},
		{[3]int64{0, 1, 0}, "the ray does not improve the objective"},
		{[3]int64{0, 0, 0}, "the ray does not improve the objective"},
	} {
		forged := copyOf(proof)
		forged.Ray = []*big.Rat{big.NewRat(c.ray[0], 1), big.NewRat(c.ray[1], 1), big.NewRat(c.ray[2], 1)}
		require.Equal(t, c.want, e.faultOfRay(forged), c.ray)
	}
	forged := copyOf(proof)
	forged.X[2].SetInt64(5)
	require.NotEmpty(t, e.faultOfRay(forged), "the point it starts from counts too")
}
