package cli

import (
	"fmt"
	"strings"

	"bittersum/internal/report"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

// recordCommand is what the flags of record say.
type recordCommand struct {
	as                       format
	on                       dated
	weighed, measured, goods []string
	madeOn, by, note         string
	draw, again              bool
}

func newRecord() *cobra.Command {
	var c recordCommand
	cmd := &cobra.Command{
		Use:   "record BRIEF RECORD",
		Short: "Record what was weighed and measured; judge the batch as made",
		Long: `Compare what was weighed and measured with the plan, and judge the made batch
from its real lots against every target and cap.

A RECORD is the TOML form that bittersum batch --record writes; fill it in by
hand, in any order, or with --weighed, --lot and --measured, which keep it up to
date and leave your comments as they are. --draw books what was taken in the
brief's lots file. Booked again the same record corrects itself; another batch
under its number is refused.
The exit code is 4 when something is missing or wrong.`,
		Example:           "  bittersum record brief.toml batch-12.toml --weighed sugar/S-21=19910 --measured ph=3.1\n  bittersum record brief.toml batch-12.toml --draw",
		Args:              exactly("a brief", "a record"),
		ValidArgsFunction: completeBriefs,
		RunE:              c.run,
	}
	c.as.flags(cmd, false)
	c.on.flags(cmd)
	f := cmd.Flags()
	f.StringArrayVar(&c.weighed, "weighed", nil, "write down an amount, as `NAME=GRAMS` (sugar/S-21=19910); may stand several times")
	f.StringArrayVar(&c.goods, "lot", nil, "write down the lot of goods that are in no lots file, as `NAME=LOT`; may stand several times")
	f.StringArrayVar(&c.measured, "measured", nil, "write down a measurement, as `NAME=VALUE` (ph=3.1); may stand several times")
	f.StringVar(&c.madeOn, "made-on", "", "the `day` it was made (2026-03-31)")
	f.StringVar(&c.by, "by", "", "who made it")
	f.StringVar(&c.note, "note", "", "anything worth keeping")
	f.BoolVar(&c.draw, "draw", false, "book what was taken in the lots file")
	f.BoolVar(&c.again, "again", false, "with --draw: what is booked under this number without saying by which record is this one's")
	return cmd
}

func (c *recordCommand) run(cmd *cobra.Command, args []string) error {
	day, err := c.on.day()
	if err != nil {
		return err
	}
	job, err := openJob(args[0], works.RecordSettings()...)
	if err != nil {
		return err
	}
	filling, err := c.filling(cmd)
	if err != nil {
		return err
	}
	r := works.Recording{Job: job, File: args[1], Filling: filling, Draw: c.draw, Again: c.again, Today: day, Now: clock()}
	made, drawn, err := r.Record(cmd.Context())
	if err != nil {
		return err
	}
	out := cmd.OutOrStdout()
	if err := c.as.write(func() { report.Made(out, made); fmt.Fprint(out, drawn) },
		func() error { return report.MadeJSON(out, made) }, nil); err != nil {
		return err
	}
	if !made.Sound() {
		return exitError{code: codeUnmet}
	}
	return nil
}

// filling reads the flags that write into a record.
func (c *recordCommand) filling(cmd *cobra.Command) (f works.Filling, err error) {
	amounts := func(flag string, texts []string) (all []works.Amount, err error) {
		for _, text := range texts {
			a, err := works.ParseAmount(flag, text)
			if err != nil {
				return nil, err
			}
			all = append(all, a)
		}
		return all, nil
	}
	if f.Weighed, err = amounts("--weighed", c.weighed); err != nil {
		return f, err
	}
	if f.Measured, err = amounts("--measured", c.measured); err != nil {
		return f, err
	}
	for _, text := range c.goods {
		name, lot, found := strings.Cut(text, "=")
		if !found {
			return f, usage("--lot: %q is not NAME=LOT", text)
		}
		f.Goods = append(f.Goods, works.Goods{Name: name, Lot: lot})
	}
	flags := cmd.Flags()
	if flags.Changed("made-on") {
		day, err := works.ParseDay("--made-on", c.madeOn)
		if err != nil {
			return f, err
		}
		f.MadeOn = &day
	}
	if flags.Changed("by") {
		f.By = &c.by
	}
	if flags.Changed("note") {
		f.Note = &c.note
	}
	return f, nil
}
