package cli

import (
	"fmt"
	"os"
	"path/filepath"

	"bittersum/profiles"

	"bittersum/internal/words"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newInit() *cobra.Command {
	var from fromRecipe
	cmd := &cobra.Command{
		Use:   "init DIR",
		Short: "Make a folder to start with: of an example, or of a recipe of yours",
		Long: `Make a folder with a brief, lots, a price list and a profile of your own to edit.
Files that exist are never overwritten.

With --recipe FILE and --markets the brief is made of a recipe that you have, .csv,
.xlsx or .toml: columns ingredient and grams_per_litre, percent, kg, g, ml_per_litre
or ml, or amount with a unit; stock_g_per_l where a solution is measured out. Names
and headings in other words are asked for, with what they likely mean, and kept
beside the file (bittersum help words). What people notice of the drink becomes
targets, one just noticeable difference either way; what no target speaks of is
held. Of a syrup the recipe says throw = "1+5", or --throw does: its amounts count on the
syrup, targets on the drink. What is not in the library becomes a profile of your own to fill in.`,
		Example: "  bittersum init my-tonic\n  bittersum init lemon --recipe house.xlsx --markets eu,uk --carbonated\n  bittersum blend lemon/brief.toml",
		Args:    exactly("a folder"),
		RunE: func(cmd *cobra.Command, args []string) error {
			dir := args[0]
			if from.recipe != "" {
				return from.run(cmd, dir)
			}
			if cmd.Flags().NFlag() > 0 {
				return usage("these flags need --recipe, the recipe to make the brief of")
			}
			const start = "start"
			files := []string{"brief.toml", "lots.toml", "prices.csv", "profiles/ingredients/own.toml"}
			for _, name := range files {
				if _, err := os.Lstat(filepath.Join(dir, name)); err == nil {
					return exitError{code: codeInput, err: fmt.Errorf("%s is there already; nothing was written", filepath.Join(dir, name))}
				}
			}
			for _, name := range files {
				data, err := profiles.FS.ReadFile(start + "/" + name)
				if err != nil {
					return err
				}
				target := filepath.Join(dir, filepath.FromSlash(name))
				if err := os.MkdirAll(filepath.Dir(target), 0o755); err != nil {
					return err
				}
				if err := works.WriteFile(target, data); err != nil {
					return err
				}
			}
			out := cmd.OutOrStdout()
			fmt.Fprintf(out, "Wrote in %s:\n", dir)
			fmt.Fprintf(out, "  brief.toml                     what the drink must be, and what may be used\n")
			fmt.Fprintf(out, "  lots.toml                      what is on the shelf, with certificate values\n")
			fmt.Fprintf(out, "  prices.csv                     your suppliers' prices\n")
			fmt.Fprintf(out, "  profiles/ingredients/own.toml  ingredients of your own\n")
			fmt.Fprintf(out, "Next: bittersum blend %s\n", words.QuotedPath(filepath.Join(dir, "brief.toml")))
			return nil
		},
	}
	from.flags(cmd)
	return cmd
}
