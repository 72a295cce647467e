package cli

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/label"
	"bittersum/internal/report"
	"bittersum/internal/study"
	"bittersum/internal/tomlfile"

	"github.com/spf13/cobra"
)

func newLabel() *cobra.Command {
	var as format
	var recipe, record string
	var nutrients []string
	cmd := &cobra.Command{
		Use:   "label BRIEF",
		Short: "Draft the label: ingredients, declarations, nutrition, net quantity, with the rules",
		Long: `Draft what the label has to bear in each market of a brief: the ingredient
statement by falling weight, declarations, the nutrition panel with the market's
factors and rounding, the net quantity. Each line names the rule that asks for it
and says whether its text was seen or is recalled. Local law decides.

The recipe is the cheapest one of the brief, one of your own (--recipe), or a batch
as it was made (--record).`,
		Example:           "  bittersum label demo:bitter-lemon\n  bittersum label brief.toml --record batch-12.toml --nutrient protein=0.1",
		Args:              exactly("a brief"),
		ValidArgsFunction: completeBriefs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if recipe != "" && record != "" {
				return usage("--recipe and --record exclude each other")
			}
			o := label.Options{Nutrients: map[string]float64{}}
			for _, text := range nutrients {
				name, grams, err := parseValue("--nutrient", text)
				if err != nil {
					return err
				}
				if !slices.Contains(label.Nutrients, name) {
					return usage("--nutrient: %q is not known; it is one of %s %s", name, strings.Join(label.Nutrients, ", "), bracketed(tomlfile.DidYouMean(name, label.Nutrients)))
				}
				if grams < 0 || grams > 100 {
					return usage("--nutrient: %s: %v g in 100 mL cannot be", name, grams)
				}
				o.Nutrients[name] = grams
			}
			a, err := labelled(cmd.Context(), args[0], recipe, record, &o)
			if err != nil {
				return err
			}
			if !a.KeepsCaps() {
				return exitError{code: codeUnmet, err: fmt.Errorf("the recipe breaks a cap: it may not be sold, so there is no label (see bittersum assess)")}
			}
			labels := label.New(a, o)
			out := cmd.OutOrStdout()
			return as.write(func() { report.Labels(out, a.Job, labels) },
				func() error { return report.LabelsJSON(out, a.Job, labels) }, nil)
		},
	}
	as.flags(cmd, false)
	cmd.Flags().StringVar(&recipe, "recipe", "", "the recipe in this `file`, as bittersum assess reads it")
	cmd.Flags().StringVar(&record, "record", "", "the batch recorded in this `file`")
	cmd.Flags().StringArrayVar(&nutrients, "nutrient", nil, "a figure that the profiles do not know, as `NAME=GRAMS` in 100 mL as served; may stand several times")
	return cmd
}

// labelled returns the assessed recipe that a label is for; of a batch it notes the lot and the date of its bottles.
func labelled(ctx context.Context, arg, recipe, record string, o *label.Options) (*assess.Assessment, error) {
	var settings []brief.Setting
	if record != "" {
		settings = append(settings, brief.WithEveryLot(), brief.Litres(1))
	}
	job, err := openJob(arg, settings...)
	if err != nil {
		return nil, err
	}
	if job.Kind != brief.Drink {
		return nil, usage("only a drink has a label; %s is a blend", arg)
	}
	switch {
	case recipe != "":
		r, err := job.OpenRecipe(recipe)
		if err != nil {
			return nil, err
		}
		return assess.Assess(job, r)
	case record != "":
		r, err := kettle.ReadRecord(record)
		if err != nil {
			return nil, err
		}
		made, err := kettle.Judge(job, r)
		if err != nil {
			return nil, err
		}
		if made.Assessment == nil || len(made.Missing) > 0 {
			return nil, tomlfile.Faults{{File: record, What: "not all is written down yet: " + strings.Join(made.Missing, ", ")}}
		}
		if len(made.Wrong) > 0 {
			return nil, exitError{code: codeUnmet, err: fmt.Errorf("batch %s may not be sold as it is, so there is no label: %s (see bittersum record)", r.Batch, strings.Join(made.Wrong, "; "))}
		}
		if o.Lot = r.LotCode; o.Lot == "" {
			o.Lot = r.Batch
		}
		if o.BestBefore = r.BestBefore; o.BestBefore.IsZero() {
			o.BestBefore = job.BestBefore(r.MadeOn)
		}
		return made.Assessment, nil
	}
	answer, err := study.Cheapest(ctx, job)
	if err != nil {
		return nil, err
	}
	if answer.Conflict != nil {
		return nil, exitError{code: codeUnmet, err: fmt.Errorf("the brief cannot be met, so there is nothing to label (see bittersum blend)")}
	}
	return answer.Assessment, nil
}
