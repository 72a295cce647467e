package report

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestFigures(t *testing.T) {
	for _, c := range []struct {
		x    float64
		n    int
		want string
	}{
		{0, 3, "0"}, {1, 3, "1.00"}, {9.996, 3, "10.0"}, {99.95, 3, "100"}, {1234.5, 3, "1234"}, {0.00012345, 3, "0.000123"},
		{-2.5, 3, "-2.50"}, {1e-13, 3, "0"}, {math.Inf(1), 3, "no end"}, {math.NaN(), 3, "?"}, {0.9999, 2, "1.0"},
	} {
		assert.Equal(t, c.want, figures(c.x, c.n), "%v", c.x)
	}
	assert.Equal(t, "92.5", trimmed(92.5, 9))
	assert.Equal(t, "+0.0563", signed(0.05625, 3))
	assert.Equal(t, "5.1 %", percent(0.051))
	assert.Equal(t, "81 %", percent(0.81))
	assert.Equal(t, "0 %", percent(0))
	assert.Equal(t, "at least 45", span(45, math.Inf(1)))
	assert.Equal(t, "at most 83", span(math.Inf(-1), 83))
	assert.Equal(t, "exactly 5", span(5, 5))
	assert.Equal(t, "4.5 to 6", span(4.5, 6))
}

func TestTablesAlignOnThePointAndStayWithinTheirWidth(t *testing.T) {
	tab := newTable("  ", "lname", ".value", "lwords")
	tab.row("a", "1.25", "short")
	tab.row("süß", "100 g", strings.Repeat("word ", 30))
	tab.row("c", "-0.5 mg", "")
	var b bytes.Buffer
	tab.write(&b)
	assert.Equal(t, ""+
		"  name     value  words\n"+
		"  a       1.25    short\n"+
		"  süß   100 g     "+strings.TrimRight(strings.Repeat("word ", 12), " ")+"\n"+
		"                  "+strings.TrimRight(strings.Repeat("word ", 12), " ")+"\n"+
		"                  "+strings.TrimRight(strings.Repeat("word ", 6), " ")+"\n"+
		"  c      -0.5 mg\n", b.String())
	for _, line := range strings.Split(b.String(), "\n") {
		assert.LessOrEqual(t, len([]rune(line)), width)
	}
}

func TestDecimalsOfADivision(t *testing.T) {
	for division, want := range map[float64]int{20: 0, 1: 0, 0.5: 1, 0.01: 2, 0.07 / 10: 3, 0.1 * 3: 1} {
		assert.Equal(t, want, decimalsOf(division), "%v", division)
	}
}
