package brief

import (
	"testing"

	"bittersum/internal/chem"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestHeatLogs(t *testing.T) {
	log, err := parseHeat("heat.csv", "# a tunnel\nminutes,celsius,note\n0,20,in\n20,65,\n45,30,out\n")
	require.NoError(t, err)
	assert.Equal(t, []chem.Heat{{Minutes: 0, Celsius: 20}, {Minutes: 20, Celsius: 65}, {Minutes: 45, Celsius: 30}}, log)
	for _, c := range []struct{ text, want string }{
		{"time,temp\n0,20\n", `heat.csv:1: the heading is "time,temp"; it must be minutes,celsius`},
		{"minutes,celsius\n5,20\n4,20\n", "heat.csv:3: minutes: 4 lies before the row above; a log runs forwards"},
		{"minutes,celsius\nx,20\n1,200\n2\n", "heat.csv:2: minutes: \"x\" is not a number\nheat.csv:3: celsius: \"200\" is no temperature from 0 to 110\nheat.csv:4: has too few columns"},
		{"minutes,celsius\n0,20\n", "heat.csv: holds fewer than two rows: no time passes in it"},
		{"", "heat.csv: holds fewer than two rows: no time passes in it"},
	} {
		_, err := parseHeat("heat.csv", c.text)
		assert.EqualError(t, err, c.want)
	}
}
