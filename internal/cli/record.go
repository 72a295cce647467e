package cli

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/report"
	"bittersum/internal/stock"
	"bittersum/internal/tomlfile"
	"bittersum/internal/wholefile"

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
	job, err := openJob(args[0], brief.WithEveryLot(), brief.Litres(1))
	if err != nil {
		return err
	}
	r, err := kettle.ReadRecord(args[1])
	if err != nil {
		return err
	}
	if err := wholefile.Protected(args[1]); err != nil && (c.draw || filledByFlags(cmd)) {
		return err
	}
	old := r.Clone()
	if err := c.fillIn(cmd, job, r); err != nil {
		return err
	}
	if c.draw && r.ID == "" {
		r.ID = kettle.NewIdentity()
	}
	made, err := kettle.JudgeOn(job, r, day)
	if err != nil {
		return err
	}
	if err := made.Correct(cmd.Context()); err != nil {
		return err
	}
	if text, err := r.Edited(r.Text(), old); err != nil {
		return err
	} else if text != r.Text() && (c.draw || filledByFlags(cmd)) {
		if err := writeFile(args[1], []byte(text)); err != nil {
			return err
		}
	}
	drawn := ""
	if c.draw {
		if drawn, err = c.drawLots(job, made); err != nil {
			return err
		}
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

// filledByFlags reports whether any flag writes into the record.
func filledByFlags(cmd *cobra.Command) bool {
	for _, name := range []string{"weighed", "lot", "measured", "made-on", "by", "note"} {
		if cmd.Flags().Changed(name) {
			return true
		}
	}
	return false
}

// fillIn writes what the flags say into a record.
func (c *recordCommand) fillIn(cmd *cobra.Command, job *brief.Job, r *kettle.Record) (err error) {
	weighed := func(name string) *kettle.Weighed {
		at := slices.IndexFunc(r.Weighed, func(w kettle.Weighed) bool { return w.Name() == name })
		if at < 0 {
			ingredient, lot, _ := strings.Cut(name, "/")
			at = len(r.Weighed)
			r.Weighed = append(r.Weighed, kettle.Weighed{Ingredient: ingredient, Lot: lot, PlannedG: math.NaN(), Grams: math.NaN()})
		}
		return &r.Weighed[at]
	}
	for _, text := range c.weighed {
		name, grams, err := parseValue("--weighed", text)
		if err != nil {
			return err
		}
		if grams < 0 {
			return usage("--weighed: %v g is below zero", grams)
		}
		weighed(name).Grams = grams
	}
	for _, text := range c.goods {
		name, lot, found := strings.Cut(text, "=")
		if !found || lot == "" || !utf8Line(lot) {
			return usage("--lot: %q is not NAME=LOT", text)
		}
		if !slices.ContainsFunc(r.Weighed, func(w kettle.Weighed) bool { return w.Name() == name && w.Lot == "" }) {
			return usage("--lot: %q is no line of the record that has no lot yet", name)
		}
		weighed(name).LotUsed = lot
	}
	if err := c.measure(job, r); err != nil {
		return err
	}
	flags := cmd.Flags()
	if flags.Changed("made-on") {
		if r.MadeOn, err = parseDay("--made-on", c.madeOn); err != nil {
			return err
		}
	}
	if flags.Changed("by") {
		r.By = c.by
	}
	if flags.Changed("note") {
		r.Note = c.note
	}
	return nil
}

// measure writes measurements into a record.
func (c *recordCommand) measure(job *brief.Job, r *kettle.Record) error {
	for _, text := range c.measured {
		name, value, err := parseValue("--measured", text)
		if err != nil {
			return err
		}
		if known := r.Measures(job); !slices.Contains(known, name) {
			return usage("--measured: there is no measurement %q %s", name, bracketed(tomlfile.DidYouMean(name, known)))
		}
		at := slices.IndexFunc(r.Measured, func(m kettle.Measured) bool { return m.Name == name })
		if at < 0 {
			at = len(r.Measured)
			r.Measured = append(r.Measured, kettle.Measured{Name: name, Planned: math.NaN()})
		}
		r.Measured[at].Value = value
	}
	return nil
}

func parseValue(flag, text string) (string, float64, error) {
	name, value, ok := strings.Cut(text, "=")
	x, err := strconv.ParseFloat(value, 64)
	if !ok || name == "" || err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return "", 0, usage("%s: %q is not NAME=NUMBER", flag, text)
	}
	return name, x, nil
}

// drawLots books what a batch took.
func (c *recordCommand) drawLots(job *brief.Job, made *kettle.Made) (string, error) {
	if strings.HasPrefix(job.LotsFile, "demo:") || job.LotsFile == "" && job.RegisterFile == "" {
		return "", usage("--draw: %s names no lots file of your own", job.File)
	}
	if job.LotsFile == "" {
		return registerMade(made)
	}
	var changes []string
	var backup string
	err := stock.Edit(job.LotsFile, func(book *stock.Book) (err error) {
		backup = book.Backup()
		changes, err = book.Draw(stock.Batch{Number: made.Record.Batch, Record: made.Record.ID, Adopt: c.again}, made.Day(), made.Draws())
		return err
	})
	if err != nil {
		return "", err
	}
	entered, err := registerMade(made)
	return drawnText(job.LotsFile, backup, changes) + entered, err
}
