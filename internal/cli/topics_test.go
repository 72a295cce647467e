package cli

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTopicsAreComplete looks every key that the readers of briefs and lots ask for up in the help page,
// and every JSON field of the answers.
func TestTopicsAreComplete(t *testing.T) {
	keys := regexp.MustCompile(`\.(?:String|Number|NumberOr|Bool|Strings|Table|Tables|OneOf|Date)\("([a-z_]+)"`)
	found := 0
	for _, file := range []string{"read.go", "lots.go", "measure.go", "process.go", "weighing.go"} {
		source, err := os.ReadFile(filepath.Join("..", "brief", file))
		require.NoError(t, err)
		for _, m := range keys.FindAllStringSubmatch(string(source), -1) {
			found++
			assert.Contains(t, briefTopic, m[1], "help brief-file does not mention %s", m[1])
		}
	}
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	_, readme, _ := strings.Cut(string(text), "## To add an ingredient")
	source, err := os.ReadFile(filepath.Join("..", "profile", "preparation.go"))
	require.NoError(t, err)
	for _, m := range keys.FindAllStringSubmatch(string(source), -1) {
		assert.Contains(t, briefTopic, m[1], "help brief-file does not mention %s", m[1])
	}
	for _, file := range []string{"read_ingredient.go", "read_process.go"} {
		source, err := os.ReadFile(filepath.Join("..", "profile", file))
		require.NoError(t, err)
		for _, m := range keys.FindAllStringSubmatch(string(source), -1) {
			assert.Contains(t, profileTopic, m[1], "help profile-file does not mention %s", m[1])
			assert.Contains(t, readme, m[1], "the table of keys in README.md does not mention %s", m[1])
		}
	}
	require.Greater(t, found, 25)
	planKeys := regexp.MustCompile(`(?:String|Number|NumberOr|Numbers|NumberList|Whole|Bool|Table|Tables|OneOf|Date|each)\((?:t, )?"([a-z_]+)"`)
	for _, file := range []string{"read.go", "read_offer.go", "read_scenario.go"} {
		source, err := os.ReadFile(filepath.Join("..", "plan", file))
		require.NoError(t, err)
		for _, m := range planKeys.FindAllStringSubmatch(string(source), -1) {
			assert.Contains(t, planTopic, m[1], "help plan-file does not mention %s", m[1])
		}
	}
	fields := regexp.MustCompile("`json:\"([a-z_]+)")
	for _, file := range []string{"json.go", "measure_json.go", "sheet_json.go", "made.go", "lots.go", "label.go", "rests.go", "figures.go", "preparation.go"} {
		source, err := os.ReadFile(filepath.Join("..", "report", file))
		require.NoError(t, err)
		for _, m := range fields.FindAllStringSubmatch(string(source), -1) {
			assert.Contains(t, jsonTopic, strings.TrimPrefix(m[1], "titratable_acidity"), "help json does not mention %s", m[1])
		}
	}
	for _, line := range strings.Split(briefTopic+"\n"+planTopic+"\n"+profileTopic+"\n"+jsonTopic, "\n") {
		assert.LessOrEqual(t, len([]rune(line)), 90, line)
	}
}
