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

// What a new ingredient lacks is said at once: each ingredient has a line, keys of its profile that are
// missing have theirs, and acid is not said of what may bring none.
func TestAllThatIsMissingIsSaidAtOnce(t *testing.T) {
	const brief1 = `name = "test"
markets = ["us", "eu"]
profiles = "own"
use = ["water", "citric-acid", "new-syrup"]
[targets.sweetness]
min = 10
[targets.acidity]
min = 1
[targets.ph]
max = 3
`
	faults := func(own string) []string {
		dir := t.TempDir()
		require.NoError(t, os.MkdirAll(filepath.Join(dir, "own", "ingredients"), 0o700))
		require.NoError(t, os.WriteFile(filepath.Join(dir, "own", "ingredients", "own.toml"), []byte(own), 0o600))
		require.NoError(t, os.WriteFile(filepath.Join(dir, "brief.toml"), []byte(brief1), 0o600))
		lib, err := profile.Embedded()
		require.NoError(t, err)
		_, err = brief.Open(filepath.Join(dir, "brief.toml"), lib)
		require.Error(t, err)
		return strings.Split(strings.ReplaceAll(err.Error(), dir+string(filepath.Separator), ""), "\n")
	}
	const head = "[[ingredient]]\nname = \"new-syrup\"\nkind = \"syrup\"\nbasis = \"measured\"\n"
	const physical = "soluble_share = 1\nspecific_volume_ml_per_g = 0.75\n"

	lines := faults(head)
	require.Len(t, lines, 3)
	assert.Contains(t, lines[0], `brief.toml:4: use[3]: "new-syrup" has no figure for sweetness, acidity (asked for); `)
	assert.Contains(t, lines[0], "(capped in eu)")
	assert.Contains(t, lines[0], "which acids and ions it brings (for targets.ph)")
	assert.Contains(t, lines[0], "(name its plants or its category, by which most of these may be ruled out; give each in its profile")
	assert.NotContains(t, lines[0], "brings acid")
	assert.Contains(t, lines[1], "soluble_share: is missing")
	assert.Contains(t, lines[2], "specific_volume_ml_per_g: is missing")

	lines = faults(head + physical + "pure = true\nunknown = [\"acidity\"]\ncontents.sweetness = 1\n")
	require.Len(t, lines, 1)
	assert.Contains(t, lines[0], `"new-syrup" has no figure for acidity (asked for); which acids and ions it brings (for targets.ph)`)

	lines = faults(head + physical + "pure = true\ncontents.sweetness = 1\ncontents.acidity = 0.1\n")
	assert.Equal(t, []string{`brief.toml:9: targets.ph: "new-syrup" brings acid, but its profile does not say which (give its solutes in mmol_per_g, or leave it out; unknown is never read as zero)`}, lines)
}

// A pH alone asks for acids too, and does not call sour what it knows nothing of.
func TestNotCalledSourWhenUnknown(t *testing.T) {
	err := open(t, `name = "test"
markets = ["us"]
use = ["water", "citric-acid", "x"]
[targets.ph]
max = 3
[[ingredient]]
name = "x"
pure = true
basis = "measured"
soluble_share = 1
specific_volume_ml_per_g = 0.6
unknown = ["acidity"]
`, nil)
	require.Error(t, err)
	assert.Equal(t, `brief.toml:4: targets.ph: the profile of "x" does not say whether it brings acid, nor which (give its solutes in mmol_per_g, or leave it out; unknown is never read as zero)`, err.Error())
}
