package mps_test

import (
	"bytes"
	"context"
	"fmt"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bittersum/solver"
	"bittersum/solver/internal/peer"
	"bittersum/solver/mps"
)

func read(t *testing.T, text string) *solver.Problem {
	t.Helper()
	p, err := mps.Read(strings.NewReader(text))
	require.NoError(t, err)
	return p
}

func proved(t *testing.T, p *solver.Problem) *solver.Proof {
	t.Helper()
	s, err := solver.Solve(context.Background(), p, solver.Options{})
	require.NoError(t, err)
	proof, err := solver.Prove(context.Background(), p, s, solver.Options{})
	require.NoError(t, err)
	require.True(t, proof.Proved(), proof.Reason)
	return proof
}

// Limits are sums of decimals: an L row of 2/5 with the range 1/10 begins at 3/10, where x may stand, and a G
// row of 1/10 with the range 1/5 ends at 3/10.
func TestRangesAreAddedAsDecimals(t *testing.T) {
	proof := proved(t, read(t, "ROWS\n N c\n L r\nCOLUMNS\n x c 1 r 1\nRHS\n R r 0.4\nRANGES\n R r 0.1\nBOUNDS\n UP B x 0.3\nENDATA\n"))
	assert.Equal(t, solver.Optimal, proof.Status)
	assert.Equal(t, "3/10", proof.Objective.RatString())
	proof = proved(t, read(t, "ROWS\n N c\n G r\nCOLUMNS\n x c -1 r 1\nRHS\n R r 0.1\nRANGES\n R r 0.2\nENDATA\n"))
	assert.Equal(t, "-3/10", proof.Objective.RatString())
	for text, want := range map[string]string{ // maximise x between the limits of an equality with a range
		"RHS\n R r 0.1\nRANGES\n R r 0.2\n": "3/10", "RHS\n R r 0.4\nRANGES\n R r -0.1\n": "2/5",
	} {
		proof = proved(t, read(t, "OBJSENSE MAX\nROWS\n N c\n E r\nCOLUMNS\n x c 1 r 1\n"+text+"ENDATA\n"))
		assert.Equal(t, want, proof.Objective.RatString(), text)
	}
}

// Every number counts as the decimal that stands there, of however many digits.
func TestNumbersOfManyDigits(t *testing.T) {
	const text = `ROWS
 N c
 G r
COLUMNS
 x c 1.00000000000000000001 r 3.000000000000000000003
 y c 0.1D1
RHS
 R r 9.000000000000000000009
 R c -0.100000000000000000001
BOUNDS
 LO B y 0.3333333333333333333333333
ENDATA
`
	rational := func(s string) *big.Rat { r, _ := new(big.Rat).SetString(s); return r }
	p := read(t, text)
	want := new(big.Rat).Mul(rational("1.00000000000000000001"), rational("3"))
	want.Add(want, rational("0.3333333333333333333333333"))
	want.Add(want, rational("0.100000000000000000001"))
	assert.Equal(t, want.RatString(), proved(t, p).Objective.RatString())

	var out bytes.Buffer
	require.NoError(t, mps.Write(&out, p))
	assert.Contains(t, out.String(), " x r 3000000000000000000003e-21\n")
	assert.Equal(t, want.RatString(), proved(t, read(t, out.String())).Objective.RatString())

	p.Columns[1].Lower = 0.5 // a figure that is changed counts as what it is changed to
	want.Sub(want, rational("0.3333333333333333333333333"))
	assert.Equal(t, want.Add(want, big.NewRat(1, 2)).RatString(), proved(t, p).Objective.RatString())
}

// sameExactly compares the exact figures of two programs, rows with two bounds that were written apart taken
// together.
func sameExactly(t *testing.T, p, q *solver.Problem) {
	t.Helper()
	text := func(lower, upper *big.Rat) string { return fmt.Sprint(lower, " ", upper) }
	require.Len(t, q.Columns, len(p.Columns))
	for j := range p.Columns {
		require.Zero(t, p.ExactCost(j).Cmp(q.ExactCost(j)))
		require.Equal(t, text(p.ExactBounds(solver.ColumnVariable(j))), text(q.ExactBounds(solver.ColumnVariable(j))))
	}
	k := 0
	for i := range p.Rows {
		lower, upper := p.ExactBounds(solver.RowVariable(i))
		from, to := q.ExactBounds(solver.RowVariable(k))
		if lower != nil && upper != nil && to == nil {
			k++
			_, to = q.ExactBounds(solver.RowVariable(k))
		}
		require.Equal(t, text(lower, upper), text(from, to))
		for n := range p.Rows[i].Terms {
			require.Zero(t, p.ExactTerm(i, n).Cmp(q.ExactTerm(k, n)))
		}
		k++
	}
	require.Len(t, q.Rows, k)
}

// ranged draws the text of a program with decimal ranges; the last of its numbers have more digits than a
// float64 holds.
func ranged(r *rand.Rand) string {
	places := 1 + r.IntN(3)
	decimal := func(most int) string {
		return fmt.Sprintf("%.*f", places, float64(r.IntN(2*most*10)-most*10)/10+float64(r.IntN(100))/1000)
	}
	long := r.IntN(4) == 0
	var columns, rhs, ranges, bounds, rows strings.Builder
	n, m := 1+r.IntN(5), 1+r.IntN(5)
	for i := range m {
		fmt.Fprintf(&rows, " %c r%d\n", "LGE"[r.IntN(3)], i)
		fmt.Fprintf(&rhs, " R r%d %s\n", i, decimal(9))
		if r.IntN(4) > 0 {
			fmt.Fprintf(&ranges, " G r%d %s\n", i, decimal(9))
		}
	}
	for j := range n {
		cost := decimal(5)
		if long {
			cost += "0000000000000000000" + fmt.Sprint(1+r.IntN(9))
		}
		fmt.Fprintf(&columns, " x%d c %s\n", j, cost)
		for i := range m {
			if r.IntN(3) > 0 {
				fmt.Fprintf(&columns, " x%d r%d %s\n", j, i, decimal(4))
			}
		}
		fmt.Fprintf(&bounds, " LO B x%d -%d.%d\n UP B x%d %d.%d\n", j, r.IntN(9), r.IntN(10), j, r.IntN(9), r.IntN(10))
	}
	return "NAME x FREE\nROWS\n N c\n" + rows.String() + "COLUMNS\n" + columns.String() + "RHS\n" + rhs.String() +
		"RANGES\n" + ranges.String() + "BOUNDS\n" + bounds.String() + "ENDATA\n"
}

// The exact solver QSopt_ex, given the text itself and what Write wrote of it, proves the very fraction that
// is proved of what Read read, on 300 programs with decimal ranges; and what is written and read again is the same to the last digit.
func TestRangedProgramsAgreeWithQSoptEx(t *testing.T) {
	present := peer.Esolver.Present()
	outcomes := map[solver.Status]int{}
	for seed := range uint64(300) {
		text := ranged(rand.New(rand.NewPCG(seed, 3)))
		p := read(t, text)
		var out bytes.Buffer
		require.NoError(t, mps.Write(&out, p))
		sameExactly(t, p, read(t, out.String()))
		proof := proved(t, p)
		outcomes[proof.Status]++
		if !present {
			continue
		}
		for _, file := range []string{text, out.String()} {
			answer, err := peer.Esolver.SolveText(t.TempDir(), []byte(file))
			require.NoError(t, err)
			require.Equal(t, proof.Status, answer.Status, "%s\n%s", file, answer.Log)
			if proof.Status == solver.Optimal {
				require.Equal(t, answer.Exact.RatString(), proof.Objective.RatString(), file)
			}
		}
	}
	assert.Greater(t, outcomes[solver.Optimal], 50, "%v", outcomes)
	assert.Greater(t, outcomes[solver.Infeasible], 20, "%v", outcomes)
	if !present {
		t.Skip("esolver is not installed: the fractions are not compared with another exact solver")
	}
}
