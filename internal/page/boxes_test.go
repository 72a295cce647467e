package page

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"bittersum/internal/works"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var flagged = regexp.MustCompile(`(^|[^-\w])--[a-z]`)

// Whatever works and the page refuse in the terms of the command line, the page says in those of its boxes: no text of
// their source names an option once it was turned over.
func TestRefusalsSpeakOfBoxes(t *testing.T) {
	seen := 0
	for _, folder := range []string{"../works", "../intake", "."} {
		files, err := filepath.Glob(filepath.Join(folder, "*.go"))
		require.NoError(t, err)
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") || name == "boxes.go" {
				continue
			}
			file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
			require.NoError(t, err)
			ast.Inspect(file, func(n ast.Node) bool {
				literal, ok := n.(*ast.BasicLit)
				if !ok || literal.Kind != token.STRING {
					return true
				}
				text, err := strconv.Unquote(literal.Value)
				require.NoError(t, err)
				if !flagged.MatchString(text) || strings.HasPrefix(text, "# ") || strings.Contains(text, "--force replaces it") || text == "--%s %s: %s" || text == "--%s %v is out of range" {
					return true // of a file's own text; told in the page's own words; made of a name
				}
				seen++
				said := strings.NewReplacer("%%", "%").Replace(text)
				assert.NotRegexp(t, flagged, inBoxes(said), "%s: %s", name, text)
				return true
			})
		}
	}
	assert.Greater(t, seen, 50)
	for _, text := range []string{"--fails x: y", "--price x: y", "--demand x: y", "--stock 1 is out of range", "--monthly 0 is out of range", "--keeps 0 is out of range"} {
		assert.NotRegexp(t, flagged, inBoxes(text))
	}
}

func TestRefusalsNameTheirBox(t *testing.T) {
	for text, want := range map[string]string{
		"--number: 7 is taken: x.toml is its record; leave --number out for a free one, or plan it again with --force": "Number: 7 is taken: x.toml is its record; empty the box Number for a free one",
		`--price gentian=dear: "dear" is not a price; give it as NAME=+30%, NAME=8.50 or NAME=6..9`:                    `this price moves: gentian=dear: "dear" is not a price; give it as +30%, 8.50 or 6..9`,
		"--price: -3 is no amount":               "Paid per kg: -3 is no amount",
		"lots write-off needs --kg, an amount":   "lots write-off needs kg, an amount",
		"lots hold needs --reason":               "lots hold needs Why",
		"--bottle 9: two lengths in mm":          "Bottle, diameter x height in mm: 9: two lengths in mm",
		"sold needs --to and --bottles":          "Went to and Bottles are both needed",
		"a price of 3 per -- of what":            "a price of 3 per -- of what",
		"withhold needs --by and --reason":       "Withheld by and Why are both needed",
		"--monthly 0 is out of range":            "Made in a month, L: 0 is out of range",
		"release needs --by: somebody has to":    "Released by is empty: somebody has to",
		"--without BL-42/ph: there is no such":   "Leave out BL-42/ph: there is no such",
		"--without-lot: there is no lot \"x\" ":  "Lots that may be used: there is no lot \"x\" ",
		"--allowance: 2 is no share from 0 to 1": "Stay clear of limits by: 2 is no share from 0 to 1 (0 to 100 %)",
	} {
		assert.Equal(t, []string{want}, faultOf(works.Refused{Text: text}).lines)
	}
}
