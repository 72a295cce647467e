package cli

import (
	"fmt"
	"path/filepath"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/report"
	"bittersum/internal/study"

	"github.com/spf13/cobra"
)

func newBlend() *cobra.Command {
	var as format
	var files outputs
	var save string
	var secondOpinion, sources bool
	cmd := &cobra.Command{
		Use:   "blend BRIEF",
		Short: "Find the cheapest recipe that meets a brief, with proof and explanation",
		Long: `Find the cheapest recipe that meets a brief.

The answer holds the recipe, what each target costs and over which range that is
true, the head-room under each cap, the price at which each unused ingredient
would come in, a proof, and the cautions. --all prints all of it; without, caps
with much head-room and cautions of little weight are counted and left out. When
no recipe exists, the answer is the smallest set of limits that exclude each
other, and what it would take.`,
		Example:           "  bittersum blend demo:bitter-orange\n  bittersum blend brief.toml --save recipe.toml",
		Args:              exactly("a brief"),
		ValidArgsFunction: completeBriefs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := as.check(); err != nil {
				return err
			}
			files.Add("--save", save, report.OwnRecipe, ".toml")
			if err := files.Check(); err != nil {
				return err
			}
			job, err := openJob(args[0])
			if err != nil {
				return err
			}
			answer, err := study.Blend(cmd.Context(), job)
			if err != nil {
				return err
			}
			if secondOpinion {
				if err := answer.AskSecond(cmd.Context()); err != nil {
					return err
				}
				if answer.Second.Status != "no answer" && !answer.Second.Agrees {
					return fmt.Errorf("%w: a second solver finds it %s at %g", study.ErrUnproved, answer.Second.Status, answer.Second.Cost)
				}
			}
			today, err := madeToday(job, answer)
			if err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			err = as.write(
				func() {
					report.Blend(out, answer, as.extent())
					if sources && answer.Conflict == nil {
						report.Rests(out, answer.Assessment)
					}
					if today != nil {
						report.Today(out, filepath.Base(job.Today), today, answer.Assessment)
					}
				},
				func() error {
					if today != nil {
						return report.BlendTodayJSON(out, answer, filepath.Base(job.Today), today)
					}
					return report.BlendJSON(out, answer)
				},
				func() error { return report.BlendCSV(out, answer) })
			if err != nil {
				return err
			}
			if answer.Conflict != nil {
				return exitError{code: codeUnmet}
			}
			if save != "" {
				return files.Write(save, report.RecipeTOML(answer.Assessment.Recipe, job))
			}
			return nil
		},
	}
	as.flags(cmd, true)
	as.extentFlag(cmd)
	files.flags(cmd)
	cmd.Flags().StringVar(&save, "save", "", "also save the recipe to this `file`, for bittersum assess")
	cmd.Flags().BoolVar(&sources, "sources", false, sourcesHelp)
	cmd.Flags().BoolVar(&secondOpinion, "second-opinion", false, "ask an independent solver too, and say what it finds")
	return cmd
}

// madeToday judges the recipe that the brief says is made today; nil when it says none or there is no answer to set
// beside it.
func madeToday(job *brief.Job, answer *study.Answer) (*assess.Assessment, error) {
	if job.Today == "" || answer.Conflict != nil {
		return nil, nil
	}
	recipe, err := job.OpenRecipe(job.Today)
	if err != nil {
		return nil, err
	}
	a, err := assess.Assess(job, recipe)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", job.Today, err)
	}
	return a, nil
}
