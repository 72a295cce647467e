package cli

import (
	"bytes"

	"bittersum/internal/brief"
	"bittersum/internal/report"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newLabel() *cobra.Command {
	var as format
	var recipe, record, out, size, bottle string
	var files outputs
	var nutrients []string
	cmd := &cobra.Command{
		Use:   "label BRIEF",
		Short: "Draft the label: ingredients, declarations, nutrition, net quantity, with the rules",
		Long: `Draft what the label has to bear in each market of a brief: the ingredient
statement by falling weight, declarations, the nutrition panel with the market's
factors and rounding, the net quantity. Each line names the rule that asks for it
and says whether its text was seen or is recalled. Local law decides.

The recipe is the cheapest one of the brief, one of your own (--recipe), or a batch
as it was made (--record). --out writes the labels at true size, in letters of the
least height that each market's rules allow, and says whether they fit.`,
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
			on, err := works.ParseContainer(size, bottle)
			if err != nil {
				return err
			}
			if out == "" && (size != "" || bottle != "") {
				return usage("--size and --bottle go with --out FILE.html")
			}
			files.Add("--out", out, report.OwnLabels, ".html")
			if err := files.Check(); err != nil {
				return err
			}
			var settings []brief.Setting
			if record != "" {
				settings = works.RecordSettings()
			}
			if l.Job, err = openJob(args[0], settings...); err != nil {
				return err
			}
			a, labels, err := l.Labels(cmd.Context())
			if err != nil {
				return err
			}
			w := cmd.OutOrStdout()
			if out != "" {
				on.ML = a.Job.BottleML
				var page bytes.Buffer
				fits, err := report.LabelsHTML(&page, a.Job, labels, on)
				if err != nil {
					return err
				}
				if err := files.Write(out, page.Bytes()); err != nil {
					return err
				}
				defer report.LabelsFit(cmd.ErrOrStderr(), out, fits)
			}
			return as.write(func() { report.Labels(w, a.Job, labels) },
				func() error { return report.LabelsJSON(w, a.Job, labels) }, nil)
		},
	}
	as.flags(cmd, false)
	files.flags(cmd)
	cmd.Flags().StringVar(&out, "out", "", "also write the labels at true size to this `file`, .html, to print from a browser")
	cmd.Flags().StringVar(&size, "size", "", "with --out: the label's `WIDTHxHEIGHT` in mm; 90x60 when left out")
	cmd.Flags().StringVar(&bottle, "bottle", "", "with --out: the `DIAMETERxHEIGHT` in mm of the cylinder that bears the label, by which least letter heights go")
	_ = cmd.MarkFlagFilename("out", "html")
	cmd.Flags().StringVar(&recipe, "recipe", "", "the recipe in this `file`, as bittersum assess reads it")
	cmd.Flags().StringVar(&record, "record", "", "the batch recorded in this `file`")
	cmd.Flags().StringArrayVar(&nutrients, "nutrient", nil, "a figure that the profiles do not know, as `NAME=GRAMS` in 100 mL as served; may stand several times")
	return cmd
}
