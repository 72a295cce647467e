package cli

import (
	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/study"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

// fitCommand is what the flags of fit say.
type fitCommand struct {
	as        format
	on        dated
	kept      measuredFile
	infusions []string
	without   []string
	assumed   float64
}

func newFit() *cobra.Command {
	var c fitCommand
	cmd := &cobra.Command{
		Use:   "fit BRIEF [RECORD...]",
		Short: "Learn contents and recoveries from batches and bench infusions",
		Long: `Learn what ingredients really bring from what was weighed and measured: records of
batches of the brief (pH, acidity, °Bx, density, a laboratory's values of attributes)
and --infusions of single plants on the bench. The profile's figure with its
deviation is what was known before; each measurement counts by its instrument's
error (see [instruments] in help brief-file), and readings that are not linear by
linearising anew until they agree.

Measurements that the others contradict are named, as are contents far from the
profile and pairs that the measurements cannot tell apart; what they do not tell is
not fitted. --into FOLDER writes what was told as measured figures over the
profiles: FOLDER is the one that the brief names as profiles. Give all records every
time: a fit leaves out what earlier fits found, and its file replaces theirs.`,
		Example: "  bittersum fit brief.toml batch-12.toml batch-13.toml --infusions bench.toml --into profiles",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usage("%s needs a brief, and records or --infusions", cmd.CommandPath())
			}
			return nil
		},
		ValidArgsFunction: completeBriefs,
		RunE:              c.run,
	}
	c.as.flags(cmd, false)
	c.on.flags(cmd)
	c.kept.flags(cmd)
	f := cmd.Flags()
	f.StringArrayVar(&c.infusions, "infusions", nil, "a `file` of bench infusions; may stand several times")
	f.StringArrayVar(&c.without, "without", nil, "leave a measurement out, as `BATCH/NAME` (BL-42/ph); may stand several times")
	f.Float64Var(&c.assumed, "assume", 100*study.UsualVariation, "the variation of natural products without a known deviation, in `percent`")
	return cmd
}

func (c *fitCommand) run(cmd *cobra.Command, args []string) error {
	day, err := c.on.day()
	if err != nil {
		return err
	}
	lib, err := profile.Embedded()
	if err != nil {
		return err
	}
	f := works.Fitting{Brief: args[0], Records: args[1:], Infusions: c.infusions, Without: c.without, Assumed: c.assumed, On: day, Measured: c.kept.Measured}
	f.Open = func(lib *profile.Library, settings ...brief.Setting) (*brief.Job, error) {
		return openJobOver(args[0], lib, settings...)
	}
	fitted, err := f.Fit(lib)
	if err != nil {
		return err
	}
	out := cmd.OutOrStdout()
	return c.as.write(
		func() {
			report.Fit(out, fitted.Job, fitted.Result)
			(&measuredFile{f.Measured}).said(out, fitted.Told)
		},
		func() error { return report.FitJSON(out, fitted.Job, fitted.Result) }, nil)
}
