package cli

import (
	"fmt"

	"bittersum/internal/report"
	"bittersum/internal/study"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

// guardCommand is what the flags of guard say.
type guardCommand struct {
	as          studied
	files       outputs
	save        string
	asked       works.Assurance
	risk, bad   float64
	draws       int
	curve, next bool
}

func newGuard() *cobra.Command {
	var c guardCommand
	cmd := &cobra.Command{
		Use:   "guard BRIEF --risk R",
		Short: "Find the cheapest recipe that is as sure as wanted although lots vary",
		Long: `Find the cheapest recipe that breaks a cap in at most a share R of batches as lots
vary, 0 < R < 1; with --targets, that misses no target more often either.

The chances of all limits are added up, which holds whatever goes together; --each
allows R to each limit by itself, and --drawn counts the batches that break any,
as drawn. Lots vary by themselves as bittersum stress takes them (--method
independent); any-shape asks nothing of their distributions but mean and deviation
(Cantelli); few-bad stands --bad of them far off at once. What is found is drawn
afresh and tightened until it holds, and passes every check of bittersum blend
besides. When none is so sure, the surest one found is shown; exit code 4.

--curve follows what assurance costs from one batch in two to one in ten thousand;
--next says which content of which ingredient is worth measuring in every lot, by
what it saves a litre.`,
		Example:           "  bittersum guard demo:bitter-orange --risk 0.001\n  bittersum guard brief.toml --curve --targets --each --plot curve.svg",
		Args:              exactly("a brief"),
		ValidArgsFunction: completeBriefs,
		RunE:              c.run,
	}
	c.as.flags(cmd)
	flags := cmd.Flags()
	flags.Float64Var(&c.risk, "risk", 0, "the share of batches that may break a limit, above 0 and below 1")
	flags.BoolVar(&c.asked.Targets, "targets", false, "keep the targets so surely too, not the caps alone")
	flags.BoolVar(&c.asked.Each, "each", false, "allow the risk to each limit by itself")
	flags.BoolVar(&c.asked.Drawn, "drawn", false, "allow the risk to the batches that break any, as drawn")
	flags.StringVar(&c.asked.Method, "method", string(study.Independent), "what is supposed of lots: independent, any-shape or few-bad")
	flags.Float64Var(&c.bad, "bad", 0, "how many lots stray at once, for few-bad; as many as the risk asks for when left out")
	flags.BoolVar(&c.curve, "curve", false, "follow what each level of assurance costs")
	flags.BoolVar(&c.next, "next", false, "say which measurement of lots would save most")
	flags.StringVar(&c.save, "save", "", "also save the recipe to this `file`, for bittersum assess")
	flags.Float64Var(&c.asked.Assumed, "assume", 100*study.UsualVariation, "the variation of natural products without a known deviation, in `percent`")
	flags.IntVar(&c.draws, "draws", works.DrawsOfOne, "about how many batches to draw for each chance")
	flags.Uint64Var(&c.asked.Seed, "seed", 1, "chooses the draws")
	return cmd
}

func (c *guardCommand) run(cmd *cobra.Command, args []string) error {
	if err := c.as.check(); err != nil {
		return err
	}
	o, err := c.options(cmd)
	if err != nil {
		return err
	}
	c.files.Force = c.as.Force
	c.files.Add("--save", c.save, report.OwnRecipe, ".toml")
	if err := c.files.Check(); err != nil {
		return err
	}
	job, err := openJob(args[0])
	if err != nil {
		return err
	}
	out, as := cmd.OutOrStdout(), &c.as
	switch {
	case c.curve:
		curve, err := study.GuardCurve(cmd.Context(), job, o)
		if err != nil {
			return fmt.Errorf("%s: %w", args[0], err)
		}
		return as.finish(curve.Plain.Conflict != nil,
			func() { report.GuardCurve(out, curve, as.extent()) },
			func() error { return report.GuardCurveJSON(out, curve) },
			func() (report.Picture, error) { return report.GuardCurvePicture(curve) })
	case c.next:
		m, err := study.NextMeasurements(cmd.Context(), job, o)
		if err != nil {
			return fmt.Errorf("%s: %w", args[0], err)
		}
		return as.finish(m.Base.Plain.Conflict != nil,
			func() { report.NextMeasurements(out, m, as.extent()) },
			func() error { return report.NextMeasurementsJSON(out, m) },
			func() (report.Picture, error) { return report.NextMeasurementsPicture(m) })
	}
	r, err := study.Guard(cmd.Context(), job, o)
	if err != nil {
		return fmt.Errorf("%s: %w", args[0], err)
	}
	err = as.finish(r.Assessment == nil,
		func() { report.Guard(out, r, as.extent()) },
		func() error { return report.GuardJSON(out, r) },
		func() (report.Picture, error) { return report.GuardPicture(r) })
	if err == nil && c.save != "" {
		return c.files.Write(c.save, report.RecipeTOML(r.Assessment.Recipe, job))
	}
	return err
}

// options checks the flags.
func (c *guardCommand) options(cmd *cobra.Command) (study.GuardOptions, error) {
	if cmd.Flags().Changed("risk") {
		c.asked.Risk = &c.risk
	}
	if cmd.Flags().Changed("bad") {
		c.asked.Bad = &c.bad
	}
	if cmd.Flags().Changed("draws") {
		c.asked.Draws = &c.draws
	}
	if c.save != "" && (c.curve || c.next) {
		return study.GuardOptions{}, usage("--save keeps one recipe, and --curve and --next have many: leave one of them out")
	}
	if c.curve && c.next {
		return study.GuardOptions{}, usage("--curve and --next exclude each other")
	}
	return c.asked.Options(c.curve)
}
