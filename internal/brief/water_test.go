package brief

import (
	"os"
	"path/filepath"
	"testing"

	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFaultsOfAWaterReport(t *testing.T) {
	library, err := profile.Embedded()
	require.NoError(t, err)
	for _, c := range []struct{ report, want string }{
		{`alkalinity = "120 mg/L"`, `water.alkalinity: is in "mg/l"; say what it counts as`},
		{`calcium = "much"`, `water.calcium: "much" is no amount (write a number and its unit`},
		{`hardness = "900 °dH"`, "water.hardness: is 321 meq/L; no drinking water holds more than 50"},
		{"calcium = \"80 mg/L\"\nhardness = \"5 °dH\"", "water.hardness: is 1.783 meq/L, but calcium and magnesium make 3.992 (one of them is wrong)"},
		{"alkalinity = \"250 mg/L CaCO3\"\ncalcium = \"10 mg/L\"", "water: does not balance: 0.499 meq/L of cations against 5 of anions"},
		{`calcium = "900 mg/L"`, "water.calcium: is 900 mg/L; no drinking water holds more than 600"},
		{`calzium = "80 mg/L"`, `did you mean "calcium"?`},
	} {
		path := filepath.Join(t.TempDir(), "brief.toml")
		require.NoError(t, os.WriteFile(path, []byte("name = \"w\"\nmarkets = [\"eu\"]\nuse = [\"water\", \"sugar\"]\n[water]\n"+c.report+"\n"), 0o600))
		_, err := Open(path, library)
		require.Error(t, err, c.report)
		assert.Contains(t, err.Error(), c.want)
	}
}
