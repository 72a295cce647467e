package works

import (
	"strconv"
	"strings"

	"bittersum/internal/label"
)

// ParseContainer reads the size of a label, WIDTHxHEIGHT, and that of the cylinder which bears it, DIAMETERxHEIGHT,
// both in mm. An empty label is 90x60; an empty cylinder is not known.
func ParseContainer(size, bottle string) (label.Container, error) {
	c := label.Container{WidthMM: 90, HeightMM: 60}
	for _, part := range []struct {
		flag, text  string
		one, other  *float64
		least, most float64
	}{{"--size", size, &c.WidthMM, &c.HeightMM, 10, 1000}, {"--bottle", bottle, &c.DiameterMM, &c.BodyMM, 10, 1000}} {
		if part.text == "" {
			continue
		}
		one, other, ok := strings.Cut(strings.ToLower(strings.ReplaceAll(part.text, "×", "x")), "x")
		a, errA := strconv.ParseFloat(strings.TrimSpace(one), 64)
		b, errB := strconv.ParseFloat(strings.TrimSpace(other), 64)
		if !ok || errA != nil || errB != nil || !(a >= part.least && a <= part.most && b >= part.least && b <= part.most) {
			return c, Usage("%s %s: two lengths in mm, %g to %g each, such as 90x60", part.flag, part.text, part.least, part.most)
		}
		*part.one, *part.other = a, b
	}
	return c, nil
}
