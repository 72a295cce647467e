package cli

import (
	"math"
	"slices"

	"bittersum/internal/brief"
	"bittersum/internal/report"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

// batchCommand is what the flags of batch say.
type batchCommand struct {
	as                format
	on                dated
	force             bool
	litres, allowance float64
	scale, throw      string
	without           []string
	batch             works.Batch
}

func newBatch() *cobra.Command {
	var c batchCommand
	cmd := &cobra.Command{
		Use:   "batch BRIEF --litres L",
		Short: "Plan a batch: lots, amounts on the scales' divisions, steps, hold points, shopping",
		Long: `Plan a batch that can be weighed and traced.

Amounts stand on the divisions of the scales, chosen together so that every
target and cap of the brief still holds; the answer says what the divisions cost
and how much better any other amounts could be. What expires first is used first,
unless --cheapest is given. Expired, held and refused lots are left out.

The plan stays clear of every limit by what the scales' divisions and the
instruments' errors can do, all to the bad at once, as far as the brief leaves
room; --allowance 0.5 asks for half of it, 0 for none.

Scales are [[scale]] tables of the brief, or --scale: one division in grams, or
TO:DIVISION pairs such as 200:0.01,6000:1,60000:20 (grams).

With --throw 1+5 a syrup is made: the litres are those in the kettle, and every
target and cap holds in the drink as served.

--out writes the sheet too, in the form that the file's name says: .html (to
print, see --paper), .xlsx, .csv, .txt or .json. It may stand several times.
--record writes the form that bittersum record reads. What is there and was not
written by batch is replaced only with --force, and then kept as FILE.bak.`,
		Example:           "  bittersum batch demo:bitter-lemon --litres 250\n  bittersum batch brief.toml --litres 250 --out sheet.html --record batch-12.toml",
		Args:              exactly("a brief"),
		ValidArgsFunction: completeBriefs,
		RunE:              c.run,
	}
	c.as.flags(cmd, true)
	c.on.flags(cmd)
	forceFlag(cmd, &c.force)
	f := cmd.Flags()
	f.Float64Var(&c.litres, "litres", 0, "make so many `litres` (the brief's batch_l when left out)")
	f.StringVar(&c.throw, "throw", "", "make a syrup for one part and so many `parts` of soda (1+5), instead of the brief's throw")
	f.BoolVar(&c.batch.Plan.Cheapest, "cheapest", false, "use lots in the cheapest order, not what expires first")
	f.StringVar(&c.scale, "scale", "", "a `division` in grams, or TO:DIVISION pairs, instead of the brief's scales")
	f.StringVar(&c.batch.Plan.Number, "number", "", "what the batch is called (a `name`); drink, date and a letter that is free when left out")
	f.Float64Var(&c.allowance, "allowance", 1, "stay clear of the limits by this `share` of what divisions and instruments may be off")
	f.IntVar(&c.batch.Plan.Nodes, "nodes", 0, "search at most so many `nodes` for a cheaper rounding (0: the usual)")
	f.StringArrayVar(&c.without, "without-lot", nil, "leave out this `lot`; may stand several times")
	f.StringArrayVar(&c.batch.Sheets, "out", nil, "write the sheet to this `file`")
	f.StringVar(&c.batch.Paper, "paper", "a4", "the paper of an HTML sheet: a4 or letter")
	f.StringVar(&c.batch.Record, "record", "", "write the record's form to this `file`")
	return cmd
}

func (c *batchCommand) run(cmd *cobra.Command, args []string) error {
	settings, err := c.settings(cmd)
	if err != nil {
		return err
	}
	job, err := openJob(args[0], settings...)
	if err != nil {
		return err
	}
	c.batch.Job, c.batch.Drink, c.batch.Force = job, works.DrinkOf(args[0]), c.force
	if err := c.batch.Settle(); err != nil {
		return err
	}
	plan, err := c.batch.New(cmd.Context())
	if err != nil {
		return err
	}
	out := cmd.OutOrStdout()
	if err := c.as.write(func() { report.Batch(out, plan) },
		func() error { return report.BatchJSON(out, plan) },
		func() error { return report.BatchCSV(out, plan) }); err != nil {
		return err
	}
	if plan.Assessment == nil {
		return exitError{code: codeUnmet}
	}
	return c.batch.Write(plan, clock())
}

// settings checks the flags and returns those that change the brief.
func (c *batchCommand) settings(cmd *cobra.Command) ([]brief.Setting, error) {
	if err := c.as.check(); err != nil {
		return nil, err
	}
	day, err := c.on.day()
	if err != nil {
		return nil, err
	}
	settings := []brief.Setting{brief.OnDay(day)}
	if cmd.Flags().Changed("litres") {
		if !(c.litres > 0) || math.IsInf(c.litres, 1) {
			return nil, usage("--litres: %v is no batch size", c.litres)
		}
		settings = append(settings, brief.Litres(c.litres))
	}
	if c.throw != "" {
		soda, err := works.ParseThrow(c.throw)
		if err != nil {
			return nil, err
		}
		settings = append(settings, brief.Thrown(soda))
	}
	if c.batch.Plan.Nodes < 0 {
		return nil, usage("--nodes: %d is below zero", c.batch.Plan.Nodes)
	}
	c.batch.Plan.Allowance = c.allowance
	if c.scale != "" {
		scales, err := works.ParseScales(c.scale)
		if err != nil {
			return nil, err
		}
		settings = append(settings, brief.OnScales(scales))
	}
	if !slices.Contains(works.Papers, c.batch.Paper) {
		return nil, usage("--paper: %q is not known; it is a4 or letter", c.batch.Paper)
	}
	if len(c.without) > 0 {
		settings = append(settings, brief.LeavingOut(c.without...))
	}
	return settings, nil
}
