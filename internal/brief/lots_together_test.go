package brief_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const togetherLot = `[[lot]]
number = "C-1"
ingredient = "cinchona-bark-yellow"
quantity_kg = 1
[lot.correlations]
`

func openTogether(t *testing.T, correlations string) (*brief.Job, error) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "lots.toml"), []byte(togetherLot+correlations), 0o600))
	text := "name = \"small\"\nmarkets = [\"us\"]\nbatch_l = 10\nlots = \"lots.toml\"\nuse = [\"water\", \"sugar\", \"cinchona-bark-yellow\"]\n"
	return brief.OpenText(filepath.Join(dir, "brief.toml"), text, lib)
}

// A lot's own correlations stand in the place of all that its profile says; the profile keeps its own.
func TestCorrelationsOfALot(t *testing.T) {
	job, err := openTogether(t, "tannin = { bitterness = 0.25 }\n")
	require.NoError(t, err)
	lot, usual := job.Source("cinchona-bark-yellow/C-1").Correlations(), job.Source("cinchona-bark-yellow").Correlations()
	assert.Equal(t, 0.25, lot.Between("bitterness", "tannin"))
	assert.Equal(t, 0.0, lot.Between("bitterness", "quinine"))
	assert.Equal(t, 0.9, usual.Between("bitterness", "quinine"))
	assert.Equal(t, "certificate of lot C-1", lot.Source)
}

func TestFaultsOfALotsCorrelations(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"no matrix", "tannin = { bitterness = 0.9, quinine = 0.9 }\nbitterness.quinine = -0.9\n",
			"lots.toml:5: lot[1].correlations: no contents can go together so (the nearest that can be: bitterness and quinine -0.50, bitterness and tannin 0.50, quinine and tannin 0.50)"},
		{"beyond 1", "tannin = { bitterness = -1.5 }\n", "lots.toml:6: lot[1].correlations.tannin.bitterness: -1.5 is out of range; it must be from -1 to 1"},
		{"twice", "tannin = { bitterness = 0.5 }\nbitterness = { tannin = 0.5 }\n", "lots.toml:7: lot[1].correlations.bitterness.tannin: says twice how bitterness and tannin go together"},
		{"no such attribute", "tanin = { bitterness = 0.5 }\n", `lots.toml:6: correlations.tanin: there is no attribute "tanin" (did you mean "tannin"?)`},
		{"no such content", "tannin = { quassin = 0.5 }\n", `lots.toml:6: correlations.quassin: lot "C-1" has no content of quassin that could vary`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := openTogether(t, c.text)
			require.Error(t, err)
			assert.True(t, strings.HasSuffix(err.Error(), c.want), err.Error())
			assert.NotContains(t, err.Error(), "\n", "one line")
		})
	}
}
