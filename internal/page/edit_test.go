package page

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func value(x float64) *float64 { return &x }

func TestEditKeepsWhatItDoesNotChange(t *testing.T) {
	targets := func(name string, least, most *float64) *Question {
		return &Question{Targets: map[string]Span{name: {least, most}}}
	}
	for name, c := range map[string]struct {
		q            *Question
		before, want string
	}{
		"a table": {targets("bitterness", value(66), value(75)),
			"# head\n[targets.bitterness] # how bitter\nmin = 62 # tasted\nmax = 75\n\n[targets.ph]\nmax = 3.0\n",
			"# head\n[targets.bitterness] # how bitter\nmin = 66 # tasted\nmax = 75\n\n[targets.ph]\nmax = 3.0\n"},
		"a number written another way": {targets("bitterness", value(60), value(1000)), "[targets.bitterness]\nmin = 6e1\nmax = 1_000\n", "[targets.bitterness]\nmin = 6e1\nmax = 1_000\n"},
		"a side goes":                  {targets("bitterness", nil, value(75)), "[targets.bitterness]\nmin = 62\nmax = 75\n", "[targets.bitterness]\nmax = 75\n"},
		"a side comes":                 {targets("ph", value(2.5), value(3)), "[targets.ph]\nmax = 3\n[limits.x]\nmin = 1\n", "[targets.ph]\nmin = 2.5\nmax = 3\n[limits.x]\nmin = 1\n"},
		"both sides go":                {targets("bitterness", nil, nil), "[targets.bitterness] # how bitter\n# tasted\nmin = 62\nmax = 75\n\n[targets.ph]\nmax = 3.0\n", "# tasted\n\n[targets.ph]\nmax = 3.0\n"},
		"both sides of the last go":    {targets("ph", nil, nil), "[targets.bitterness]\nmin = 62\n[targets.ph]\nmax = 3.0\n", "[targets.bitterness]\nmin = 62\n"},
		"both sides of an inline go":   {targets("sugars", nil, nil), "[targets]\nsugars = { min = 75, max = 90 } # g/L\nph = { max = 3 }\n", "[targets]\nph = { max = 3 }\n"},
		"a quoted name":                {targets("aroma-citrus", value(5), nil), "[targets.\"aroma-citrus\"]\nmin = 4\n", "[targets.\"aroma-citrus\"]\nmin = 5\n"},
		"an inline table":              {targets("sugars", value(70), value(90)), "[targets]\nsugars = { min = 75, max = 90 } # g/L\n", "[targets]\nsugars = { min = 70, max = 90 } # g/L\n"},
		"a dotted inline table":        {targets("sugars", nil, value(90)), "targets.sugars = {min=75}\n", "targets.sugars = { max = 90 }\n"},
		"a new target":                 {targets("tannin", value(60), nil), "name = \"x\"\n\n\n", "name = \"x\"\n\n[targets.tannin]\nmin = 60\n"},
		"line ends of another system":  {targets("ph", nil, value(3)), "[targets.ph]\r\nmax = 4\r\n", "[targets.ph]\r\nmax = 3\r\n"},
		"a price":                      {&Question{Prices: map[string]float64{"sugar": 1.5}}, "[limits.sugar]\nmax_g_per_l = 90\n", "[limits.sugar]\nmax_g_per_l = 90\nprice_per_kg = 1.5\n"},
		"crossed out":                  {&Question{Without: []string{"sugar"}}, "use = [\n  \"water\", \"sugar\", # sweet\n  \"honey\",\n]\n", "use = [\n  \"water\", # sweet\n  \"honey\",\n]\n"},
		"crossed out at the end":       {&Question{Without: []string{"honey"}}, "use = [\"water\", \"honey\"]\n", "use = [\"water\", ]\n"},
	} {
		got, err := edit(c.before, c.q)
		require.NoError(t, err, name)
		assert.Equal(t, c.want, got, name)
	}
	_, err := edit("use = [\"water\"]\n", &Question{Without: []string{"gin"}})
	assert.ErrorContains(t, err, "mend it in the text")
	_, err = edit("[targets]\nsugars = { min = 1, note = \"a, b\" }\n", targets("sugars", value(2), nil))
	assert.ErrorContains(t, err, "line 2")
}

// The lines of a difference, put together, are both texts.
func TestDifference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SliceOfN(rapid.SampledFrom([]string{"a", "b", "c"}), 1, 12)
		before, after := text.Draw(t, "before"), text.Draw(t, "after")
		var taken, put int
		for _, line := range difference(strings.Join(before, "\n"), strings.Join(after, "\n")) {
			switch line.Mark {
			case "-":
				if before[line.No-1] != line.Text {
					t.Fatalf("line %d", line.No)
				}
				taken++
			default:
				if after[line.No-1] != line.Text {
					t.Fatalf("line %d", line.No)
				}
				if line.Mark == "+" {
					put++
				}
			}
		}
		if len(before)-taken != len(after)-put {
			t.Fatalf("%d lines less %d are not %d less %d", len(before), taken, len(after), put)
		}
	})
}

// Whatever a brief looks like, an edit of it never fails badly, and an edit without a change changes nothing.
func FuzzEdit(f *testing.F) {
	f.Add("[targets.bitterness]\nmin = 1\n", "bitterness")
	f.Add("targets.x = { min = 1 }", "x")
	f.Add("[targets]\nx={}", "x")
	f.Fuzz(func(t *testing.T, text, name string) {
		same, err := edit(strings.ReplaceAll(text, "\r", ""), &Question{})
		if err != nil || same != strings.ReplaceAll(text, "\r", "") {
			t.Fatalf("%q became %q, %v", text, same, err)
		}
		_, _ = edit(text, &Question{Targets: map[string]Span{name: {value(1), nil}}, Without: []string{name}})
	})
}
