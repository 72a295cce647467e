package cli

import (
	"fmt"

	"bittersum/internal/assess"
	"bittersum/internal/report"

	"github.com/spf13/cobra"
)

// sourcesHelp says what the flag --sources of blend and assess adds.
const sourcesHelp = "also say how much of each target, cap and the cost rests on recalled or invented figures"

func newAssess() *cobra.Command {
	var as format
	var sources bool
	cmd := &cobra.Command{
		Use:   "assess BRIEF RECIPE",
		Short: "Judge a recipe that exists: every attribute, target, cap and cost",
		Long: `Judge a recipe against a brief, without solving anything.

A RECIPE is TOML with grams per litre of finished drink by ingredient under
[grams_per_litre], or CSV with the heading ingredient,grams_per_litre. A recipe
that names no water is filled up to the litre. A recipe that misses a target or
breaks a cap is shown with what it breaks, and the exit code is 4.`,
		Example:           "  bittersum assess brief.toml recipe.toml",
		Args:              exactly("a brief", "a recipe"),
		ValidArgsFunction: completeBriefs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := as.check(); err != nil {
				return err
			}
			job, err := openJob(args[0])
			if err != nil {
				return err
			}
			recipe, err := job.OpenRecipe(args[1])
			if err != nil {
				return err
			}
			a, err := assess.Assess(job, recipe)
			if err != nil {
				return fmt.Errorf("%s: %w", args[1], err)
			}
			out := cmd.OutOrStdout()
			err = as.write(
				func() {
					report.Assess(out, a, as.extent())
					if sources {
						report.Rests(out, a)
					}
				},
				func() error { return report.AssessJSON(out, a) },
				func() error { return report.AssessCSV(out, a) })
			if err != nil {
				return err
			}
			if !a.KeepsCaps() || len(a.Misses()) > 0 {
				return exitError{code: codeUnmet}
			}
			return nil
		},
	}
	as.flags(cmd, true)
	as.extentFlag(cmd)
	cmd.Flags().BoolVar(&sources, "sources", false, sourcesHelp)
	return cmd
}
