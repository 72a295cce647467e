package solver_test

import (
	"context"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"bittersum/solver"

	"github.com/stretchr/testify/require"
)

// solvedAndProved solves a program and proves what was found.
func solvedAndProved(t testing.TB, p *solver.Problem) (*solver.Solution, *solver.Proof) {
	t.Helper()
	s, err := solver.Solve(context.Background(), p, solver.Options{})
	require.NoError(t, err)
	begun := time.Now()
	proof, err := solver.Prove(context.Background(), p, s, solver.Options{Time: time.Minute})
	require.NoError(t, err)
	t.Logf("%v %s: %d nodes, %d nodes in floating point, %v", proof.Status, proof.Reason, proof.Nodes, s.Nodes, time.Since(begun).Round(time.Millisecond))
	return s, proof
}

// Stigler's diet with whole numbers (testdata/stigler-integer/SOURCES.md): the optima that three other solvers
// agree on, proved.
func TestProveIntegerStigler(t *testing.T) {
	for name, want := range map[string]float64{
		"stcard1": 0.5072463768115942, "stcard2": 0.13763417645510945, "stcard4": 0.10973128239580072,
		"stmin002": 0.1087443871076945, "stmin01": 0.11161612493190484, "stpack7": 85.5, "stpack365": 3974.5,
	} {
		t.Run(name, func(t *testing.T) {
			_, proof := solvedAndProved(t, readFile(t, filepath.Join("..", "testdata", "stigler-integer", name+".mps")))
			require.Equal(t, solver.Optimal, proof.Status, proof.Reason)
			value, _ := proof.Objective.Float64()
			require.InDelta(t, want, value, 1e-12*math.Abs(want))
		})
	}
}

// bestByTrying returns the least objective over all whole points within the bounds, in exact arithmetic, and nil
// if none meets the rows. A semi-continuous column is tried at whole values too: see below.
func bestByTrying(p *solver.Problem) *big.Rat {
	x := make([]int64, len(p.Columns))
	var best *big.Rat
	var try func(j int)
	try = func(j int) {
		if j < len(x) {
			for x[j] = int64(math.Ceil(p.Columns[j].Lower)); float64(x[j]) <= p.Columns[j].Upper; x[j]++ {
				try(j + 1)
			}
			return
		}
		for i, row := range p.Rows {
			sum := new(big.Rat)
			for k, t := range row.Terms {
				sum.Add(sum, new(big.Rat).Mul(p.ExactTerm(i, k), big.NewRat(x[t.Column], 1)))
			}
			lower, upper := p.ExactBounds(solver.RowVariable(i))
			if lower != nil && sum.Cmp(lower) < 0 || upper != nil && sum.Cmp(upper) > 0 {
				return
			}
		}
		value := p.ExactOffset()
		for k := range x {
			value = new(big.Rat).Add(value, new(big.Rat).Mul(p.ExactCost(k), big.NewRat(x[k], 1)))
		}
		if best == nil || value.Cmp(best) < 0 == (p.Sense == solver.Minimize) && value.Cmp(best) != 0 {
			best = value
		}
	}
	try(0)
	return best
}

// The proved optimum of small programs is the best of all points, tried one by one in exact arithmetic,
// whatever answer the proof begins from.
func TestProveIntegerAgainstTryingAll(t *testing.T) {
	outcomes := map[solver.Status]int{}
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 11))
		figure := func() float64 { return float64(r.IntN(41)-20) / []float64{1, 10, 4}[r.IntN(3)] }
		p := &solver.Problem{Sense: solver.Sense(r.IntN(2)), Offset: figure()}
		for range 1 + r.IntN(4) {
			p.AddColumn(solver.Column{Cost: figure(), Lower: float64(r.IntN(3)-2) * 0.75, Upper: 0.5 + float64(r.IntN(5)), Kind: solver.Integer})
		}
		for range 1 + r.IntN(4) {
			row := solver.Row{Lower: -solver.Inf, Upper: solver.Inf}
			for j := range p.Columns {
				row.Terms = append(row.Terms, solver.Term{Column: j, Value: figure()})
			}
			switch r.IntN(4) {
			case 0:
				row.Lower = figure()
			case 1:
				row.Upper = figure()
			case 2:
				row.Lower = figure()
				row.Upper = row.Lower + math.Abs(figure())
			default:
				row.Lower = figure()
				row.Upper = row.Lower
			}
			p.AddRow(row)
		}
		want := bestByTrying(p)
		s, err := solver.Solve(context.Background(), p, solver.Options{})
		require.NoError(t, err)
		worse := &solver.Solution{X: make([]float64, len(p.Columns))}
		for _, from := range []*solver.Solution{s, nil, worse} {
			proof, err := solver.Prove(context.Background(), p, from, solver.Options{})
			require.NoError(t, err)
			if want == nil {
				require.Equal(t, solver.Infeasible, proof.Status, "program %d", seed)
				continue
			}
			require.Equal(t, solver.Optimal, proof.Status, "program %d: %s", seed, proof.Reason)
			require.Equal(t, want.RatString(), proof.Objective.RatString(), "program %d", seed)
		}
		if want == nil {
			outcomes[solver.Infeasible]++
		} else {
			outcomes[solver.Optimal]++
		}
	}
	require.Greater(t, outcomes[solver.Optimal], 60, "%v", outcomes)
	require.Greater(t, outcomes[solver.Infeasible], 60, "%v", outcomes)
}

func TestProveIntegerOutcomes(t *testing.T) {
	terms := func(values ...float64) []solver.Term {
		var out []solver.Term
		for j, v := range values {
			out = append(out, solver.Term{Column: j, Value: v})
		}
		return out
	}
	t.Run("a hundred-millionth decides", func(t *testing.T) {
		// x = 1 misses 1.00000000000001 by less than any tolerance, so x = 2.
		p := &solver.Problem{Columns: []solver.Column{{Cost: 1, Upper: 10, Kind: solver.Integer}}}
		p.AddRow(solver.Row{Lower: 1.00000000000001, Upper: solver.Inf, Terms: terms(1)})
		_, proof := solvedAndProved(t, p)
		require.Equal(t, "2", proof.Objective.RatString())
	})
	t.Run("semi-continuous", func(t *testing.T) {
		// By hand: of x in {0} or [3, 8] and y in [0, 2], x + y >= 2.5 costs least with y = 2 and x = 0.5,
		// which x may not be; then x = 3 and y = 0 cost 3, x = 0 leaves at most 2.
		p := &solver.Problem{Columns: []solver.Column{{Cost: 1, Lower: 3, Upper: 8, Kind: solver.SemiContinuous}, {Cost: 0.5, Upper: 2}}}
		p.AddRow(solver.Row{Lower: 2.5, Upper: solver.Inf, Terms: terms(1, 1)})
		_, proof := solvedAndProved(t, p)
		require.Equal(t, "3", proof.Objective.RatString())
		p.Rows[0].Lower = 2
		_, proof = solvedAndProved(t, p)
		require.Equal(t, "1", proof.Objective.RatString(), "y alone")
		p.Columns[0].Lower, p.Columns[0].Upper = 9, 8
		p.Rows[0].Lower = 2.5
		_, proof = solvedAndProved(t, p)
		require.Equal(t, solver.Infeasible, proof.Status, "crossed bounds leave zero alone")
	})
	t.Run("unbounded", func(t *testing.T) {
		p := &solver.Problem{Columns: []solver.Column{{Cost: -1, Upper: solver.Inf, Kind: solver.Integer}, {Upper: solver.Inf, Kind: solver.Integer}}}
		p.AddRow(solver.Row{Lower: 0, Upper: 0, Terms: terms(2, -3)})
		_, proof := solvedAndProved(t, p)
		require.Equal(t, solver.Unbounded, proof.Status, proof.Reason)
		require.Len(t, proof.Ray, 2)
		p.AddRow(solver.Row{Lower: 0.5, Upper: 0.6, Terms: terms(2, -4)}) // an even number is none of these
		p.Columns[0].Upper, p.Columns[1].Upper = 1e6, 1e6
		proof, err := solver.Prove(context.Background(), p, nil, solver.Options{})
		require.NoError(t, err)
		require.Equal(t, solver.Infeasible, proof.Status)
	})
	t.Run("no whole number within bounds", func(t *testing.T) {
		p := &solver.Problem{Columns: []solver.Column{{Name: "packs", Lower: 0.1, Upper: 0.9, Kind: solver.Integer}}}
		_, proof := solvedAndProved(t, p)
		require.Equal(t, solver.Infeasible, proof.Status)
		require.Equal(t, `the bounds of column 0 "packs" leave no value`, proof.Reason)
	})
	t.Run("limits", func(t *testing.T) {
		p := readFile(t, filepath.Join("..", "testdata", "stigler-integer", "stpack365.mps"))
		proof, err := solver.Prove(context.Background(), p, nil, solver.Options{Nodes: 3})
		require.NoError(t, err)
		require.Equal(t, solver.Limit, proof.Status)
		require.Equal(t, "nodes ran out", proof.Reason)
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		proof, err = solver.Prove(ctx, p, nil, solver.Options{})
		require.NoError(t, err)
		require.Equal(t, solver.Limit, proof.Status)
		require.Equal(t, "interrupted", proof.Reason)
	})
}

// Equality rows with coefficients of about 1e10: a point that misses one by a unit lies within the tolerance of
// floating point and is no answer. What is called optimal or infeasible is so in exact arithmetic.
func TestWholeRowsKnowNoTolerance(t *testing.T) {
	settled := 0
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 5))
		p := &solver.Problem{}
		row, target := solver.Row{}, 0.0
		for j := range 4 {
			p.AddColumn(solver.Column{Cost: float64(1 + r.IntN(20)), Upper: 6, Kind: solver.Integer})
			value := 1e10 + float64(r.IntN(1000))
			row.Terms = append(row.Terms, solver.Term{Column: j, Value: value})
			target += value * float64(r.IntN(7))
		}
		row.Lower = target + float64(seed%2) // every other one is off by a unit, and mostly has no answer
		row.Upper = row.Lower
		p.AddRow(row)
		s, err := solver.Solve(context.Background(), p, solver.Options{})
		require.NoError(t, err)
		want := bestByTrying(p)
		switch s.Status {
		case solver.Optimal:
			settled++
			require.NotNil(t, want, "program %d has no answer, and %v was found", seed, s.X)
			exact, _ := want.Float64()
			require.Equal(t, exact, s.Objective, "program %d", seed)
			require.Zero(t, s.Certificate.PrimalResidual)
		case solver.Infeasible:
			settled++
			require.Nil(t, want, "program %d", seed)
		}
		proof, err := solver.Prove(context.Background(), p, s, solver.Options{})
		require.NoError(t, err)
		if want == nil {
			require.Equal(t, solver.Infeasible, proof.Status)
		} else {
			require.Equal(t, want.RatString(), proof.Objective.RatString())
		}
	}
	require.Greater(t, settled, 15)
}

// Every program of a collection of textbook cases, linear and mixed-integer, is settled in exact arithmetic with
// the value on record, where BITTERSUM_REFERENCE names a folder that holds the collection.
func TestProveTextbookCollection(t *testing.T) {
	folder := os.Getenv("BITTERSUM_REFERENCE")
	if folder == "" {
		t.Skip("BITTERSUM_REFERENCE names no folder with the textbook programs")
	}
	folder = filepath.Join(folder, "lp", "textbook")
	for _, row := range table(t, filepath.Join(folder, "optima.csv")) {
		t.Run(row["id"], func(t *testing.T) {
			_, proof := solvedAndProved(t, readFile(t, filepath.Join(folder, row["id"]+".mps")))
			if row["published"] == "infeasible" {
				require.Equal(t, solver.Infeasible, proof.Status, proof.Reason)
				return
			}
			require.Equal(t, solver.Optimal, proof.Status, proof.Reason)
			sign := 1.0
			if row["sense"] == "max" && proof.Objective.Sign() < 0 {
				sign = -1 // written as a minimisation
			}
			value, _ := proof.Objective.Float64()
			want, err := strconv.ParseFloat(row["measured_highs"], 64)
			require.NoError(t, err)
			require.InDelta(t, want, sign*value, 1e-9*math.Abs(want)+1e-12)
			if fraction, ok := new(big.Rat).SetString(row["exact_fraction"]); ok {
				exact := new(big.Rat).Mul(proof.Objective, big.NewRat(int64(sign), 1))
				require.Equal(t, fraction.RatString(), exact.RatString())
			}
		})
	}
}
