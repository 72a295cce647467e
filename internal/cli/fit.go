package cli

import (
	"fmt"
	"slices"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/fit"
	"bittersum/internal/kettle"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/study"
	"bittersum/internal/tomlfile"

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
	if !(c.assumed > 0 && c.assumed <= 200) {
		return usage("--assume %v: a variation is above 0 and at most 200 percent", c.assumed)
	}
	if len(args) == 1 && len(c.infusions) == 0 {
		return usage("fit needs records of batches, or --infusions: what was not measured tells nothing")
	}
	if err := c.kept.check("fit.toml", fit.OwnOverlay); err != nil {
		return err
	}
	day, err := c.on.day()
	if err != nil {
		return err
	}
	job, batches, err := c.batches(args)
	if err != nil {
		return err
	}
	r, err := fit.Fit(batches, c.assumed/100)
	if err != nil {
		return fmt.Errorf("%s: %w", args[0], err)
	}
	told := fit.Overlay(r, job, day)
	if err := c.kept.write(job.Library, told); err != nil {
		return err
	}
	out := cmd.OutOrStdout()
	return c.as.write(
		func() {
			report.Fit(out, job, r)
			c.kept.said(out, told)
		},
		func() error { return report.FitJSON(out, job, r) }, nil)
}

// batches reads the brief, the records and the infusions.
func (c *fitCommand) batches(args []string) (*brief.Job, []fit.Batch, error) {
	lib, err := profile.Embedded()
	if err != nil {
		return nil, nil, err
	}
	without := *lib
	without.LeaveFits = true
	job, err := openJobOver(args[0], &without, brief.WithEveryLot(), brief.Litres(1))
	if err != nil {
		return nil, nil, err
	}
	if job.Kind != brief.Drink {
		return nil, nil, usage("%s is a blend: what is measured at a kettle tells of drinks", args[0])
	}
	var batches []fit.Batch
	for _, path := range args[1:] {
		r, err := kettle.ReadRecord(path)
		if err != nil {
			return nil, nil, err
		}
		b, err := fit.FromRecord(job, r)
		if err != nil {
			return nil, nil, err
		}
		batches = append(batches, b)
	}
	for _, path := range c.infusions {
		more, err := fit.ReadInfusions(path, job)
		if err != nil {
			return nil, nil, err
		}
		batches = append(batches, more...)
	}
	if twice := named(batches); twice != "" {
		return nil, nil, tomlfile.Faults{{File: args[0], What: fmt.Sprintf("there are two batches %q among the records: each counts once", twice)}}
	}
	if found := fit.CountedTwice(batches); len(found) > 0 {
		return nil, nil, tomlfile.Faults{{File: args[0], What: "a figure rests on one of these batches already: " + strings.Join(found, "; "), Hint: "leave the record out, or take the figure away"}}
	}
	for _, text := range c.without {
		if err := leaveOut(batches, text); err != nil {
			return nil, nil, err
		}
	}
	return job, batches, nil
}

// named returns a name that two batches have, or nothing.
func named(batches []fit.Batch) string {
	for n, b := range batches {
		if slices.ContainsFunc(batches[:n], func(o fit.Batch) bool { return o.Name == b.Name }) {
			return b.Name
		}
	}
	return ""
}

// leaveOut takes a measurement out of its batch.
func leaveOut(batches []fit.Batch, text string) error {
	batch, name, ok := strings.Cut(text, "/")
	if !ok {
		return usage("--without %s: it is BATCH/NAME, such as BL-42/ph", text)
	}
	var known []string
	for n := range batches {
		for k, m := range batches[n].Measured {
			if batches[n].Name == batch && m.Name == name {
				batches[n].Measured = slices.Delete(batches[n].Measured, k, k+1)
				return nil
			}
			known = append(known, batches[n].Name+"/"+m.Name)
		}
	}
	return usage("--without %s: there is no such measurement%s", text, suggestion(text, known))
}
