package cli

import (
	"context"
	"path/filepath"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/report"
	"bittersum/internal/study"
	"bittersum/internal/tomlfile"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newCompare() *cobra.Command {
	var as studied
	var markets []string
	cmd := &cobra.Command{
		Use:   "compare BRIEF [BRIEF | RECIPE [RECIPE]]",
		Short: "Set two recipes, two briefs or two markets side by side",
		Long: `Set two recipes side by side: amounts, costs, every attribute and the caps.

  compare BRIEF BRIEF            the cheapest recipes of two briefs
  compare BRIEF RECIPE           a brief's cheapest recipe and another one
  compare BRIEF RECIPE RECIPE    two recipes under one brief
  compare BRIEF [RECIPE] --markets us,eu
                                 one recipe in two markets`,
		Example:           "  bittersum compare brief.toml house-recipe.toml\n  bittersum compare demo:bitter-lemon --markets us,au-nz",
		ValidArgsFunction: completeBriefs,
		Args: func(cmd *cobra.Command, args []string) error {
			switch {
			case len(markets) > 0 && len(markets) != 2:
				return usage("--markets needs two markets, as in us,eu")
			case len(markets) > 0 && (len(args) < 1 || len(args) > 2):
				return usage("%s --markets needs a brief and at most one recipe", cmd.CommandPath())
			case len(markets) == 0 && (len(args) < 2 || len(args) > 3):
				return usage("%s needs a brief and another brief or one or two recipes", cmd.CommandPath())
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := as.check(); err != nil {
				return err
			}
			a, b, err := sides(cmd.Context(), args, markets)
			if err != nil {
				return err
			}
			c, err := study.Compare(cmd.Context(), a, b)
			if err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			return as.finish(c.Conflict != nil,
				func() { report.Compare(out, c, as.extent()) },
				func() error { return report.CompareJSON(out, c) },
				func() (report.Picture, error) { return report.ComparePicture(c) })
		},
	}
	as.flags(cmd)
	cmd.Flags().StringSliceVar(&markets, "markets", nil, "compare one recipe in these two markets")
	return cmd
}

// sides reads what is compared.
func sides(ctx context.Context, args, markets []string) (a, b study.Side, err error) {
	job, err := openJob(args[0])
	if err != nil {
		return a, b, err
	}
	a = study.Side{Name: filepath.Base(args[0]), Job: job}
	open := func(path string, under *brief.Job) (study.Side, error) {
		recipe, err := under.OpenRecipe(path)
		return study.Side{Name: filepath.Base(path), Job: under, Recipe: recipe}, err
	}
	switch {
	case len(markets) > 0:
		if len(args) == 2 {
			if a, err = open(args[1], job); err != nil {
				return a, b, err
			}
		}
		return works.InTwoMarkets(ctx, a, [2]string(markets))
	case len(args) == 3:
		if a, err = open(args[1], job); err == nil {
			b, err = open(args[2], job)
		}
	case isRecipe(args[1]):
		b, err = open(args[1], job)
		a.Name = "cheapest of " + a.Name
	default:
		b.Name = filepath.Base(args[1])
		b.Job, err = openJob(args[1])
	}
	return a, b, err
}

// isRecipe reports whether the file at path is a recipe and not a brief.
func isRecipe(path string) bool {
	if _, demo := brief.IsDemo(path); demo {
		return false
	}
	if strings.EqualFold(filepath.Ext(path), ".csv") {
		return true
	}
	doc, err := tomlfile.Open(path)
	return err == nil && (doc.Root().Has("grams_per_litre") || doc.Root().Has("amounts"))
}
