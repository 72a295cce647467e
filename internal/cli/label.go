package cli

import (
	"bittersum/internal/brief"
	"bittersum/internal/report"
	"bittersum/internal/works"

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
			l := works.Labelling{Recipe: recipe, Record: record, Nutrients: map[string]float64{}}
			for _, text := range nutrients {
				a, err := works.ParseAmount("--nutrient", text)
				if err != nil {
					return err
				}
				l.Nutrients[a.Name] = a.Value
			}
			var settings []brief.Setting
			if record != "" {
				settings = works.RecordSettings()
			}
			var err error
			if l.Job, err = openJob(args[0], settings...); err != nil {
				return err
			}
			a, labels, err := l.Labels(cmd.Context())
			if err != nil {
				return err
			}
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
