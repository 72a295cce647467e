package profile

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"bittersum/internal/reference"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// written returns the library as its files have it, so that a change of them shows before they are packed.
func written(t testing.TB) *Library {
	t.Helper()
	l, err := read()
	require.NoError(t, err)
	return l
}

var read = sync.OnceValues(fromFiles)

func rulesOf(market string) []rule {
	texts := map[string][]rule{"us": lawUS, "eu": lawEU, "uk": lawEU, "au-nz": lawAUNZ}
	besides := map[string]string{"uk": "eu"}[market]
	if besides == "" {
		besides = market
	}
	return slices.Concat(texts[market], further[besides])
}

func describeScope(s Scope) []string {
	words := []string{s.Drinks}
	if s.FromPercent > 0 {
		words = append(words, "from", fmt.Sprint(s.FromPercent))
	}
	if s.BelowPercent > 0 {
		words = append(words, "below", fmt.Sprint(s.BelowPercent))
	}
	if s.Gas != "" {
		words = append(words, s.Gas)
	}
	return words
}

func describe(c Cap) string {
	per := map[Per]string{PerKilogram: "mg/kg", PerLitre: "mg/l"}[c.Per]
	words := []string{c.Substance}
	for _, s := range c.Sum {
		words = append(words, fmt.Sprintf("%s/%v", s.Substance, s.Max))
	}
	words = append(append(words, fmt.Sprint(c.Max), per), describeScope(c.Scope)...)
	if c.PerPercent {
		words = append(words, "for each % vol")
	}
	for _, list := range []struct {
		word  string
		names []string
	}{{"with", c.Plants}, {"adding", slices.Concat(c.Added, c.Additives)}, {"except", c.ExceptPlants}} {
		if len(list.names) > 0 {
			words = append(append(words, list.word), list.names...)
		}
	}
	return strings.Join(words, " ")
}

func describePermission(p Permission) string {
	words := append([]string{p.Rule}, p.Plants...)
	for _, name := range slices.Concat(p.Added, p.Additives) {
		words = append(words, "+"+name)
	}
	return strings.Join(slices.Concat(words, p.ENumbers, describeScope(p.Scope)), " ")
}

// held returns the laws of a market's caps and permissions by their description.
func held(m *Market) map[string]Law {
	out := map[string]Law{}
	for _, c := range m.Caps {
		out[describe(c)] = c.Law
	}
	for _, p := range m.Permissions {
		out[describePermission(p)] = p.Law
	}
	return out
}

// Every cap and permission is one that was read, or is listed as recalled, and the other way round: value,
// unit, drinks and condition, with the citation.
func TestRulesEqualTheLaw(t *testing.T) {
	work := regexp.MustCompile(`^(Regulation \(EC\) \d+/\d+( Annex [IV]+)?|\d+ CFR (part )?\d+(\.\d+)?|Food Standards Code, (Schedule|Standard) [\d.]+)`)
	l := written(t)
	require.Len(t, l.Markets, 4)
	for name, m := range l.Markets {
		rules := held(m)
		assert.Len(t, rules, len(m.Caps)+len(m.Permissions), "%s: two rules say the same", name)
		found := map[string]bool{}
		recalled := notRead[strings.ReplaceAll(name, "uk", "eu")]
		for _, r := range rulesOf(name) {
			assert.NotEmpty(t, r.quote, r.about)
			for _, description := range r.held {
				law, ok := rules[description]
				if !assert.True(t, ok, "%s lacks: %s (%q)", name, description, r.quote) {
					continue
				}
				found[description] = true
				wanted := Seen
				if name == "uk" || slices.Contains(recalled, description) {
					wanted = Recalled
				}
				assert.Equal(t, wanted, law.Text, "%s: %s", name, description)
				if wanted == Seen {
					assert.NotEmpty(t, law.Edition, "%s: %s", name, description)
					of := work.FindString(law.Citation)
					require.NotEmpty(t, of, law.Citation)
				}
				if of := work.FindString(r.citation); of != "" && !strings.HasPrefix(of, "Food") {
					assert.True(t, strings.HasPrefix(law.Citation, strings.Fields(of)[0]), "%s: %s cites %s", name, description, law.Citation)
					assert.Contains(t, law.Citation, of, "%s: %s", name, description)
				}
			}
		}
		for _, description := range recalled {
			law, ok := rules[description]
			require.True(t, ok, "%s lacks: %s", name, description)
			assert.Equal(t, Recalled, law.Text)
			found[description] = true
		}
		for description := range rules {
			assert.True(t, found[description], "%s: no text is named for: %s", name, description)
		}
	}
}

// Each row of a table of rules read from the texts, with the columns market, rule, substance, ..., value in
// text, is one of those above, and the figures that they state are in that row.
func TestRulesEqualTheTableOfTexts(t *testing.T) {
	table := reference.Open(t, "law.csv")
	column := table.Columns()
	l, judged := written(t), 0
	for n, row := range table.Rows {
		kind, market := row[column["rule"]], row[column["market"]]
		if strings.HasPrefix(kind, "declaration") || slices.Contains(onLabels, row[column["substance"]]) {
			continue
		}
		if strings.HasPrefix(kind, "MISSING") {
			kind = ""
		}
		judged++
		rules, matched := held(l.Markets[market]), false
		for _, r := range rulesOf(market) {
			if r.kind != kind || r.about != row[column["substance"]] || !strings.Contains(row[column["quote"]], r.quote) || market == "us" && r.citation != row[column["citation"]] {
				continue
			}
			matched = true
			for _, description := range r.held {
				assert.Contains(t, rules, description)
				assertStated(t, row[column["value in text"]], description)
			}
		}
		assert.True(t, matched, "row %d is held by no rule: %s %s %s, %s", n+2, market, row[column["rule"]], row[column["substance"]], row[column["value in text"]])
	}
	assert.Greater(t, judged, 100)
}

// onLabels are rows about labels, held by TestStrongDrinksFollowTheTableOfTexts of package label, and about processes.
var onLabels = []string{"standard drinks", "pregnancy warning label", processed}

var figureOf = regexp.MustCompile(` (\d+(?:\.\d+)?) mg/`)

// assertStated holds a cap's figure against the words of the text: as it stands, grouped by thousands, or in
// percent. No figure above nothing may be missing; nothing at all is written as words.
func assertStated(t *testing.T, words, description string) {
	t.Helper()
	found := figureOf.FindStringSubmatch(description)
	if found == nil || found[1] == "0" || strings.HasPrefix(description, "preservatives-together") {
		return
	}
	figure, err := strconv.ParseFloat(found[1], 64)
	require.NoError(t, err)
	number := regexp.MustCompile(`\d+(?:[.,]\d+)?`)
	for _, text := range number.FindAllString(strings.ReplaceAll(words, " 000", "000"), -1) {
		stated, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
		if err == nil && (stated == figure || strings.Contains(words, "%") && abs(stated*1e4-figure) < 1e-6) {
			return
		}
	}
	t.Errorf("%s: the text says %q", description, words)
}

func abs(x float64) float64 { return max(x, -x) }
