package cli

import (
	"fmt"
	"slices"

	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/tomlfile"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newProfilesSources() *cobra.Command {
	var as format
	var dir string
	cmd := &cobra.Command{
		Use:   "sources [NAME...]",
		Short: "Count how the figures are known: published, recalled, invented",
		Long: `Count how the figures of the library are known, by what they are, by attribute and
by ingredient. Names of ingredients and attributes narrow it down. What one
recipe rests on is said by blend and assess with --sources.`,
		Example: "  bittersum profiles sources\n  bittersum profiles sources gentian-root quassia-wood\n  bittersum blend brief.toml --sources",
		RunE: func(cmd *cobra.Command, names []string) error {
			lib, _, err := library(dir)
			if err != nil {
				return err
			}
			for _, name := range names {
				if lib.Preparations[name] != nil {
					return exitError{code: codeInput, err: fmt.Errorf("%s is a preparation, whose figures are those of its parts: see bittersum profiles show %s", name, name)}
				}
				if lib.Ingredients[name] == nil && lib.Attributes[name] == nil {
					known := append(lib.IngredientNames(), lib.AttributeNames()...)
					return exitError{code: codeInput, err: fmt.Errorf("there is no ingredient or attribute %q %s", name, works.Hinted(tomlfile.DidYouMean(name, known)))}
				}
			}
			return report.Figures(cmd.OutOrStdout(), narrowed(lib, names), as.json)
		},
	}
	as.flags(cmd, false)
	cmd.Flags().StringVar(&dir, "profiles", "", "read this `folder` of profiles over the embedded ones")
	return cmd
}

// narrowed returns the figures of the ingredients named, of the attributes named, or, where both are, of the
// one in the other.
func narrowed(lib *profile.Library, names []string) []profile.Figure {
	ofIngredients := slices.ContainsFunc(names, func(name string) bool { return lib.Ingredients[name] != nil })
	ofAttributes := slices.ContainsFunc(names, func(name string) bool { return lib.Attributes[name] != nil })
	return slices.DeleteFunc(lib.Figures(), func(f profile.Figure) bool {
		return ofIngredients && !slices.Contains(names, f.Ingredient) || ofAttributes && !slices.Contains(names, f.Attribute)
	})
}
