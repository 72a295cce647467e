package profile

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const rootMeasured = `[[measured]]
ingredient = "gentian-root"
on = 2026-11-27
from = "batches BL-42 and BL-44"
contents.bitterness = { per_g = 92, recovery = 0.81, sd = 20 }
`

// What was measured stands in place of the profile's figure and says where it comes from; all else stays, and
// the library itself too.
func TestMeasuredContents(t *testing.T) {
	l := embedded(t)
	before := l.Ingredients["gentian-root"]
	own, err := l.Overlay(folder(t, "measured/fit.toml", rootMeasured))
	require.NoError(t, err)
	g := own.Ingredients["gentian-root"]
	from := Provenance{Measured, "batches BL-42 and BL-44"}
	assert.Equal(t, Content{PerGram: 92, MeasuredOn: Decoction, Recovery: 0.81, SD: 20, CapRecovery: before.Contents["bitterness"].CapRecovery, Provenance: from, RecoveryProvenance: from}, g.Contents["bitterness"])
	assert.Equal(t, before.Contents["tannin"], g.Contents["tannin"])
	assert.Equal(t, before.PricePerKg, g.PricePerKg)
	assert.Equal(t, before.Plants, g.Plants)
	assert.NotEqual(t, 92.0, before.Contents["bitterness"].PerGram, "the library is not changed")
	assert.Empty(t, own.Check(), "nothing became unknown")
}

// Two files may measure different contents of one ingredient; what tasters notice stands in place of the attribute's.
func TestMeasuredInTwoFiles(t *testing.T) {
	own, err := embedded(t).Overlay(folder(t, "measured/fit.toml", rootMeasured, "measured/panel.toml",
		"[[measured]]\ningredient = \"gentian-root\"\nfrom = \"a panel\"\ncontents.aroma-earthy = { per_g = 5, sd = 1 }\n[[noticed]]\nattribute = \"aroma-earthy\"\nfrom = \"3 tests\"\njnd_share = 0.21\n"))
	require.NoError(t, err)
	g := own.Ingredients["gentian-root"]
	assert.Equal(t, 92.0, g.Contents["bitterness"].PerGram)
	assert.Equal(t, 5.0, g.Contents["aroma-earthy"].PerGram)
	a := own.Attributes["aroma-earthy"]
	assert.Equal(t, 0.21, a.JNDShare)
	assert.Zero(t, a.JND)
	assert.Equal(t, Provenance{Measured, "3 tests"}, a.Provenance)
	assert.NotEqual(t, 0.21, embedded(t).Attributes["aroma-earthy"].JNDShare)
}

func TestMeasuredSolutesAndMethods(t *testing.T) {
	l := embedded(t)
	before := l.Ingredients["lemon-juice"]
	require.NotEmpty(t, before.Solutes)
	own, err := l.Overlay(folder(t, "measured/fit.toml", "[[measured]]\ningredient = \"lemon-juice\"\nfrom = \"a batch\"\nsolutes_factor = 0.5\n"))
	require.NoError(t, err)
	assert.InDelta(t, before.Solutes["citric"]/2, own.Ingredients["lemon-juice"].Solutes["citric"], 1e-12)
	assert.Equal(t, Measured, own.Ingredients["lemon-juice"].SolutesProvenance.Basis)
	own, err = l.Overlay(folder(t, "ingredients/sweet.toml", ownSugar+"[ingredient.methods.slow]\nrecovery = { sugars = 0.5 }\nbasis = \"memory\"\n",
		"measured/fit.toml", "[[measured]]\ningredient = \"sugar\"\nfrom = \"a batch\"\nmethods.slow.recovery = { sugars = 0.123 }\n"))
	require.NoError(t, err)
	assert.Equal(t, 0.123, own.Ingredients["sugar"].Methods["slow"].Recovery["sugars"])
	assert.Equal(t, Measured, own.Ingredients["sugar"].Methods["slow"].Basis)
}

// A fit reads the profiles without what earlier fits found, and with all else that was measured.
func TestFitsAreLeft(t *testing.T) {
	l := *embedded(t)
	l.LeaveFits = true
	dir := folder(t, "measured/a.toml", strings.Replace(rootMeasured, "batches BL-42 and BL-44", "fit to BL-42", 1)+strings.Replace(rootMeasured, "gentian-root", "black-tea", 1))
	own, err := l.Overlay(dir)
	require.NoError(t, err)
	assert.Equal(t, l.Ingredients["gentian-root"].Contents["bitterness"], own.Ingredients["gentian-root"].Contents["bitterness"])
	assert.Equal(t, 92.0, own.Ingredients["black-tea"].Contents["bitterness"].PerGram)
	assert.True(t, own.LeaveFits)
}

func TestMeasuredFaults(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"nothing", "x = 1", "DIR:1: measured: is missing\nDIR:1: x: is not a key that is known here; allowed are measured"},
		{"no such ingredient", strings.Replace(rootMeasured, "gentian-root", "gentian-rot", 1), `DIR:2: measured[1].ingredient: there is no ingredient "gentian-rot" (did you mean "gentian-root"?)`},
		{"from nowhere", strings.Replace(rootMeasured, "from =", "form =", 1), "DIR:1: measured[1].from: is missing\n" + `DIR:4: measured[1].form: is not a key that is known here (did you mean "from"?)`},
		{"twice", rootMeasured + rootMeasured, `DIR:10: measured[2].contents.bitterness: bitterness of gentian-root is measured twice, first at DIR:5 (keep one of the two)`},
		{"no such attribute noticed", "[[noticed]]\nattribute = \"biterness\"\nfrom = \"x\"\njnd = 3\n", `DIR:2: noticed[1].attribute: there is no attribute "biterness" (did you mean "bitterness"?)`},
		{"both differences", "[[noticed]]\nattribute = \"bitterness\"\nfrom = \"x\"\njnd = 3\njnd_share = 0.2\n", `DIR:1: noticed[1]: needs jnd, in the attribute's unit, or jnd_share, a share of its value`},
		{"noticed twice", strings.Repeat("[[noticed]]\nattribute = \"bitterness\"\nfrom = \"x\"\njnd = 3\n", 2), `DIR:6: noticed[2].attribute: what is noticed of bitterness is measured twice, first at DIR:2`},
		{"no deviation", strings.Replace(rootMeasured, ", sd = 20", "", 1), `DIR:5: measured[1].contents.bitterness.sd: is missing`},
		{"a negative deviation", strings.Replace(rootMeasured, "sd = 20", "sd = -20", 1), `DIR:5: measured[1].contents.bitterness.sd: -20 is out of range; it must be 0 or more`},
		{"a bare number", strings.Replace(rootMeasured, "{ per_g = 92, recovery = 0.81, sd = 20 }", "92", 1), `DIR:5: measured[1].contents.bitterness: is no table (give { per_g = ..., sd = ..., recovery = ... })`},
		{"no such attribute", strings.Replace(rootMeasured, "bitterness", "biterness", 1), `DIR:5: measured[1].contents.biterness: there is no attribute "biterness" (did you mean "bitterness"?)`},
		{"more than a gram in a gram", strings.Replace(rootMeasured, "bitterness = { per_g = 92", "tannin = { per_g = 2000", 1), "DIR:5: measured[1].contents.soluble-solids: is 0.33 g per gram, but the contents that are part of it sum to 2.131 g"},
		{"no such method", "[[measured]]\ningredient = \"gentian-root\"\nfrom = \"x\"\nmethods.boiling.recovery = { bitterness = 0.4 }\n", `DIR:4: measured[1].methods.boiling: the profile of "gentian-root" knows no method "boiling"`},
		{"a factor out of all reason", "[[measured]]\ningredient = \"lemon-juice\"\nfrom = \"x\"\nsolutes_factor = 50\n", `DIR:4: measured[1].solutes_factor: 50 is out of range; it must be from 0.1 to 10`},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := folder(t, "measured/fit.toml", c.text)
			_, err := embedded(t).Overlay(dir)
			require.Error(t, err)
			got := strings.ReplaceAll(err.Error(), filepath.Join(dir, "measured", "fit.toml"), "DIR")
			for _, line := range strings.Split(c.want, "\n") {
				assert.Contains(t, got, line)
			}
		})
	}
}
