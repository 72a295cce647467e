package solver_test

import (
	"context"
	"math"
	"math/big"
	"os"
	"slices"
	"testing"

	"bittersum/solver"
	"bittersum/solver/mps"

	"github.com/stretchr/testify/require"
)

// stigler is the diet problem of G. Stigler, The Cost of Subsistence, Journal of Farm Economics 27
// (1945), with 77 foods and 9 nutrients; column j is the dollars a day spent on food j.
func stigler(t *testing.T) *solver.Problem {
	t.Helper()
	file, err := os.Open("../testdata/textbook/stigler.mps")
	require.NoError(t, err)
	defer file.Close()
	p, err := mps.Read(file)
	require.NoError(t, err)
	require.Len(t, p.Columns, 77)
	require.Len(t, p.Rows, 9)
	return p
}

func near(t *testing.T, want, got float64, what string) {
	t.Helper()
	require.InDelta(t, want, got, 2e-9*(1+math.Abs(want)), what)
}

// The exact daily cost times 365 is the $39.66 a year that is quoted for the diet (or-tools' sample;
// GLPK's stigler.mod prints 39.69 for 365.25 days). Ranges and break-points were derived in rational
// arithmetic independently of this project.
func TestStigler(t *testing.T) {
	ctx := context.Background()
	p := stigler(t)
	s, err := solver.Solve(ctx, p, solver.Options{})
	require.NoError(t, err)
	proof, err := solver.Prove(ctx, p, s, solver.Options{})
	require.NoError(t, err)
	require.Equal(t, solver.Optimal, proof.Status)
	require.Zero(t, proof.Pivots, "the engine's basis is the optimal one")
	require.Equal(t, big.NewRat(14203683071757, 130714018757558).RatString(), proof.Objective.RatString())
	yearly, _ := proof.Objective.Float64()
	require.InDelta(t, 39.66, 365*yearly, 0.005)

	ranging, err := solver.Range(ctx, p, s)
	require.NoError(t, err)
	require.False(t, ranging.Degenerate)
	foods := map[string][3]float64{ // dollars a day, and the range of the cost, now 1
		"F01": {0.029519061676488274, 0.936804999, 1.525087337},
		"F30": {0.001892557290705256, 0.235788994, 1.198228276},
		"F46": {0.011214435246144868, 0.229384723, 1.714676292},
		"F52": {0.005007660466725204, 0.651204353, 2.021099235},
		"F69": {0.06102856352669324, 0.676692157, 1.030253439},
	}
	eaten := 0
	for j, c := range p.Columns {
		want, ok := foods[c.Name]
		if !ok {
			require.Zero(t, proof.X[j].Sign(), c.Name)
			require.Less(t, ranging.Costs[j].Entry, 1.0, c.Name)
			continue
		}
		eaten++
		x, _ := proof.X[j].Float64()
		near(t, want[0], x, c.Name)
		near(t, want[1], ranging.Costs[j].From, c.Name)
		near(t, want[2], ranging.Costs[j].To, c.Name)
	}
	require.Equal(t, 5, eaten)
	// The six foods next to enter, by what would have to be left of their price.
	var entries []float64
	for _, c := range ranging.Costs {
		if !math.IsNaN(c.Entry) {
			entries = append(entries, c.Entry)
		}
	}
	slices.Sort(entries)
	slices.Reverse(entries)
	for k, want := range []float64{0.95633358, 0.89686114, 0.76509487, 0.70440250, 0.68067462, 0.66475746} {
		require.InDelta(t, want, entries[k], 5e-9)
	}

	nutrients := [][3]float64{ // dual value and range of the minimum; a dual value of 0 has no lower end
		{0.00876514729804949, 1.847487620, 3.121960779},
		{0, 0, 147.413534942},
		{0.031737713445637035, 0.178310184, 0.997685948},
		{0, 0, 60.466922102},
		{0.00040023272172538143, 0.635913612, 11.429516965},
		{0, 0, 4.120438805},
		{0.016358032699276687, 2.611583921, 3.970015066},
		{0, 0, 27.315980700},
		{0.00014411751545899708, 15.034942308, 727.889646649},
	}
	for i, want := range nutrients {
		got := ranging.Rows[i].Lower
		near(t, want[0], got.Up.Dual, p.Rows[i].Name)
		near(t, want[2], got.Up.Until, p.Rows[i].Name)
		if want[0] != 0 {
			near(t, want[1], got.Down.Until, p.Rows[i].Name)
		}
	}

	alternatives, err := solver.AlternativeOptima(ctx, p, s)
	require.NoError(t, err)
	require.True(t, alternatives.Unique)
}

// The price of navy beans from a quarter of the present one to six times as much.
func TestStiglerBeanPrice(t *testing.T) {
	p := stigler(t)
	beans := slices.IndexFunc(p.Columns, func(c solver.Column) bool { return c.Name == "F69" })
	rates := make([]float64, len(p.Columns))
	rates[beans] = 1
	curve, err := solver.ParametricCosts(context.Background(), p, nil, rates, -0.75, 5)
	require.NoError(t, err)
	var breaks []float64
	for _, piece := range curve.Pieces[1:] {
		breaks = append(breaks, 1+piece.From)
	}
	require.InDeltaSlice(t, []float64{0.601790, 0.676692157, 1.030253439, 1.125025}, breaks, 5e-7)
	last := curve.Pieces[len(curve.Pieces)-1]
	require.Zero(t, last.XFrom[beans])
	near(t, 0.115117176, last.ObjectiveFrom, "without beans")
	require.Zero(t, last.Slope)
}
