package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// residuals are chance in all their digits, and are not compared.
var residuals = regexp.MustCompile(`("(?:primal_residual|dual_residual|gap)"): [-+.e0-9]+`)

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
			got := residuals.ReplaceAll(out.Bytes(), []byte(`$1: 0`))
			path := filepath.Join("testdata", "golden", name)
			if *update {
				require.NoError(t, os.WriteFile(path, got, 0o644))
			}
			want, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.Equal(t, string(want), string(got))
		})
	}
}
