package report

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// A table whose words can be broken stays within the page, and loses none of them.
func TestTablesFitThePage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[a-zµ°]{1,12}`)
		text := rapid.Custom(func(t *rapid.T) string {
			return strings.Join(rapid.SliceOfN(word, 0, 12).Draw(t, "words"), " ")
		})
		table := newTable("  ", "lname", "lwhat it is", ".then costs, EUR/L", "lwhere")
		var all []string
		for range rapid.IntRange(1, 6).Draw(t, "rows") {
			row := []string{text.Draw(t, "name"), text.Draw(t, "what"), "12.5", text.Draw(t, "where")}
			table.row(row...)
			all = append(all, strings.Fields(strings.Join(row, " "))...)
		}
		var out bytes.Buffer
		table.write(&out)
		for _, line := range strings.Split(out.String(), "\n") {
			assert.LessOrEqual(t, utf8.RuneCountInString(line), width, line)
		}
		all = append(all, strings.Fields("name what it is then costs, EUR/L where")...)
		assert.ElementsMatch(t, all, strings.Fields(out.String()))
	})
}

// A heading that is wider than its numbers is broken before the words of a row are.
func TestHeadingsAreBrokenBeforeRows(t *testing.T) {
	table := newTable("  ", "l", "linstead of", "lat", "rthen costs, EUR/L")
	table.row("target colour-amber", "at most 400 points/L", "at most 1186.3 points/L", "13.8")
	var out bytes.Buffer
	table.write(&out)
	assert.Contains(t, out.String(), "  target colour-amber  at most 400 points/L  at most 1186.3 points/L")
	assert.NotContains(t, out.String(), "then costs, EUR/L")
}
