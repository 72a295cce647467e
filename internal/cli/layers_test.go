package cli

import (
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestLayers keeps the imports pointing one way.
func TestLayers(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}}:{{join .Imports " "}}`, "bittersum/...").Output()
	require.NoError(t, err)
	forbidden := map[string][]string{
		"bittersum/solver":             {"bittersum/internal", "bittersum/profiles"},
		"bittersum/internal/chem":      {"bittersum/"},
		"bittersum/internal/chance":    {"bittersum/"},
		"bittersum/internal/tomlfile":  {"bittersum/"},
		"bittersum/internal/sensory":   {"bittersum/solver", "bittersum/internal/profile", "bittersum/internal/brief", "bittersum/internal/report", "bittersum/internal/cli"},
		"bittersum/internal/profile":   {"bittersum/solver", "bittersum/internal/brief", "bittersum/internal/report", "bittersum/internal/cli"},
		"bittersum/internal/brief":     {"bittersum/solver", "bittersum/internal/assess", "bittersum/internal/formulate", "bittersum/internal/study", "bittersum/internal/report", "bittersum/internal/cli"},
		"bittersum/internal/assess":    {"bittersum/solver", "bittersum/internal/formulate", "bittersum/internal/study", "bittersum/internal/report", "bittersum/internal/cli"},
		"bittersum/internal/liquor":    {"bittersum/solver", "bittersum/internal/assess", "bittersum/internal/formulate", "bittersum/internal/study", "bittersum/internal/report", "bittersum/internal/cli"},
		"bittersum/internal/formulate": {"bittersum/internal/study", "bittersum/internal/report", "bittersum/internal/cli"},
		"bittersum/internal/register":  {"bittersum/solver", "bittersum/internal/brief", "bittersum/internal/profile", "bittersum/internal/kettle", "bittersum/internal/report", "bittersum/internal/cli"},
		"bittersum/internal/stock":     {"bittersum/solver", "bittersum/internal/assess", "bittersum/internal/formulate", "bittersum/internal/study", "bittersum/internal/kettle", "bittersum/internal/report", "bittersum/internal/cli"},
		"bittersum/internal/label":     {"bittersum/solver", "bittersum/internal/formulate", "bittersum/internal/study", "bittersum/internal/kettle", "bittersum/internal/report", "bittersum/internal/cli"},
		"bittersum/internal/regress":   {"bittersum/"},
		"bittersum/internal/intake":    {"bittersum/solver", "bittersum/internal/kettle", "bittersum/internal/report", "bittersum/internal/cli"},
		"bittersum/internal/sheet":     {"bittersum/solver", "bittersum/internal/profile", "bittersum/internal/brief", "bittersum/internal/words", "bittersum/internal/report", "bittersum/internal/cli"},
		"bittersum/internal/words":     {"bittersum/solver", "bittersum/internal/profile", "bittersum/internal/brief", "bittersum/internal/report", "bittersum/internal/cli"},
		"bittersum/internal/fit":       {"bittersum/internal/report", "bittersum/internal/page", "bittersum/internal/cli"},
		"bittersum/internal/kettle":    {"bittersum/internal/fit", "bittersum/internal/report", "bittersum/internal/cli"},
		"bittersum/internal/study":     {"bittersum/internal/kettle", "bittersum/internal/report", "bittersum/internal/cli"},
		"bittersum/internal/report":    {"bittersum/internal/works", "bittersum/internal/page", "bittersum/internal/cli"},
		"bittersum/internal/works":     {"bittersum/internal/page", "bittersum/internal/cli"},
		"bittersum/internal/page":      {"bittersum/internal/cli"},
	}
	seen := 0
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		pkg, imports, _ := strings.Cut(line, ":")
		for layer, below := range forbidden {
			if pkg != layer && !strings.HasPrefix(pkg, layer+"/") {
				continue
			}
			seen++
			for _, imported := range strings.Fields(imports) {
				for _, prefix := range below {
					if strings.HasPrefix(imported, pkg) { // a package's own parts
						continue
					}
					own := layer == "bittersum/internal/chem" || layer == "bittersum/internal/regress" || layer == "bittersum/internal/chance" || layer == "bittersum/internal/tomlfile"
					assert.False(t, strings.HasPrefix(imported, prefix) && (!own || imported != pkg), "%s imports %s", pkg, imported)
				}
			}
		}
	}
	require.GreaterOrEqual(t, seen, len(forbidden))
}
