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

	"github.com/spf13/cobra"
)

func newRecord() *cobra.Command {
	var as format
	var weighed, measured []string
	var madeOn, by, note string
	var draw bool
	cmd := &cobra.Command{
		Use:   "record BRIEF RECORD",
		Short: "Record what was weighed and measured; judge the batch as made",
		Long: `Compare what was weighed and measured with the plan, and judge the made batch
from its real lots against every target and cap.

A RECORD is the TOML form that bittersum batch --record writes; fill it in by
hand, or with --weighed and --measured, which keep it up to date. --draw books
what was taken in the brief's lots file; booked again it corrects itself.
The exit code is 4 when something is missing or wrong.`,
		Example:           "  bittersum record brief.toml batch-12.toml --weighed sugar/S-21=19910 --measured ph=3.1\n  bittersum record brief.toml batch-12.toml --draw",
		Args:              exactly("a brief", "a record"),
		ValidArgsFunction: completeBriefs,
		RunE: func(cmd *cobra.Command, args []string) error {
			job, err := openJob(args[0], brief.WithEveryLot(), brief.Litres(1))
			if err != nil {
				return err
			}
			r, err := kettle.ReadRecord(args[1])
			if err != nil {
				return err
			}
			changed, err := fillIn(cmd, job, r, weighed, measured, madeOn, by, note)
			if err != nil {
				return err
			}
			made, err := kettle.Judge(job, r)
			if err != nil {
				return err
			}
			if changed {
				if err := writeFile(args[1], r.TOML()); err != nil {
					return err
				}
			}
			drawn := ""
			if draw {
				if drawn, err = drawLots(job, made); err != nil {
					return err
				}
			}
			out := cmd.OutOrStdout()
			if err := as.write(func() { report.Made(out, made); fmt.Fprint(out, drawn) },
				func() error { return report.MadeJSON(out, made) }, nil); err != nil {
				return err
			}
			if !made.Sound() {
				return exitError{code: codeUnmet}
			}
			return nil
		},
	}
	as.flags(cmd, false)
	f := cmd.Flags()
	f.StringArrayVar(&weighed, "weighed", nil, "write down an amount, as `NAME=GRAMS` (sugar/S-21=19910); may stand several times")
	f.StringArrayVar(&measured, "measured", nil, "write down a measurement, as `NAME=VALUE` (ph=3.1); may stand several times")
	f.StringVar(&madeOn, "made-on", "", "the `day` it was made (2026-03-31)")
	f.StringVar(&by, "by", "", "who made it")
	f.StringVar(&note, "note", "", "anything worth keeping")
	f.BoolVar(&draw, "draw", false, "book what was taken in the lots file")
	return cmd
}

// fillIn writes flags into a record and reports whether there were any.
func fillIn(cmd *cobra.Command, job *brief.Job, r *kettle.Record, weighed, measured []string, madeOn, by, note string) (changed bool, err error) {
	for _, text := range weighed {
		name, grams, err := parseValue("--weighed", text)
		if err != nil {
			return false, err
		}
		if grams < 0 {
			return false, usage("--weighed: %v g is below zero", grams)
		}
		at := slices.IndexFunc(r.Weighed, func(w kettle.Weighed) bool { return w.Name() == name })
		if at < 0 {
			ingredient, lot, _ := strings.Cut(name, "/")
			at = len(r.Weighed)
			r.Weighed = append(r.Weighed, kettle.Weighed{Ingredient: ingredient, Lot: lot, PlannedG: math.NaN()})
		}
		r.Weighed[at].Grams = grams
	}
	for _, text := range measured {
		name, value, err := parseValue("--measured", text)
		if err != nil {
			return false, err
		}
		if known := r.Measures(job); !slices.Contains(known, name) {
			return false, usage("--measured: there is no measurement %q %s", name, bracketed(tomlfile.DidYouMean(name, known)))
		}
		at := slices.IndexFunc(r.Measured, func(m kettle.Measured) bool { return m.Name == name })
		if at < 0 {
			at = len(r.Measured)
			r.Measured = append(r.Measured, kettle.Measured{Name: name, Planned: math.NaN()})
		}
		r.Measured[at].Value = value
	}
	flags := cmd.Flags()
	if flags.Changed("made-on") {
		if r.MadeOn, err = parseDay("--made-on", madeOn); err != nil {
			return false, err
		}
	}
	if flags.Changed("by") {
		r.By = by
	}
	if flags.Changed("note") {
		r.Note = note
	}
	for _, name := range []string{"weighed", "measured", "made-on", "by", "note"} {
		changed = changed || flags.Changed(name)
	}
	return changed, nil
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
func drawLots(job *brief.Job, made *kettle.Made) (string, error) {
	if job.LotsFile == "" || strings.HasPrefix(job.LotsFile, "demo:") {
		return "", usage("--draw: %s names no lots file of your own", job.File)
	}
	book, err := stock.Open(job.LotsFile)
	if err != nil {
		return "", err
	}
	changed, err := book.Draw(made.Record.Batch, made.Day(), made.Draws())
	if err != nil {
		return "", err
	}
	if !changed {
		return fmt.Sprintf("%s holds these amounts already.\n", job.LotsFile), nil
	}
	return fmt.Sprintf("Booked in %s; its last state is %s.\n", job.LotsFile, book.Backup()), book.Save()
}
