package report_test

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/tomlfile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A template is right TOML as it is, of which only what must be filled in is asked for, and every key that
// it offers is one.
func TestTemplatesOfEveryKind(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	for _, kind := range profile.Kinds {
		t.Run(kind, func(t *testing.T) {
			var b bytes.Buffer
			report.Template(&b, lib, "mine", kind)
			faults := func(text string) tomlfile.Faults {
				doc, err := tomlfile.Parse("own.toml", []byte(text))
				require.NoError(t, err)
				tables := doc.Root().Tables("ingredient")
				require.Len(t, tables, 1)
				g := profile.ReadIngredient(tables[0], lib.Attributes)
				assert.Equal(t, kind, g.Kind)
				return doc.Faults()
			}
			assert.Empty(t, faults(b.String()), "what is not filled in is unknown, and asked for where it is needed")

			filled := regexp.MustCompile(`(?m)^# (\[|[a-z].* = )`).ReplaceAllString(b.String(), "$1")
			filled = strings.NewReplacer(`["____"]`, `["x"]`, `"E ____"`, `"E 1"`, `"____"`, `"x"`, "____", "0.001").Replace(filled)
			require.NotContains(t, filled, "____")
			assert.Greater(t, strings.Count(filled, " = "), 12)
			for _, f := range faults(filled) {
				assert.NotContains(t, f.What, "is not a key", f.Error())
				assert.NotContains(t, f.What, "is not allowed here", f.Error())
			}
		})
	}
}
