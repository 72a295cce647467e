package profile

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bittersum/internal/tomlfile"
)

// However a profile's attributes are dealt out among given, absent, unknown and not mentioned, the reader
// takes the profile, knows just the first two (all but the unknown of a pure substance), and reports the
// rest.
func TestWhatIsKnownIsWhatWasSaid(t *testing.T) {
	attributes := attributesForTests()
	rapid.Check(t, func(t *rapid.T) {
		var given, absent, unknown, silent []string
		fates := []*[]string{&given, &absent, &unknown, &silent}
		for _, name := range names(attributes) {
			fate := fates[rapid.IntRange(0, 3).Draw(t, name)]
			*fate = append(*fate, name)
		}
		pure := rapid.Bool().Draw(t, "pure")
		var text strings.Builder
		fmt.Fprintf(&text, "[[ingredient]]\nname = \"x\"\nbasis = \"memory\"\npure = %v\nunknown = [%s]\nabsent.attributes = [%s]\n", pure, quoted(unknown), quoted(absent))
		for n, name := range given {
			fmt.Fprintf(&text, "contents.%s = 0.00%d\n", name, n+1)
		}
		doc, err := tomlfile.Parse("x.toml", []byte(text.String()))
		require.NoError(t, err)
		tables := doc.Root().Tables("ingredient")
		g := ReadIngredient(tables[0], attributes)
		for _, f := range doc.Faults() { // solids may by chance be less than what is part of them
			require.Contains(t, f.What, "the contents that are part of it sum to")
		}
		for n, name := range given {
			c, known := g.Content(name)
			require.True(t, known)
			require.InDelta(t, float64(n+1)/1000, c.PerGram, 1e-12)
		}
		for _, name := range absent {
			c, known := g.Content(name)
			require.True(t, known)
			require.Zero(t, c.PerGram)
		}
		for _, name := range unknown {
			_, known := g.Content(name)
			require.False(t, known)
		}
		for _, name := range silent {
			_, known := g.Content(name)
			require.Equal(t, pure, known)
		}
		l := &Library{Attributes: attributes, Ingredients: map[string]*Ingredient{"x": g}}
		if pure || len(silent) == 0 {
			require.Empty(t, l.Check())
		} else {
			require.Equal(t, []string{"x: nothing is said of " + strings.Join(silent, ", ")}, l.Check())
		}
	})
}

func quoted(list []string) string {
	var out []string
	for _, s := range list {
		out = append(out, `"`+s+`"`)
	}
	return strings.Join(out, ", ")
}
