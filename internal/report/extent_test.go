package report_test

import (
	"bytes"
	"context"
	"strconv"
	"strings"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/study"
	"bittersum/profiles"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// words are a text without its line breaks.
func words(text string) string { return strings.Join(strings.Fields(text), " ") }

// A short answer leaves out no grave caution and no cap that is unknown, broken or close; it says how many
// cautions it leaves out, and each line that the whole answer adds stands in none of those.
func TestShortAnswersKeepWhatIsGrave(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	for _, demo := range []string{"bitter-orange", "bitter-lemon", "gentian-cordial", "gentian-syrup"} {
		job, err := brief.OpenFS(profiles.FS, "demo/"+demo+".toml", "", lib)
		require.NoError(t, err)
		answer, err := study.Blend(context.Background(), job)
		require.NoError(t, err)
		a := answer.Assessment
		a.Caps[len(a.Caps)-1].Holds = false // as if it broke
		a.Cautions = append(a.Cautions, assess.Caution{Text: "Grave news.", From: "test", Weight: assess.Grave}, assess.Caution{Text: "Small talk.", From: "test"})
		var short, full bytes.Buffer
		report.Assess(&short, a, report.Short)
		report.Assess(&full, a, report.InFull)
		left := 0
		for _, c := range a.Cautions {
			text := words(c.Text)
			assert.Contains(t, words(full.String()), text, demo)
			if c.Weight == assess.Grave || c.Text == assess.LocalLaw.Text {
				assert.Contains(t, words(short.String()), text, demo)
			}
			if !strings.Contains(words(short.String()), text) {
				left++
			}
		}
		assert.NotContains(t, short.String(), "Small talk.")
		assert.Regexp(t, `\b`+strconv.Itoa(left)+` more stand in the whole answer`, short.String(), demo)
		assert.Contains(t, short.String(), "BROKEN", demo)
		for _, c := range a.Caps {
			if !c.Holds || len(c.Accepted) > 0 || c.HeadRoom < 0.5 {
				assert.Regexp(t, `(?m)^  `+c.Substance+` .*`+c.Market.Name+`$`, short.String(), demo)
			}
		}
		assert.Less(t, strings.Count(short.String(), "\n"), strings.Count(full.String(), "\n"), demo)
	}
}
