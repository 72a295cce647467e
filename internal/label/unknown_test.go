package label_test

import (
	"strings"
	"testing"

	"bittersum/internal/label"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// own is an ingredient of which each case leaves one thing unknown.
const own = `
[[ingredient]]
name = "syrup"
pure = true
label_name = "syrup"
soluble_share = 1
specific_volume_ml_per_g = 0.7
basis = "invented"
unknown = ["NAME"]
[ingredient.contents]
soluble-solids = 0.7
sugars = 0.6
`

// An amount that an ingredient has no figure for is no nought on any panel: Regulation (EU) 1169/2011 Article 31(4)
// wants averages from analyses or from known values of the ingredients, 21 CFR 101.9(g) the same amounts as found, and
// Standard 1.2.8-7 of the Food Standards Code average quantities.
func TestUnknownIsNeverPrintedAsNothing(t *testing.T) {
	for _, c := range []struct {
		unknown     string
		us, eu, anz []string // rows that say nothing
	}{
		{"protein", []string{"Protein"}, []string{"Protein"}, []string{"Protein"}},
		{"fat", []string{"Total Fat"}, []string{"Fat"}, []string{"Fat, total"}},
		{"saturates", []string{"Saturated Fat"}, []string{"of which saturates"}, []string{"saturated"}},
		{"fibre", []string{"Dietary Fiber"}, nil, nil},
		{"sodium", []string{"Sodium"}, []string{"Salt"}, []string{"Sodium"}},
		{"potassium", []string{"Potassium"}, nil, nil},
		{"polyols", []string{"Sugar Alcohol"}, []string{"of which polyols"}, nil},
	} {
		t.Run(c.unknown, func(t *testing.T) {
			l := draft(t, "name = \"Test\"\nmarkets = [\"us\", \"eu\", \"uk\", \"au-nz\"]\nbottle_ml = 330\n",
				map[string]float64{"water": 950, "syrup": 50}, strings.Replace(own, "NAME", c.unknown, 1))
			for market, rows := range map[string][]string{"us": c.us, "eu": c.eu, "uk": c.eu, "au-nz": c.anz} {
				for _, r := range l[market].Panel.Rows {
					for _, text := range r.Amounts {
						if text != "" && r.Name != "Calcium" && r.Name != "Vitamin D" && r.Name != "Iron" {
							assert.Equal(t, contains(rows, r.Name), text == "—", "%s: %s says %q", market, r.Name, text)
						}
					}
				}
				for _, name := range rows {
					row(t, l[market], name)
				}
				assert.Contains(t, strings.Join(l[market].Panel.Notes, "\n"), c.unknown+": not known of syrup", market)
			}
			below := strings.Join(l["us"].Panel.Below, " ")
			for _, silent := range map[string][]string{"saturates": {"saturated fat"}, "fat": {"trans fat"}, "fibre": {"dietary fiber"}, "potassium": {"potassium"}}[c.unknown] {
				assert.NotContains(t, below, silent, "no significant source only of what is known")
			}
		})
	}
}

func contains(list []string, name string) bool {
	for _, x := range list {
		if x == name {
			return true
		}
	}
	return false
}

// Of a drink without any solids no panel says that it gives no energy while its fat is not known.
func TestEnergyOfTheUnknown(t *testing.T) {
	l := draft(t, "name = \"Test\"\nmarkets = [\"us\", \"eu\", \"au-nz\"]\nbottle_ml = 330\n",
		map[string]float64{"water": 999, "syrup": 0.001}, strings.Replace(own, "NAME", "fat", 1))
	assert.Equal(t, "—", row(t, l["us"], "Calories").Amounts[0])
	assert.Equal(t, "—", row(t, l["eu"], "Energy").Amounts[0])
	assert.Equal(t, []string{"—", "—"}, row(t, l["au-nz"], "Energy").Amounts)
}

// In two columns, 21 CFR 101.9(b)(12)(i), a dash stands once a column.
func TestUnknownInTwoColumns(t *testing.T) {
	l := draft(t, "name = \"Test\"\nmarkets = [\"us\"]\nbottle_ml = 720\n", map[string]float64{"water": 950, "syrup": 50}, strings.Replace(own, "NAME", "fat", 1))
	assert.Equal(t, []string{"—", "—"}, row(t, l["us"], "Total Fat").Amounts)
	assert.Equal(t, []string{"0 mg, 0 %", "0 mg, 0 %"}, row(t, l["us"], "Sodium").Amounts)
}

// Where the sugars of an ingredient are not known, those that are added are not either, 21 CFR 101.9(c)(6)(iii).
func TestUnknownAddedSugars(t *testing.T) {
	l := draft(t, "name = \"Test\"\nmarkets = [\"us\"]\nbottle_ml = 330\n", map[string]float64{"water": 950, "syrup": 50},
		strings.Replace(strings.Replace(own, "NAME", "sugars", 1), "sugars = 0.6\n", "", 1))
	assert.Equal(t, "—", row(t, l["us"], "Total Sugars").Amounts[0])
	assert.Equal(t, "—", row(t, l["us"], "Includes — Added Sugars").Daily)
}

// What is known to be none is printed as none.
func TestKnownNoughts(t *testing.T) {
	l := draft(t, "name = \"Test\"\nmarkets = [\"us\", \"eu\", \"au-nz\"]\nbottle_ml = 330\n", map[string]float64{"water": 950, "sugar": 50}, "")
	assert.Equal(t, "0 g", row(t, l["us"], "Protein").Amounts[0], "21 CFR 101.9(c)(7)")
	assert.Equal(t, "0 g", row(t, l["eu"], "Fat").Amounts[0], "guidance of December 2012")
	assert.Equal(t, []string{"0 g", "0 g"}, row(t, l["au-nz"], "Fat, total").Amounts)
}

// A duty to declare that hangs on what is not known is named, with what it hangs on: quinine by 21 CFR 172.575 and
// Annex VII Part D point 3, caffeine by Annex III point 4.1, sulphites by Annex II point 12 and 21 CFR 101.100(a)(4).
func TestUndecidedDeclarations(t *testing.T) {
	for _, c := range []struct{ unknown, market, says string }{
		{"quinine", "us", `whether the label must say "contains quinine": there is no figure of quinine for syrup`},
		{"quinine", "eu", `whether the label must say "flavouring (quinine)": there is no figure of quinine for syrup`},
		{"quinine", "au-nz", `whether the label must say "contains quinine": there is no figure of quinine for syrup`},
		{"caffeine", "eu", `whether the label must say "High caffeine content. Not recommended for children or pregnant or breast-feeding women (__ mg/100 ml)": there is no figure of caffeine for syrup`},
		{"sulphites", "us", `whether the label must say "contains sulfites": there is no figure of sulphites for syrup`},
		{"sulphites", "uk", `whether the label must say "contains sulphites": there is no figure of sulphites for syrup`},
		{"sulphites", "au-nz", `whether the label must say "contains sulphites": there is no figure of sulphites for syrup`},
	} {
		l := draft(t, "name = \"Test\"\nmarkets = [\""+c.market+"\"]\n", map[string]float64{"water": 950, "syrup": 50},
			strings.Replace(own, "NAME", c.unknown, 1)+"[[accept]]\ningredient = \"syrup\"\nsubstance = \""+c.unknown+"\"\nreason = \"a test\"\n")
		assert.Contains(t, line(l[c.market], "not known"), c.says)
	}
	l := draft(t, "name = \"Test\"\nmarkets = [\"us\", \"eu\", \"uk\", \"au-nz\"]\n", map[string]float64{"water": 950, "sugar": 50}, "")
	for market, x := range l {
		assert.Empty(t, line(x, "not known"), market)
	}
}

// The maker's figure of salt stands in the place of what the ingredients bring: 0.25 g of salt are 100 mg of sodium.
func TestSaltOfTheMaker(t *testing.T) {
	a := assessed(t, "name = \"Test\"\nmarkets = [\"us\", \"eu\"]\nbottle_ml = 200\n",
		map[string]float64{"water": 950, "syrup": 50}, strings.Replace(own, "NAME", "sodium", 1))
	for _, l := range label.New(a, label.Options{Nutrients: map[string]float64{"salt": 0.25}}) {
		require.NotNil(t, l.Panel)
		name, want := "Salt", "0.25 g"
		if l.Market.Name == "us" {
			name, want = "Sodium", "200 mg"
		}
		assert.Equal(t, want, row(t, l, name).Amounts[0])
	}
}
