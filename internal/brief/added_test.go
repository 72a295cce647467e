package brief_test

import (
	"os"
	"path/filepath"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Category 14.1.4: sorbates may reach 300 mg/L, and 250 together with benzoates. What may be used counts,
// whether or not the brief asks for some of it.
func TestACapOfWhatIsAddedHoldsOnceItMayBeUsed(t *testing.T) {
	for _, c := range []struct {
		use, own string
		want     float64
	}{
		{`"water", "sugar", "citric-acid", "potassium-sorbate"`, "", 300},
		{`"water", "sugar", "citric-acid", "potassium-sorbate", "sodium-benzoate"`, "", 250},
		{`"water", "sugar", "citric-acid", "potassium-sorbate", "house-benzoate"`, `
[[ingredient]]
name = "house-benzoate"
kind = "preservative"
category = "preservative"
pure = true
price_per_kg = 9
soluble_share = 1
specific_volume_ml_per_g = 0.6
basis = "invented"
contents = { benzoic-acid = 762 }
`, 250},
	} {
		path := filepath.Join(t.TempDir(), "brief.toml")
		text := "name = \"t\"\nmarkets = [\"eu\"]\ncarbonated = true\nuse = [" + c.use + "]\n[targets.acidity]\nmin = 5\n" + c.own
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		lib, err := profile.Embedded()
		require.NoError(t, err)
		job, err := brief.Open(path, lib)
		require.NoError(t, err)
		got := map[string]float64{}
		for _, held := range job.Caps {
			got[held.Substance] = held.Max
		}
		assert.Equal(t, c.want, got["sorbic-acid"], c.use)
	}
}
