package assess

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
)

// By hand: strays of 3 and 4 are 5 together, 7 when both are far off at once, 4 when one is, 5.5 with half of the
// other. The last digit decides.
func TestRoomForDeviations(t *testing.T) {
	rat := func(text string) *big.Rat {
		r, ok := new(big.Rat).SetString(text)
		if !ok {
			t.Fatal(text)
		}
		return r
	}
	for _, c := range []struct {
		room, reach, most string
		want              bool
	}{
		{"5", "1", "0", true}, {"4.999999999999999999999", "1", "0", false}, {"10", "2", "0", true}, {"9.9", "2", "0", false},
		{"-5", "1", "0", false}, {"-0.1", "0", "0", false}, {"0", "0", "0", true},
		{"4", "1", "1", true}, {"3.99", "1", "1", false}, {"5.5", "1", "1.5", true}, {"5.49", "1", "1.5", false},
		{"7", "1", "2", true}, {"6.99", "1", "2", false}, {"7", "1", "9", true}, {"14", "2", "2", true},
	} {
		strays := []*big.Rat{rat("3"), rat("4")}
		assert.Equal(t, c.want, farther(rat(c.room), strays, rat(c.reach), rat(c.most)), "%v", c)
	}
}
