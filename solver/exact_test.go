package solver

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/big"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func prove(t testing.TB, p *Problem, s *Solution) *Proof {
	t.Helper()
	proof, err := Prove(context.Background(), p, s, Options{})
	require.NoError(t, err)
	return proof
}

func requireRat(t require.TestingT, want, got *big.Rat, what ...any) {
	require.NotNil(t, got, what...)
	require.Equal(t, want.RatString(), got.RatString(), what...)
}

func TestDecimalReadsWhatIsPrinted(t *testing.T) {
	for text, want := range map[string]string{
		"0.35": "7/20", "-1e-7": "-1/10000000", "1e21": "1000000000000000000000", "0": "0", "62.5": "125/2",
	} {
		v, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		requireRat(t, fraction(t, want), Decimal(v), text)
	}
	require.Nil(t, Decimal(math.Inf(1)))
	require.Nil(t, Decimal(math.NaN()))
}

// Short decimals take a path of their own, which gives what the long one does.
func TestDecimalPathsAgree(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		v := decimals(rapid.Float64Range(-1e7, 1e7).Draw(rt, "v"), rapid.IntRange(0, 9).Draw(rt, "places"))
		v *= rapid.SampledFrom([]float64{1, 1e-6, 1e9}).Draw(rt, "unit")
		long, ok := new(big.Rat).SetString(strconv.FormatFloat(v, 'g', -1, 64))
		require.True(rt, ok)
		requireRat(rt, long, Decimal(v))
	})
}

// The exact optimum, primal and dual values are those of testdata/textbook, found without any basis.
func TestProveTextbook(t *testing.T) {
	for _, c := range textbook(t) {
		t.Run(c.ID, func(t *testing.T) {
			p := c.problem(t)
			proof := prove(t, p, nil)
			if c.Published.Status == "infeasible" {
				require.Equal(t, Infeasible, proof.Status, proof.Reason)
				require.Len(t, proof.Farkas, len(p.Rows))
				return
			}
			require.Equal(t, Optimal, proof.Status, proof.Reason)
			requireRat(t, fraction(t, c.Exact.Obj), proof.Objective)
			if c.Published.Obj != "" {
				published := number(t, c.Published.Obj)
				require.InDelta(t, published, float(proof.Objective), 1e-4*math.Abs(published))
			}
			if len(c.Exact.Degenerate) > 0 {
				return
			}
			for j, col := range p.Columns {
				requireRat(t, fraction(t, c.Exact.X[col.Name].Value), proof.X[j], col.Name)
				requireRat(t, fraction(t, c.Exact.X[col.Name].ReducedCost), proof.ReducedCost[j], col.Name)
			}
			for i, row := range p.Rows {
				requireRat(t, fraction(t, c.Exact.Rows[row.Name].ShadowPrice), proof.Dual[i], row.Name)
				requireRat(t, fraction(t, c.Exact.Rows[row.Name].Activity), proof.Activity[i], row.Name)
			}
		})
	}
}

func TestProveOutcomes(t *testing.T) {
	t.Run("empty", func(t *testing.T) {
		proof := prove(t, &Problem{Offset: 0.1}, nil)
		require.Equal(t, Optimal, proof.Status)
		requireRat(t, big.NewRat(1, 10), proof.Objective)
	})
	t.Run("no rows, unbounded", func(t *testing.T) {
		proof := prove(t, &Problem{Columns: []Column{{Cost: -1, Upper: Inf}, {Cost: 1, Upper: 3}}}, nil)
		require.Equal(t, Unbounded, proof.Status)
		require.Equal(t, 1, proof.Ray[0].Sign())
	})
	t.Run("free columns, unbounded", func(t *testing.T) {
		p := &Problem{Sense: Maximize, Columns: []Column{
			{Cost: 1, Lower: -Inf, Upper: Inf}, {Cost: 1, Lower: -Inf, Upper: Inf},
		}}
		p.AddRow(Row{Lower: -Inf, Upper: 5, Terms: []Term{{0, 1}, {1, 0.5}}})
		require.Equal(t, Unbounded, prove(t, p, nil).Status)
		p.Columns[1].Cost = 0.5
		proof := prove(t, p, nil)
		require.Equal(t, Optimal, proof.Status)
		requireRat(t, big.NewRat(5, 1), proof.Objective)
	})
	t.Run("crossed bounds", func(t *testing.T) {
		proof := prove(t, &Problem{Columns: []Column{{Name: "peel", Lower: 2, Upper: 1}}}, nil)
		require.Equal(t, Infeasible, proof.Status)
		require.Equal(t, `the bounds of column 0 "peel" cross`, proof.Reason)
	})
	t.Run("infeasible by less than any tolerance", func(t *testing.T) {
		p := &Problem{Columns: []Column{{Upper: Inf}, {Upper: Inf}}}
		p.AddRow(Row{Lower: 1, Upper: 1, Terms: []Term{{0, 1}, {1, 1}}})
		p.AddRow(Row{Lower: 1.000000000000001, Upper: Inf, Terms: []Term{{0, 1}, {1, 1}}})
		proof := prove(t, p, nil)
		require.Equal(t, Infeasible, proof.Status)
		require.True(t, proof.Proved())
	})
	t.Run("decimals meet exactly", func(t *testing.T) {
		p := &Problem{Columns: []Column{{Cost: 1, Upper: Inf}, {Cost: 1, Upper: Inf}}}
		p.AddRow(Row{Lower: 0.3, Upper: 0.3, Terms: []Term{{0, 0.1}, {1, 0.2}}})
		p.AddRow(Row{Lower: 0.6, Upper: 0.6, Terms: []Term{{0, 0.2}, {1, 0.4}}})
		proof := prove(t, p, nil)
		require.Equal(t, Optimal, proof.Status)
		requireRat(t, big.NewRat(3, 2), proof.Objective)
	})
	t.Run("integers", func(t *testing.T) {
		proof := prove(t, &Problem{Columns: []Column{{Kind: Integer, Upper: 1}}}, nil)
		require.Equal(t, Optimal, proof.Status)
	})
	t.Run("cones", func(t *testing.T) {
		proof := prove(t, &Problem{Columns: []Column{{Upper: 1}}, Cones: []Cone{{Scale: 1, Factors: [][]Term{{{0, 1}}}, Upper: 1}}}, nil)
		require.Equal(t, Unproved, proof.Status)
		require.Equal(t, "only linear and mixed-integer linear programs are proved exactly", proof.Reason)
	})
	t.Run("malformed", func(t *testing.T) {
		_, err := Prove(context.Background(), &Problem{Offset: math.NaN()}, nil, Options{})
		require.Error(t, err)
	})
	t.Run("cancelled", func(t *testing.T) {
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		proof, err := Prove(ctx, textbookProblem(t, "polly"), nil, Options{})
		require.NoError(t, err)
		require.Equal(t, Limit, proof.Status)
		require.Equal(t, "interrupted", proof.Reason)
	})
	t.Run("pivots run out", func(t *testing.T) {
		proof, err := Prove(context.Background(), textbookProblem(t, "food1"), nil, Options{Iterations: 3})
		require.NoError(t, err)
		require.Equal(t, Limit, proof.Status)
		require.Equal(t, 3, proof.Pivots)
	})
}

// A proof begun from any basis, singular ones included, ends at the same objective.
func TestProveFromAnyBasis(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := tinyProblem().Draw(rt, "problem")
		place := rapid.SliceOfN(rapid.SampledFrom([]Place{AtLower, AtUpper, Zero, Basic}), len(p.Columns)+len(p.Rows), len(p.Columns)+len(p.Rows))
		places := place.Draw(rt, "places")
		start := &Solution{Basis: &Basis{Columns: places[:len(p.Columns)], Rows: places[len(p.Columns):]}}
		plain, warm := prove(t, p, nil), prove(t, p, start)
		require.True(rt, plain.Proved(), plain.Reason)
		require.Equal(rt, plain.Status, warm.Status)
		if plain.Status == Optimal {
			requireRat(rt, plain.Objective, warm.Objective)
			again := prove(t, p, &Solution{Basis: warm.Basis})
			require.Zero(rt, again.Pivots, "an optimal basis needs no pivot")
			requireRat(rt, warm.Objective, again.Objective)
		}
	})
}

// tinyProblem draws small programs rich in ties, free and fixed columns, equalities and empty rows.
func tinyProblem() *rapid.Generator[*Problem] {
	return rapid.Custom(func(t *rapid.T) *Problem {
		few := rapid.SampledFrom([]float64{0, 0, 0, 1, 1, -1, 2, -2, 0.5, 3, -3, 0.1, 10, 1.7})
		bounds := rapid.SampledFrom([][2]float64{
			{0, Inf}, {0, Inf}, {0, Inf}, {0, 1}, {-1, 1}, {-Inf, 0}, {-Inf, Inf}, {2, 2}, {0, 0.3}, {0, 0},
		})
		limits := rapid.SampledFrom([][2]float64{
			{-Inf, 0}, {-Inf, 1}, {0, Inf}, {1, Inf}, {-Inf, 4}, {2, Inf}, {0, 0}, {1, 1}, {0, 2}, {-1, 3}, {-Inf, Inf}, {0.3, 0.3},
		})
		p := &Problem{Sense: Sense(rapid.IntRange(0, 1).Draw(t, "sense"))}
		for range rapid.IntRange(1, 5).Draw(t, "columns") {
			b := bounds.Draw(t, "bounds")
			p.AddColumn(Column{Cost: few.Draw(t, "cost"), Lower: b[0], Upper: b[1]})
		}
		for range rapid.IntRange(0, 5).Draw(t, "rows") {
			b := limits.Draw(t, "limits")
			row := Row{Lower: b[0], Upper: b[1]}
			for j := range p.Columns {
				if v := few.Draw(t, "coefficient"); v != 0 {
					row.Terms = append(row.Terms, Term{j, v})
				}
			}
			p.AddRow(row)
		}
		return p
	})
}

// The exact optimum is the same rational number that QSopt_ex finds (D. Applegate, W. Cook, S. Dash,
// D. Espinoza, 2007, Exact solutions to linear programming problems).
func TestProveAgreesWithQSopt(t *testing.T) {
	program, err := exec.LookPath("esolver")
	if err != nil {
		t.Skip("esolver (QSopt_ex) is not installed")
	}
	for seed := range 25 {
		p := tinyProblem().Example(seed)
		proof := prove(t, p, nil)
		status, value := qsopt(t, program, p)
		text := lpText(p)
		switch status {
		case "OPTIMAL":
			require.Equal(t, Optimal, proof.Status, text)
			require.Equal(t, 0, fraction(t, value).Cmp(proof.Objective), text)
		case "INFEASIBLE":
			require.Equal(t, Infeasible, proof.Status, text)
		case "UNBOUNDED":
			require.Equal(t, Unbounded, proof.Status, text)
		default:
			require.Fail(t, "unknown status", status)
		}
	}
}

func qsopt(t *testing.T, program string, p *Problem) (status, value string) {
	t.Helper()
	in, out := filepath.Join(t.TempDir(), "p.lp"), filepath.Join(t.TempDir(), "p.sol")
	require.NoError(t, os.WriteFile(in, []byte(lpText(p)), 0o600))
	log, err := exec.Command(program, "-L", "-O", out, in).CombinedOutput()
	require.NoError(t, err, string(log))
	text, err := os.ReadFile(out)
	require.NoError(t, err, string(log))
	found := regexp.MustCompile(`status = (\w+)`).FindSubmatch(text)
	require.NotNil(t, found, string(text))
	if v := regexp.MustCompile(`Value = (\S+)`).FindSubmatch(text); v != nil {
		value = string(v[1])
	}
	return string(found[1]), value
}

// lpText writes p, without its offset, in the LP format, a two-sided row as two rows.
func lpText(p *Problem) string {
	var b bytes.Buffer
	if p.Sense == Maximize {
		b.WriteString("Maximize\n")
	} else {
		b.WriteString("Minimize\n")
	}
	b.WriteString("obj:")
	for j, c := range p.Columns {
		fmt.Fprintf(&b, " %+g x%d", c.Cost, j)
	}
	b.WriteString("\nSubject To\n")
	for i, row := range p.Rows {
		var form bytes.Buffer
		for _, t := range row.Terms {
			fmt.Fprintf(&form, " %+g x%d", t.Value, t.Column)
		}
		if len(row.Terms) == 0 {
			form.WriteString(" 0 x0")
		}
		if row.Lower > -Huge {
			fmt.Fprintf(&b, "a%d:%s >= %v\n", i, form.String(), row.Lower)
		}
		if row.Upper < Huge {
			fmt.Fprintf(&b, "b%d:%s <= %v\n", i, form.String(), row.Upper)
		}
	}
	b.WriteString("keep: ")
	for j := range p.Columns {
		fmt.Fprintf(&b, " + x%d", j)
	}
	b.WriteString(" + slack >= -1\nBounds\nslack free\n")
	for j, c := range p.Columns {
		lower, upper := strconv.FormatFloat(c.Lower, 'g', -1, 64), strconv.FormatFloat(c.Upper, 'g', -1, 64)
		if c.Lower <= -Huge {
			lower = "-inf"
		}
		if c.Upper >= Huge {
			upper = "inf"
		}
		fmt.Fprintf(&b, "%s <= x%d <= %s\n", lower, j, upper)
	}
	b.WriteString("End\n")
	return b.String()
}

// BenchmarkProve proves a recipe-sized program from its optimal basis: what a solve adds by proving.
func BenchmarkProve(b *testing.B) {
	p := recipeProgram(30, 20)
	first := prove(b, p, nil)
	require.Equal(b, Optimal, first.Status)
	s := first.Solution()
	b.ResetTimer()
	for b.Loop() {
		proof := prove(b, p, s)
		if proof.Pivots != 0 {
			b.Fatal("the basis was not optimal")
		}
	}
	b.ReportMetric(float64(basicColumns(s.Basis)), "basic-columns")
}

func basicColumns(basis *Basis) (count int) {
	for _, at := range basis.Columns {
		if at == Basic {
			count++
		}
	}
	return count
}

// recipeProgram is a made-up blend in mixed units with figures of three to five digits: columns
// ingredients, and two-sided rows around the attributes of an arbitrary recipe.
func recipeProgram(columns, rows int) *Problem {
	state := uint64(20240229)
	draw := func() float64 { // a figure in [0, 1) of four digits
		state = state*6364136223846793005 + 1442695040888963407
		return float64(state>>33%10000) / 10000
	}
	round := func(v float64) float64 {
		r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 4, 64), 64)
		return r
	}
	p := &Problem{}
	inside := make([]float64, columns)
	for j := range columns {
		p.AddColumn(Column{Name: fmt.Sprintf("i%d", j), Cost: round(0.5 + 40*draw()), Upper: Inf})
		if draw() < 0.6 {
			inside[j] = draw()
		}
	}
	for i := range rows {
		unit := math.Pow(10, float64(i%7-3))
		row := Row{Name: fmt.Sprintf("r%d", i)}
		var middle float64
		for j := range columns {
			if i == 0 || draw() < 0.5 {
				v := 1.0
				if i > 0 {
					v = round(unit * (0.01 + draw()))
				}
				row.Terms = append(row.Terms, Term{j, v})
				middle += v * inside[j]
			}
		}
		row.Lower, row.Upper = round(middle*(0.999-0.2*draw())), round(middle*(1.001+0.2*draw()))
		if i == 0 {
			row.Lower, row.Upper = round(middle), round(middle)
		}
		p.AddRow(row)
	}
	return p
}
