package solver

import (
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// loosened returns p with a limit left out.
func loosened(t require.TestingT, p *Problem, b Bound) *Problem {
	q := p.Clone()
	lower, upper := q.bounds(b.Variable)
	require.NotNil(t, lower)
	switch b.Side {
	case LowerSide:
		*lower = -Inf
	case UpperSide:
		*upper = Inf
	default:
		require.Fail(t, "a member is one side")
	}
	return q
}

// only returns p with no other limits than the given ones.
func only(p *Problem, limits []Bound) *Problem {
	q := p.Clone()
	for i := range q.Rows {
		q.Rows[i].Lower, q.Rows[i].Upper = -Inf, Inf
	}
	for j := range q.Columns {
		q.Columns[j].Lower, q.Columns[j].Upper = -Inf, Inf
	}
	for _, b := range limits {
		fromLower, fromUpper := p.bounds(b.Variable)
		lower, upper := q.bounds(b.Variable)
		if b.Side == LowerSide {
			*lower = *fromLower
		} else {
			*upper = *fromUpper
		}
	}
	return q
}

// requireIrreducible checks a conflict by fresh exact solves.
func requireIrreducible(t require.TestingT, p *Problem, c *Conflict) {
	require.False(t, c.Feasible)
	require.NotEmpty(t, c.Members)
	status := func(q *Problem) Status {
		for j := range q.Columns {
			q.Columns[j].Cost = 0
		}
		proof, err := Prove(context.Background(), q, nil, Options{})
		require.NoError(t, err)
		return proof.Status
	}
	alone := only(p, c.Members)
	require.Equal(t, Infeasible, status(alone), "%v", c.Members)
	for _, member := range c.Members {
		require.Equal(t, Optimal, status(loosened(t, alone, member)), "without %v of %v", member, c.Members)
	}
}

func names(p *Problem, limits []Bound) (names []string) {
	for _, b := range limits {
		name := ""
		if b.Row {
			name = p.Rows[b.Index].Name
		} else {
			name = p.Columns[b.Index].Name
		}
		names = append(names, name+" "+b.Side.String())
	}
	return names
}

// bounds is the reverse of names.
func bounds(t require.TestingT, p *Problem, names []string) (limits []Bound) {
	for _, name := range names {
		name, side, _ := strings.Cut(name, " ")
		b := Bound{Side: LowerSide}
		if side == "upper" {
			b.Side = UpperSide
		}
		b.Index = slices.IndexFunc(p.Columns, func(c Column) bool { return c.Name == name })
		if b.Index < 0 {
			b.Row = true
			b.Index = slices.IndexFunc(p.Rows, func(r Row) bool { return r.Name == name })
		}
		require.GreaterOrEqual(t, b.Index, 0, name)
		limits = append(limits, b)
	}
	return limits
}

// The sets named are those that HiGHS finds. A program can have several, but these share their rows.
func TestFindConflictTextbook(t *testing.T) {
	for id, want := range map[string][]string{
		"ampldt2": {
			"CHK lower", "FISH lower", "HAM upper", "MCH lower", "MTL upper", "SPG lower", "TUR lower",
			"NB2 lower", "NNA upper",
		},
		"jumpinf": {
			"CHICKEN lower", "HOTDOG lower", "FRIES lower", "MACARONI lower", "PIZZA lower", "SALAD lower",
			"ICECREAM lower", "PROTEIN lower", "SODIUM upper", "DAIRY upper",
		},
	} {
		p := textbookProblem(t, id)
		c, err := FindConflict(context.Background(), p, ConflictOptions{})
		require.NoError(t, err)
		requireIrreducible(t, p, c)
		got := names(p, c.Members)
		requireIrreducible(t, p, &Conflict{Members: bounds(t, p, want)})
		require.Subset(t, got, want[len(want)-2:], id)
		require.LessOrEqual(t, len(got), len(want), id)
	}
}

func TestFindConflictOutcomes(t *testing.T) {
	ctx := context.Background()
	t.Run("feasible", func(t *testing.T) {
		c, err := FindConflict(ctx, textbookProblem(t, "polly"), ConflictOptions{})
		require.NoError(t, err)
		require.Equal(t, &Conflict{Feasible: true}, c)
	})
	t.Run("crossed", func(t *testing.T) {
		p := &Problem{Columns: []Column{{Upper: 1}, {Lower: 2, Upper: 1}}}
		c, err := FindConflict(ctx, p, ConflictOptions{})
		require.NoError(t, err)
		require.Equal(t, []Bound{ColumnBound(1, LowerSide), ColumnBound(1, UpperSide)}, c.Members)
	})
	t.Run("empty row", func(t *testing.T) {
		p := &Problem{Rows: []Row{{Lower: 1, Upper: Inf}}}
		c, err := FindConflict(ctx, p, ConflictOptions{})
		require.NoError(t, err)
		require.Equal(t, []Bound{RowBound(0, LowerSide)}, c.Members)
	})
	t.Run("equalities", func(t *testing.T) {
		p := &Problem{Columns: []Column{{Lower: -Inf, Upper: Inf}}}
		p.AddRow(Row{Lower: 1, Upper: 1, Terms: []Term{{0, 1}}})
		p.AddRow(Row{Lower: 3, Upper: 3, Terms: []Term{{0, 1}}})
		c, err := FindConflict(ctx, p, ConflictOptions{})
		require.NoError(t, err)
		require.Equal(t, []Bound{RowBound(0, UpperSide), RowBound(1, LowerSide)}, c.Members)
	})
	t.Run("cancelled", func(t *testing.T) {
		cancelled, cancel := context.WithCancel(ctx)
		cancel()
		_, err := FindConflict(cancelled, textbookProblem(t, "ampldt2"), ConflictOptions{})
		require.ErrorIs(t, err, context.Canceled)
	})
	t.Run("whole numbers", func(t *testing.T) {
		_, err := FindConflict(ctx, &Problem{Columns: []Column{{Kind: Integer, Upper: 9}}}, ConflictOptions{})
		require.ErrorIs(t, err, errNotLinear)
	})
}

// Three limits conflict in two ways; the reluctant one is named only if it has to be.
func TestFindConflictReluctance(t *testing.T) {
	p := &Problem{Columns: []Column{{Lower: -Inf, Upper: Inf}}}
	p.AddRow(Row{Name: "wish", Lower: 5, Upper: Inf, Terms: []Term{{0, 1}}})
	p.AddRow(Row{Name: "law", Lower: -Inf, Upper: 3, Terms: []Term{{0, 1}}})
	p.AddRow(Row{Name: "habit", Lower: -Inf, Upper: 4, Terms: []Term{{0, 1}}})
	for reluctant, want := range map[int][]string{1: {"wish lower", "habit upper"}, 2: {"wish lower", "law upper"}} {
		c, err := FindConflict(context.Background(), p, ConflictOptions{Reluctance: func(b Bound) int {
			if b == RowBound(reluctant, UpperSide) {
				return 1
			}
			return 0
		}})
		require.NoError(t, err)
		require.Equal(t, want, names(p, c.Members))
	}
	p.Rows = p.Rows[:2]
	c, err := FindConflict(context.Background(), p, ConflictOptions{Reluctance: func(b Bound) int { return b.Index }})
	require.NoError(t, err)
	require.Equal(t, []string{"wish lower", "law upper"}, names(p, c.Members))
}

func infeasibleTiny() *rapid.Generator[*Problem] {
	return tinyProblem().Filter(func(p *Problem) bool {
		proof, err := Prove(context.Background(), p, nil, Options{})
		return err == nil && proof.Status == Infeasible
	})
}

func TestFindConflictProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := infeasibleTiny().Draw(rt, "problem")
		levels := rapid.SliceOfN(rapid.IntRange(0, 2), len(p.Rows)+len(p.Columns), len(p.Rows)+len(p.Columns)).Draw(rt, "levels")
		reluctance := func(b Bound) int {
			if b.Row {
				return levels[b.Index]
			}
			return levels[len(p.Rows)+b.Index]
		}
		c, err := FindConflict(context.Background(), p, ConflictOptions{Reluctance: reluctance})
		require.NoError(rt, err)
		requireIrreducible(rt, p, c)
		// If the limits without reluctance conflict already, no other is named.
		var welcome []Bound
		for i := range p.Rows {
			welcome = append(welcome, RowBound(i, LowerSide), RowBound(i, UpperSide))
		}
		for j := range p.Columns {
			welcome = append(welcome, ColumnBound(j, LowerSide), ColumnBound(j, UpperSide))
		}
		kept := welcome[:0]
		for _, b := range welcome {
			if reluctance(b) == 0 {
				kept = append(kept, b)
			}
		}
		q := only(p, kept)
		for j := range q.Columns {
			q.Columns[j].Cost = 0
		}
		if prove(t, q, nil).Status == Infeasible {
			for _, b := range c.Members {
				require.Zero(rt, reluctance(b))
			}
		}
	})
}

// BenchmarkFindConflict explains a recipe-sized program with one target out of reach.
func BenchmarkFindConflict(b *testing.B) {
	p := recipeProgram(30, 20)
	p.Rows[3].Lower, p.Rows[3].Upper = 3*p.Rows[3].Lower, 3*p.Rows[3].Upper
	proof := prove(b, p, nil)
	require.Equal(b, Infeasible, proof.Status)
	for b.Loop() {
		c, err := FindConflict(context.Background(), p, ConflictOptions{Basis: proof.Basis})
		if err != nil || len(c.Members) < 2 {
			b.Fatal(err)
		}
	}
}

// A conflict smaller than the engine's tolerance is found all the same, and a program that only just
// holds together is left alone.
func TestFindConflictBelowTolerance(t *testing.T) {
	p := &Problem{Columns: []Column{{Upper: Inf}, {Upper: Inf}}}
	p.AddRow(Row{Lower: -Inf, Upper: 1, Terms: []Term{{0, 1}, {1, 1}}})
	p.AddRow(Row{Lower: 1.0000000000001, Upper: Inf, Terms: []Term{{0, 1}, {1, 1}}})
	c, err := FindConflict(context.Background(), p, ConflictOptions{})
	require.NoError(t, err)
	require.Equal(t, []Bound{RowBound(0, UpperSide), RowBound(1, LowerSide)}, c.Members)
	p.Rows[1].Lower = 1
	c, err = FindConflict(context.Background(), p, ConflictOptions{})
	require.NoError(t, err)
	require.True(t, c.Feasible)
}
