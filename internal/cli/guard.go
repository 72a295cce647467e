package cli

import (
	"fmt"
	"strings"

	"bittersum/internal/report"
	"bittersum/internal/study"

	"github.com/spf13/cobra"
)

// guardFlags are the flags of guard that take checking.
type guardFlags struct {
	assumed     float64
	each, drawn bool
	method      string
	bad         float64
	curve, next bool
}

func newGuard() *cobra.Command {
	var as studied
	var files outputs
	var save string
	var f guardFlags
	o := study.GuardOptions{StressOptions: study.StressOptions{Draws: 1 << 16, Seed: 1}}
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
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := as.check(); err != nil {
				return err
			}
			if err := f.read(cmd, &o); err != nil {
				return err
			}
			if save != "" && (f.curve || f.next) {
				return usage("--save keeps one recipe, and --curve and --next have many: leave one of them out")
			}
			files.Force = as.Force
			files.Add("--save", save, report.OwnRecipe, ".toml")
			if err := files.Check(); err != nil {
				return err
			}
			job, err := openJob(args[0])
			if err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			if f.curve {
				curve, err := study.GuardCurve(cmd.Context(), job, o)
				if err != nil {
					return fmt.Errorf("%s: %w", args[0], err)
				}
				return as.finish(curve.Plain.Conflict != nil,
					func() { report.GuardCurve(out, curve, as.extent()) },
					func() error { return report.GuardCurveJSON(out, curve) },
					func() (report.Picture, error) { return report.GuardCurvePicture(curve) })
			}
			if f.next {
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
			if err == nil && save != "" {
				return files.Write(save, report.RecipeTOML(r.Assessment.Recipe, job))
			}
			return err
		},
	}
	as.flags(cmd)
	flags := cmd.Flags()
	flags.Float64Var(&o.Risk, "risk", 0, "the share of batches that may break a limit, above 0 and below 1")
	flags.BoolVar(&o.Targets, "targets", false, "keep the targets so surely too, not the caps alone")
	flags.BoolVar(&f.each, "each", false, "allow the risk to each limit by itself")
	flags.BoolVar(&f.drawn, "drawn", false, "allow the risk to the batches that break any, as drawn")
	flags.StringVar(&f.method, "method", string(study.Independent), "what is supposed of lots: independent, any-shape or few-bad")
	flags.Float64Var(&f.bad, "bad", 0, "how many lots stray at once, for few-bad; as many as the risk asks for when left out")
	flags.BoolVar(&f.curve, "curve", false, "follow what each level of assurance costs")
	flags.BoolVar(&f.next, "next", false, "say which measurement of lots would save most")
	flags.StringVar(&save, "save", "", "also save the recipe to this `file`, for bittersum assess")
	flags.Float64Var(&f.assumed, "assume", 100*study.UsualVariation, "the variation of natural products without a known deviation, in `percent`")
	flags.IntVar(&o.Draws, "draws", o.Draws, "about how many batches to draw for each chance")
	flags.Uint64Var(&o.Seed, "seed", o.Seed, "chooses the draws")
	return cmd
}

// read checks the flags and puts them into the options.
func (f *guardFlags) read(cmd *cobra.Command, o *study.GuardOptions) error {
	switch risk := cmd.Flags().Changed("risk"); {
	case !risk && !f.curve:
		return usage("guard needs --risk, such as --risk 0.01 for one batch in a hundred, or --curve")
	case risk && !(o.Risk > 0 && o.Risk < 1):
		return usage("--risk %v: a risk lies above 0 and below 1; 0.01 is one batch in a hundred", o.Risk)
	case risk && o.Risk < 1e-6:
		return usage("--risk %v: below one in a million nobody knows the tails", o.Risk)
	}
	if f.curve && f.next {
		return usage("--curve and --next exclude each other")
	}
	if f.each && f.drawn {
		return usage("--each and --drawn exclude each other")
	}
	o.Counting = study.Sum
	if f.each {
		o.Counting = study.EachAlone
	} else if f.drawn {
		o.Counting = study.Drawn
	}
	if f.drawn && !cmd.Flags().Changed("draws") {
		o.Draws *= 4 // no weights help where any of several may break
	}
	o.Method = study.GuardMethod(f.method)
	switch o.Method {
	case study.Independent, study.AnyShape, study.FewBad:
	default:
		var names []string
		for _, m := range []study.GuardMethod{study.Independent, study.AnyShape, study.FewBad} {
			names = append(names, string(m))
		}
		return usage("--method %q is none of %s", f.method, strings.Join(names, ", "))
	}
	if cmd.Flags().Changed("bad") {
		if o.Method != study.FewBad {
			return usage("--bad goes with --method few-bad")
		}
		if !(f.bad > 0 && f.bad <= 100) {
			return usage("--bad %v: above 0 and at most 100 lots", f.bad)
		}
		o.Bad = f.bad
	}
	return readStress(f.assumed, &o.StressOptions)
}
