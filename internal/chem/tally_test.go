package chem

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// tally compares figures with a table and keeps the largest and the mean deviation.
type tally struct {
	t         *testing.T
	table     string
	tolerance float64
	max, sum  float64
	n         int
}

func newTally(t *testing.T, table string, tolerance float64) *tally {
	c := &tally{t: t, table: table, tolerance: tolerance}
	t.Cleanup(func() {
		assert.Positive(t, c.n, table)
		t.Logf("%s: %d rows, largest deviation %.3g, mean %.3g, tolerance %.3g", c.table, c.n, c.max, c.sum/float64(c.n), c.tolerance)
	})
	return c
}

func (c *tally) row(want, got float64, what ...any) {
	c.t.Helper()
	d := math.Abs(got - want)
	c.max, c.sum, c.n = math.Max(c.max, d), c.sum+d, c.n+1
	assert.InDelta(c.t, want, got, c.tolerance, "%s: %v", c.table, what)
}
