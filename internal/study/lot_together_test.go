package study_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a lot says of how its contents go together stands in the place of its profile's word, for certificate values
// too. The deviation of the sum is worked out here: that of two lognormal contents by the correlation of their logarithms.
func TestContentsOfALotGoTogetherAsItSays(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	for _, certified := range []string{"", "[lot.contents.sorbic-acid]\nper_g = 372.5\nsd = 75\n[lot.contents.benzoic-acid]\nper_g = 422.5\nsd = 85\n"} {
		for _, c := range []struct {
			text string
			r    float64
		}{{"[lot.correlations]\nsorbic-acid = { benzoic-acid = 0.95 }\n", 0.95}, {"[lot.correlations]\nsorbic-acid = { benzoic-acid = -0.95 }\n", -0.95}} {
			dir := t.TempDir()
			lots := "[[lot]]\nnumber = \"P-1\"\ningredient = \"house-blend\"\nquantity_kg = 5\n" + certified + c.text
			require.NoError(t, os.WriteFile(filepath.Join(dir, "lots.toml"), []byte(lots), 0o600))
			job, err := brief.OpenText(filepath.Join(dir, "brief.toml"), `name = "preserved"
markets = ["au-nz"]
lots = "lots.toml"
batch_l = 100
use = ["water", "sugar", "citric-acid", "house-blend"]
`+houseBlend+`[ingredient.correlations]
sorbic-acid = { benzoic-acid = 0.5 }
`, lib)
			require.NoError(t, err)
			a, err := assess.Assess(job, &brief.Recipe{Parts: []brief.Part{
				{Source: job.Source("water"), Amount: 960}, {Source: job.Source("sugar"), Amount: 50}, {Source: job.Source("house-blend/P-1"), Amount: 0.3}}})
			require.NoError(t, err)
			s := stressed(t, a, 0.3)
			tested := false
			for _, k := range s.Caps {
				if len(k.Sum) == 0 || k.Spread.Expected == 0 || len(k.Counted()) < 2 {
					continue
				}
				perMax := map[string]float64{}
				for _, share := range k.Counted() {
					perMax[share.Substance] = share.Max
				}
				if perMax["sorbic-acid"] == 0 || perMax["benzoic-acid"] == 0 {
					continue
				}
				x, y := 372.5/perMax["sorbic-acid"], 422.5/perMax["benzoic-acid"]
				cvX, cvY := 75/372.5, 85/422.5
				log := math.Sqrt(math.Log1p(cvX*cvX) * math.Log1p(cvY*cvY))
				variance := x*x*cvX*cvX + y*y*cvY*cvY + 2*x*y*math.Expm1(c.r*log)
				relative := math.Sqrt(variance) / (x + y)
				sigma := math.Sqrt(math.Log1p(relative * relative)) // the sum is close to lognormal
				assert.InEpsilon(t, math.Exp(2*1.6449*sigma), k.High/k.Low, 0.02, "%v %v", c.r, certified)
				tested = true
			}
			assert.True(t, tested)
		}
	}
}
