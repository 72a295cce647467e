package works

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"bittersum/internal/brief"
)

// ParseThrow reads parts of soda, as in 1+5.
func ParseThrow(text string) (float64, error) {
	soda, wrong := brief.ParseThrow(text)
	if wrong != "" {
		return 0, Usage("--throw: %s; write it as in 1+5", wrong)
	}
	return soda, nil
}

// ParseScales reads "0.1" or "200:0.01,6000:1".
func ParseScales(text string) ([]brief.Scale, error) {
	var scales []brief.Scale
	number := func(text string) (float64, error) {
		x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
		if err != nil || !(x > 0) || math.IsInf(x, 1) {
			return 0, Usage("--scale: %q is no amount in grams", text)
		}
		return x, nil
	}
	for _, part := range strings.Split(text, ",") {
		to, division, ranged := strings.Cut(part, ":")
		s := brief.Scale{ToG: math.Inf(1)}
		var err error
		if ranged {
			if s.ToG, err = number(to); err != nil {
				return nil, err
			}
		} else {
			division = part
		}
		if s.DivisionG, err = number(division); err != nil {
			return nil, err
		}
		if s.DivisionG > s.ToG {
			return nil, Usage("--scale: the division %v g is above %v g: nothing could be weighed", s.DivisionG, s.ToG)
		}
		s.Name = fmt.Sprintf("to %v g", s.DivisionG)
		scales = append(scales, s)
	}
	return scales, nil
}
