package solver_test

import (
	"context"
	"testing"
	"time"

	"bittersum/solver"
	"bittersum/solver/internal/generate"

	"github.com/stretchr/testify/require"
)

// The benchmarks take a number of recipe programs in turn, so that no single one decides. Sizes are
// ingredients by attribute ranges; a recipe has some rows more.
const benchmarkPrograms = 16

func BenchmarkSolve12x6(b *testing.B)   { benchmarkSolve(b, 12, 6) }
func BenchmarkSolve30x15(b *testing.B)  { benchmarkSolve(b, 30, 15) }
func BenchmarkSolve60x25(b *testing.B)  { benchmarkSolve(b, 60, 25) }
func BenchmarkSolve120x40(b *testing.B) { benchmarkSolve(b, 120, 40) }

func benchmarkSolve(b *testing.B, n, m int) {
	problems := make([]*solver.Problem, benchmarkPrograms)
	for k := range problems {
		problems[k] = generate.Recipe(n, m, uint64(k+1), false)
	}
	b.ReportAllocs()
	iterations, k := 0, 0
	for b.Loop() {
		s, err := solver.Solve(context.Background(), problems[k%benchmarkPrograms], solver.Options{})
		require.NoError(b, err)
		if s.Status != solver.Optimal {
			b.Fatalf("program %d: %v %s", k%benchmarkPrograms, s.Status, s.Reason)
		}
		iterations += s.Iterations
		k++
	}
	b.ReportMetric(float64(iterations)/float64(k), "pivots/op")
}

// BenchmarkResolve30x15 moves one range of the recipe to and fro and solves again from the last basis.
func BenchmarkResolve30x15(b *testing.B) {
	sessions := make([]*solver.Session, benchmarkPrograms)
	for k := range sessions {
		s, err := solver.NewSession(generate.Recipe(30, 15, uint64(k+1), false), solver.Options{})
		require.NoError(b, err)
		_, err = s.Solve(context.Background())
		require.NoError(b, err)
		sessions[k] = s
	}
	b.ReportAllocs()
	iterations, k := 0, 0
	for b.Loop() {
		session := sessions[k%benchmarkPrograms]
		// Rows 1 to 15 are the attributes; the change loosens and restores one of them in turn.
		row := 1 + k/benchmarkPrograms/2%15
		r := session.Problem().Rows[row]
		factor := 1.03
		if k/benchmarkPrograms%2 == 1 {
			factor = 1 / 1.03
		}
		session.SetRowBounds(row, r.Lower/factor, r.Upper*factor)
		s, err := session.Solve(context.Background())
		require.NoError(b, err)
		if s.Status != solver.Optimal {
			b.Fatalf("program %d: %v %s", k%benchmarkPrograms, s.Status, s.Reason)
		}
		iterations += s.Iterations
		k++
	}
	b.ReportMetric(float64(iterations)/float64(k), "pivots/op")
}

// The second opinion's dense method on the same programs; how many it answers is reported beside its time.
func BenchmarkSecondOpinion12x6(b *testing.B)   { benchmarkOpinion(b, 12, 6) }
func BenchmarkSecondOpinion30x15(b *testing.B)  { benchmarkOpinion(b, 30, 15) }
func BenchmarkSecondOpinion60x25(b *testing.B)  { benchmarkOpinion(b, 60, 25) }
func BenchmarkSecondOpinion120x40(b *testing.B) { benchmarkOpinion(b, 120, 40) }

func benchmarkOpinion(b *testing.B, n, m int) {
	problems := make([]*solver.Problem, benchmarkPrograms)
	for k := range problems {
		problems[k] = generate.Recipe(n, m, uint64(k+1), false)
	}
	answered, k := 0, 0
	for b.Loop() {
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		o, err := solver.SecondOpinion(ctx, problems[k%benchmarkPrograms])
		cancel()
		require.NoError(b, err)
		if o.Status == solver.Optimal {
			answered++
		}
		k++
	}
	b.ReportMetric(float64(answered)/float64(k), "answered/op")
}
