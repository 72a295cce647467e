package profile

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"bittersum/internal/reference"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func describeDeclaration(d Declaration) string {
	wording := d.Wording
	if strings.HasPrefix(wording, "GOVERNMENT WARNING") { // held letter by letter by a test of its own
		wording = "GOVERNMENT WARNING"
	}
	words := []string{wording + ":"}
	per := map[Per]string{PerKilogram: " mg/kg", PerLitre: " mg/l", Per100g: " g/100g"}[d.Per]
	from := map[bool]string{false: "above ", true: "from "}[d.Inclusive] + fmt.Sprint(d.From)
	switch {
	case len(d.Sum) > 0:
		sum := slices.Clone(d.Sum)
		slices.SortFunc(sum, func(a, b Share) int { return strings.Compare(a.Substance, b.Substance) })
		for _, s := range sum {
			words = append(words, fmt.Sprintf("%s/%v", s.Substance, s.Max))
		}
		words = append(words, from)
	case d.Attribute != "":
		words = append(words, d.Attribute, from+per)
	case len(d.Categories) > 0:
		words = append(append(words, d.Categories...), d.AddedSugar, "sugar")
	}
	words = append(words, d.Drinks)
	if len(d.Plants) > 0 {
		words = append(append(words, "with"), d.Plants...)
	}
	if d.InList {
		words = append(words, "in list")
	}
	if d.UnlessListed != "" {
		words = append(words, "unless listed", d.UnlessListed)
	}
	return strings.Join(words, " ")
}

func labelsOf(market string) ([]rule, []string) {
	if market == "uk" {
		market = "eu"
	}
	return lawLabels[market], labelsNotRead[market]
}

// Every declaration is one that was read, or is listed as recalled, and the other way round: wording, figure,
// unit, drinks and condition, with the citation.
func TestDeclarationsAreThoseRead(t *testing.T) {
	for name, m := range written(t).Markets {
		laws := map[string]Law{}
		for _, d := range slices.Concat(m.Declarations, m.Duties) {
			laws[describeDeclaration(d)] = d.Law
		}
		assert.Len(t, laws, len(m.Declarations)+len(m.Duties), "%s: two declarations say the same", name)
		found := map[string]bool{}
		read, recalled := labelsOf(name)
		for _, r := range read {
			for _, description := range r.held {
				law, ok := laws[description]
				if !assert.True(t, ok, "%s lacks: %s (%q)", name, description, r.quote) {
					continue
				}
				found[description] = true
				assert.Equal(t, Seen, law.Text, "%s: %s", name, description)
				assert.NotEmpty(t, law.Edition, "%s: %s", name, description)
				assert.True(t, strings.HasPrefix(law.Citation, r.citation), "%s: %s cites %s", name, description, law.Citation)
			}
		}
		for _, description := range recalled {
			law, ok := laws[description]
			require.True(t, ok, "%s lacks: %s", name, description)
			assert.Equal(t, Recalled, law.Text, description)
			found[description] = true
		}
		for description := range laws {
			assert.True(t, found[description], "%s: no text is named for: %s", name, description)
		}
	}
}

// processed is the row about how juice is made, a duty of the market.
const processed = "juice HACCP"

// Each row about a declaration or a duty in the table of rules read from the texts is one of those above.
func TestDeclarationsEqualTheTableOfTexts(t *testing.T) {
	table := reference.Open(t, "law.csv")
	column := table.Columns()
	judged := 0
	for n, row := range table.Rows {
		kind, market := row[column["rule"]], row[column["market"]]
		about := row[column["substance"]]
		if !strings.HasPrefix(kind, "declaration") && about != processed {
			continue
		}
		judged++
		read, _ := labelsOf(market)
		assert.True(t, slices.ContainsFunc(read, func(r rule) bool {
			return (r.kind == kind || about == processed) && r.about == about && strings.Contains(row[column["quote"]], r.quote)
		}), "row %d is held by no declaration: %s %s %s", n+2, market, kind, about)
	}
	assert.Greater(t, judged, 30)
}
