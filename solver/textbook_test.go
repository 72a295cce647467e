package solver

import (
	"encoding/json"
	"math"
	"math/big"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// textbookCase is one problem of testdata/textbook/textbook.json; SOURCES.md there says where its
// figures come from. Numbers are decimals or fractions in strings.
type textbookCase struct {
	ID, Title, Sense string
	Published        struct {
		Status, Obj string
		X, Duals    map[string]string
	}
	Exact *struct {
		Obj        string
		Degenerate []string `json:"primal_degenerate"`
		X          map[string]struct {
			Value       string
			ReducedCost string   `json:"reduced_cost"`
			CostRange   []string `json:"cost_range"`
			Status      string
		}
		Rows map[string]struct {
			Activity    string
			ShadowPrice string   `json:"shadow_price"`
			Range       []string `json:"rhs_range"`
			LowerRange  []string `json:"rhs_lo_range"`
			UpperRange  []string `json:"rhs_hi_range"`
			Status      string
		}
	}
	Model struct {
		Cols []struct{ Name, Obj, Lo, Up string }
		Rows []struct {
			Name, Lo, Up string
			Coef         map[string]string
		}
	}
}

func textbook(t testing.TB) []textbookCase {
	t.Helper()
	text, err := os.ReadFile("../testdata/textbook/textbook.json")
	require.NoError(t, err)
	var file struct{ Problems []textbookCase }
	require.NoError(t, json.Unmarshal(text, &file))
	require.NotEmpty(t, file.Problems)
	return file.Problems
}

func textbookProblem(t testing.TB, id string) *Problem {
	t.Helper()
	for _, c := range textbook(t) {
		if c.ID == id {
			return c.problem(t)
		}
	}
	require.Fail(t, "no such textbook problem", id)
	return nil
}

func (c textbookCase) problem(t testing.TB) *Problem {
	t.Helper()
	p := &Problem{Name: c.ID}
	if c.Sense == "max" {
		p.Sense = Maximize
	}
	index := map[string]int{}
	for _, col := range c.Model.Cols {
		index[col.Name] = p.AddColumn(Column{
			Name: col.Name, Cost: number(t, col.Obj), Lower: number(t, col.Lo), Upper: number(t, col.Up),
		})
	}
	for _, row := range c.Model.Rows {
		r := Row{Name: row.Name, Lower: number(t, row.Lo), Upper: number(t, row.Up)}
		for name, coefficient := range row.Coef {
			r.Terms = append(r.Terms, Term{Column: index[name], Value: number(t, coefficient)})
		}
		slices.SortFunc(r.Terms, func(a, b Term) int { return a.Column - b.Column })
		p.AddRow(r)
	}
	require.NoError(t, p.Check())
	return p
}

// number reads a decimal, a fraction or an infinity.
func number(t testing.TB, text string) float64 {
	t.Helper()
	if top, bottom, ok := strings.Cut(text, "/"); ok {
		r, valid := new(big.Rat).SetString(top + "/" + bottom)
		require.True(t, valid, text)
		return float(r)
	}
	v, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return v
}

func fraction(t testing.TB, text string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(text)
	require.True(t, ok, text)
	return r
}

// requireClose compares to a relative 1e-9, infinities and all.
func requireClose(t testing.TB, want, got float64, what ...any) {
	t.Helper()
	if math.IsInf(want, 0) || math.IsInf(got, 0) {
		require.Equal(t, want, got, what...)
		return
	}
	require.InDelta(t, want, got, 1e-9*(1+math.Abs(want)), what...)
}
