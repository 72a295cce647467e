package assess

import (
	"math"
	"testing"

	"bittersum/internal/brief"

	"github.com/stretchr/testify/assert"
)

// A value may miss its range by 1 in 2000, which is ten times what five printed digits lose, and near
// nothing by a millionth of the unit; it may not miss it by more, on either side.
func TestHowFarAValueMayMiss(t *testing.T) {
	between := func(low, high float64) brief.Range { return brief.Range{Min: low, Max: high} }
	for _, c := range []struct {
		value float64
		asked brief.Range
		want  Verdict
	}{
		{100, between(100, 200), Met}, {99.951, between(100, 200), Met}, {99.949, between(100, 200), Below},
		{200, between(100, 200), Met}, {200.099, between(100, 200), Met}, {200.101, between(100, 200), Above},
		{-0.0000009, between(0, 1), Met}, {-0.0000011, between(0, 1), Below},
		{0.0000009, between(-1, 0), Met}, {0.0000011, between(-1, 0), Above},
		{-100.049, between(-100, 0), Met}, {-100.051, between(-100, 0), Below},
		{math.NaN(), between(0, 1), Unpredicted},
		{5, between(math.Inf(-1), math.Inf(1)), NoRange}, {math.NaN(), between(math.Inf(-1), math.Inf(1)), NoRange},
		{5, between(math.Inf(-1), 4), Above}, {5, between(6, math.Inf(1)), Below},
	} {
		assert.Equal(t, c.want, judge(c.value, c.asked), "%v in %v", c.value, c.asked)
	}
}
