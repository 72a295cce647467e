package cli

import (
	"fmt"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/report"
	"bittersum/internal/study"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newStress() *cobra.Command {
	var as studied
	var assumed float64
	var draws int
	var seed uint64
	var record string
	cmd := &cobra.Command{
		Use:   "stress BRIEF [RECIPE]",
		Short: "Say how sure a recipe keeps its caps and targets as lots vary",
		Long: `Say how often a recipe breaks a cap or misses a target when every lot is another
one, and which ingredient's variation makes it.

The recipe is the brief's cheapest one, or RECIPE as for bittersum assess, or with
--record what was weighed for a batch, from its real lots.
Contents vary as their profile or their lot's certificate says; where no
deviation is known, natural products are taken to vary by --assume percent. A
chance below one in a million is not told further: nobody knows the tails so far
out. The same --seed gives the same answer.

The cost of a litre varies as the brief's losses do and the prices it gives a
deviation: sd beside the share of a loss, price_sd_per_kg beside a price.

These chances say how much is left to luck. They do not change what is allowed.`,
		Example: "  bittersum stress demo:bitter-orange\n  bittersum stress brief.toml recipe.toml --assume 20 --plot stress.svg",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 && len(args) != 2 {
				return usage("%s needs a brief, and may have a recipe; it got %d arguments", cmd.CommandPath(), len(args))
			}
			return nil
		},
		ValidArgsFunction: completeBriefs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := as.check(); err != nil {
				return err
			}
			o, err := works.Drawing(assumed, draws, seed)
			if err != nil {
				return err
			}
			if record != "" && len(args) == 2 {
				return usage("--record and a recipe exclude each other")
			}
			assessed, conflict, err := stressedRecipe(cmd, args, record)
			if err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			if conflict != nil {
				return as.finish(true,
					func() { report.Blend(out, conflict, as.extent()) },
					func() error { return report.BlendJSON(out, conflict) }, nil)
			}
			stressed, err := study.Stress(assessed, o)
			if err != nil {
				return fmt.Errorf("%s: %w", args[0], err)
			}
			if record != "" {
				stressed.Batch = assessed.Recipe.Name
			}
			return as.finish(false,
				func() { report.Stress(out, stressed, as.extent()) },
				func() error { return report.StressJSON(out, stressed) },
				func() (report.Picture, error) { return report.StressPicture(stressed) })
		},
	}
	as.flags(cmd)
	cmd.Flags().StringVar(&record, "record", "", "stress what was weighed for a batch, by its record's `file`")
	cmd.Flags().Float64Var(&assumed, "assume", 100*study.UsualVariation, "the variation of natural products without a known deviation, in `percent`")
	cmd.Flags().IntVar(&draws, "draws", 1<<17, "about how many batches to draw for each chance")
	cmd.Flags().Uint64Var(&seed, "seed", 1, "chooses the draws")
	return cmd
}

// stressedRecipe assesses what is to be stressed: a batch as weighed, a recipe's file, or the cheapest recipe.
func stressedRecipe(cmd *cobra.Command, args []string, record string) (*assess.Assessment, *study.Answer, error) {
	if record == "" {
		job, err := openJob(args[0])
		if err != nil {
			return nil, nil, err
		}
		return recipeOrCheapest(cmd, job, args[1:])
	}
	r, err := kettle.ReadRecord(record)
	if err != nil {
		return nil, nil, err
	}
	litres := 1.0
	if r.PlannedL > 0 {
		litres = r.PlannedL
	}
	job, err := openJob(args[0], brief.WithEveryLot(), brief.Litres(litres))
	if err != nil {
		return nil, nil, err
	}
	made, err := kettle.Judge(job, r)
	if err != nil {
		return nil, nil, err
	}
	a, err := made.PerLitre()
	return a, nil, err
}

// recipeOrCheapest assesses the recipe of a file, or the brief's cheapest one if none is named; an answer is
// returned when there is no such recipe.
func recipeOrCheapest(cmd *cobra.Command, job *brief.Job, file []string) (*assess.Assessment, *study.Answer, error) {
	if len(file) == 0 {
		answer, err := study.Cheapest(cmd.Context(), job)
		if err != nil {
			return nil, nil, err
		}
		if answer.Conflict != nil {
			return nil, answer, nil
		}
		return answer.Assessment, nil, nil
	}
	recipe, err := job.OpenRecipe(file[0])
	if err != nil {
		return nil, nil, err
	}
	a, err := assess.Assess(job, recipe)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", file[0], err)
	}
	return a, nil, nil
}
