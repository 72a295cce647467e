package brief_test

import (
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// marketed opens a bare drink of so much alcohol for a market of its own with the given rules.
func marketed(t *testing.T, m *profile.Market, alcohol string, more ...string) *brief.Job {
	t.Helper()
	lib, err := profile.Embedded()
	require.NoError(t, err)
	own := *lib
	own.Markets = maps.Clone(lib.Markets)
	own.Markets[m.Name] = m
	path := filepath.Join(t.TempDir(), "brief.toml")
	text := "name = \"t\"\nmarkets = [\"" + m.Name + "\"]\ncarbonated = true\nalcohol_percent = " + alcohol +
		"\nuse = [\"water\", \"sugar\", \"citric-acid\", \"quinine-hydrochloride\", \"neutral-spirit\"]\n[targets.acidity]\nmin = 5\n" + strings.Join(more, "")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	job, err := brief.Open(path, &own)
	require.NoError(t, err)
	return job
}

func quinine(most float64, per profile.Per, citation string) profile.Cap {
	return profile.Cap{Substance: "quinine", Max: most, Per: per, Law: profile.Law{Citation: citation, Text: profile.Seen}}
}

// Of several caps of a market on one basis the lowest holds, wherever it stands; caps on another basis hold
// beside it.
func TestTheLowestOfSeveralCapsHolds(t *testing.T) {
	for _, order := range [][]float64{{100, 80, 90}, {80, 100, 90}, {100, 90, 80}, {80, 80, 100}} {
		m := &profile.Market{Name: "canal", AlcoholicFrom: 1.2}
		for _, most := range order {
			m.Caps = append(m.Caps, quinine(most, profile.PerKilogram, "a"))
		}
		m.Caps = append(m.Caps, quinine(120, profile.PerLitre, "b"), quinine(110, profile.PerLitre, "c"))
		got := map[profile.Per][]float64{}
		for _, c := range marketed(t, m, "0").Caps {
			got[c.Per] = append(got[c.Per], c.Max)
		}
		assert.Equal(t, map[profile.Per][]float64{profile.PerKilogram: {80}, profile.PerLitre: {110}}, got, "%v", order)
	}
}

// A drink of exactly the strength from which drinks count as alcoholic is one, and one without alcohol never.
func TestAlcoholicOnTheLineItself(t *testing.T) {
	for _, c := range []struct {
		from    float64
		alcohol string
		want    bool
	}{
		{1.2, "1.2", true}, {1.2, "1.19", false}, {1.2, "1.21", true}, {1.2, "0", false}, {0, "0", false}, {0.5, "0.5", true},
	} {
		m := &profile.Market{Name: "canal", AlcoholicFrom: c.from, Caps: []profile.Cap{
			quinine(250, profile.PerKilogram, "strong"), quinine(100, profile.PerKilogram, "soft"),
		}}
		m.Caps[0].Drinks, m.Caps[1].Drinks = profile.Alcoholic, profile.NonAlcoholic
		job := marketed(t, m, c.alcohol)
		assert.Equal(t, c.want, job.Alcoholic(m), "%s %% vol, alcoholic from %v", c.alcohol, c.from)
		require.Len(t, job.Caps, 1)
		want := 100.0
		if c.want {
			want = 250
		}
		assert.Equal(t, want, job.Caps[0].Max)
	}
}

// A cap that a plant lifts is lifted only where the brief makes sure of the plant: that it may be used is not
// enough.
func TestACapIsLiftedOnlyByAPlantThatIsSure(t *testing.T) {
	m := &profile.Market{Name: "canal", AlcoholicFrom: 1.2, Caps: []profile.Cap{quinine(80, profile.PerKilogram, "a")}}
	m.Caps[0].ExceptPlants = []string{"test-plant"}
	const flower = "[[ingredient]]\nname = \"sugar\"\nplants = [\"test-plant\"]\npure = true\nprice_per_kg = 1\nbasis = \"invented\"\n" +
		"soluble_share = 1\nspecific_volume_ml_per_g = 0.6\ncontents = { sugars = 1 }\n"
	assert.Len(t, marketed(t, m, "0").Caps, 1)
	assert.Len(t, marketed(t, m, "0", flower).Caps, 1, "may be used")
	assert.Len(t, marketed(t, m, "0", "[limits.sugar]\nmin_g_per_l = 0\n", flower).Caps, 1, "at least nothing")
	assert.Empty(t, marketed(t, m, "0", "[limits.sugar]\nmin_g_per_l = 0.5\n", flower).Caps, "is used")
}
