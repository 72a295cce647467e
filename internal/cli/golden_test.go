package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestGolden compares what other programs read with the files of testdata/golden; -update rewrites them.
func TestGolden(t *testing.T) {
	blends := filepath.Join("..", "..", "testdata", "blends")
	recipe := filepath.Join("..", "..", "testdata", "readme", "house-recipe.toml")
	for name, args := range map[string][]string{
		"blend_polly.json":           {"blend", filepath.Join(blends, "polly.toml"), "--json"},
		"blend_plan.csv":             {"blend", filepath.Join(blends, "plan.toml"), "--csv"},
		"blend_jumpinf.json":         {"blend", filepath.Join(blends, "jumpinf.toml"), "--json"},
		"blend_gentian_cordial.json": {"blend", "demo:gentian-cordial", "--json"},
		"assess_bitter_lemon.json":   {"assess", "demo:bitter-lemon", recipe, "--json"},
		"assess_bitter_lemon.csv":    {"assess", "demo:bitter-lemon", recipe, "--csv"},
		"show_water.json":            {"profiles", "show", "water", "--json"},
		"show_us.json":               {"profiles", "show", "us", "--json"},
		"export_polly.mps":           {"export", filepath.Join(blends, "polly.toml")},
	} {
		t.Run(name, func(t *testing.T) {
			var out, errs bytes.Buffer
			Main(args, strings.NewReader(""), &out, &errs)
			require.Empty(t, errs.String())
			path := filepath.Join("testdata", "golden", name)
			if *update {
				require.NoError(t, os.WriteFile(path, out.Bytes(), 0o644))
			}
			want, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.Equal(t, string(want), out.String())
		})
	}
}
