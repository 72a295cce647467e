package solver

import (
	"context"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A lifted table and a whole one are the same table, entry by entry, along any pivots.
func TestLiftedTableIsTheWholeTable(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := tinyProblem().Draw(rt, "problem")
		e := newExactProgram(p)
		whole, lifted := e.dictionaryOf(newWholeTable(e)), e.dictionaryOf(newLiftedTable(context.Background(), e))
		for range rapid.IntRange(0, 4).Draw(rt, "pivots") {
			requireSameTable(rt, whole, lifted)
			if len(whole.head) == 0 || len(whole.cobasis) == 0 {
				return
			}
			r := rapid.IntRange(0, len(whole.head)-1).Draw(rt, "row")
			q := rapid.IntRange(0, len(whole.cobasis)-1).Draw(rt, "column")
			if whole.table.row(r).entries[q].Sign() == 0 {
				continue
			}
			for _, d := range []*dictionary{whole, lifted} {
				d.place[d.head[r]] = d.rest(d.head[r], AtUpper)
				d.pivot(r, q)
				d.refresh()
			}
		}
		requireSameTable(rt, whole, lifted)
	})
}

func requireSameTable(t require.TestingT, whole, lifted *dictionary) {
	require.Equal(t, whole.head, lifted.head)
	require.Equal(t, whole.cobasis, lifted.cobasis)
	same := func(a, b *fractions) {
		require.Len(t, b.entries, len(a.entries))
		for k := range a.entries {
			left := new(big.Rat).SetFrac(&a.entries[k], a.over)
			requireRat(t, left, new(big.Rat).SetFrac(&b.entries[k], b.over))
		}
	}
	for i := range whole.head {
		same(whole.table.row(i), lifted.table.row(i))
	}
	for j := range whole.cobasis {
		same(whole.table.column(j), lifted.table.column(j))
	}
	same(whole.value, lifted.value)
	same(whole.cost.reduced, lifted.cost.reduced)
}
