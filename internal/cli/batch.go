package cli

import (
	"bytes"
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/report"

	"github.com/spf13/cobra"
)

func newBatch() *cobra.Command {
	var as format
	var on dated
	var litres float64
	var scale, record, paper, throw string
	var sheets []string
	var o kettle.Options
	cmd := &cobra.Command{
		Use:   "batch BRIEF --litres L",
		Short: "Plan a batch: lots, amounts on the scales' divisions, steps, hold points, shopping",
		Long: `Plan a batch that can be weighed and traced.

Amounts stand on the divisions of the scales, chosen together so that every
target and cap of the brief still holds; the answer says what the divisions cost
and how much better any other amounts could be. What expires first is used first,
unless --cheapest is given. Expired, held and refused lots are left out.

Scales are [[scale]] tables of the brief, or --scale: one division in grams, or
TO:DIVISION pairs such as 200:0.01,6000:1,60000:20 (grams).

With --throw 1+5 a syrup is made: the litres are those in the kettle, and every
target and cap holds in the drink as served.

--out writes the sheet too, in the form that the file's name says: .html (to
print, see --paper), .xlsx, .csv, .txt or .json. It may stand several times.
--record writes the form that bittersum record reads.`,
		Example:           "  bittersum batch demo:bitter-lemon --litres 250\n  bittersum batch brief.toml --litres 250 --out sheet.html --record batch-12.toml",
		Args:              exactly("a brief"),
		ValidArgsFunction: completeBriefs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := as.check(); err != nil {
				return err
			}
			day, err := on.day()
			if err != nil {
				return err
			}
			settings := []brief.Setting{brief.OnDay(day)}
			if cmd.Flags().Changed("litres") {
				if !(litres > 0) || math.IsInf(litres, 1) {
					return usage("--litres: %v is no batch size", litres)
				}
				settings = append(settings, brief.Litres(litres))
			}
			if throw != "" {
				soda, wrong := brief.ParseThrow(throw)
				if wrong != "" {
					return usage("--throw: %s; write it as in 1+5", wrong)
				}
				settings = append(settings, brief.Thrown(soda))
			}
			if o.Nodes < 0 {
				return usage("--nodes: %d is below zero", o.Nodes)
			}
			if scale != "" {
				scales, err := parseScales(scale)
				if err != nil {
					return err
				}
				settings = append(settings, brief.OnScales(scales))
			}
			if paper != "a4" && paper != "letter" {
				return usage("--paper: %q is not known; it is a4 or letter", paper)
			}
			for _, file := range sheets {
				if !report.KnownSheet(file) {
					return usage("--out: %q ends in none of .html, .xlsx, .csv, .txt, .json", file)
				}
			}
			job, err := openJob(args[0], settings...)
			if err != nil {
				return err
			}
			if o.Litres = job.BatchL; o.Litres == 0 && job.Kind == brief.Drink {
				return usage("batch needs --litres, or batch_l in the brief")
			}
			if o.Number == "" {
				o.Number = nameOf(args[0]) + "-" + day.Format("2006-01-02")
			}
			plan, err := kettle.New(cmd.Context(), job, o)
			if err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			if err := as.write(func() { report.Batch(out, plan) },
				func() error { return report.BatchJSON(out, plan) },
				func() error { return report.BatchCSV(out, plan) }); err != nil {
				return err
			}
			if plan.Assessment == nil {
				return exitError{code: codeUnmet}
			}
			return writeSheets(plan, sheets, paper, record)
		},
	}
	as.flags(cmd, true)
	on.flags(cmd)
	f := cmd.Flags()
	f.Float64Var(&litres, "litres", 0, "make so many `litres` (the brief's batch_l when left out)")
	f.StringVar(&throw, "throw", "", "make a syrup for one part and so many `parts` of soda (1+5), instead of the brief's throw")
	f.BoolVar(&o.Cheapest, "cheapest", false, "use lots in the cheapest order, not what expires first")
	f.StringVar(&scale, "scale", "", "a `division` in grams, or TO:DIVISION pairs, instead of the brief's scales")
	f.StringVar(&o.Number, "number", "", "what the batch is called (a `name`)")
	f.IntVar(&o.Nodes, "nodes", 0, "search at most so many `nodes` for a cheaper rounding (0: the usual)")
	f.StringArrayVar(&sheets, "out", nil, "write the sheet to this `file`")
	f.StringVar(&paper, "paper", "a4", "the paper of an HTML sheet: a4 or letter")
	f.StringVar(&record, "record", "", "write the record's form to this `file`")
	return cmd
}

// writeSheets makes every file, and looks where it is to stand, before it writes the first.
func writeSheets(plan *kettle.Plan, sheets []string, paper, record string) error {
	var made []*bytes.Buffer
	for _, file := range sheets {
		made = append(made, &bytes.Buffer{})
		if err := report.Sheet(made[len(made)-1], plan, file, paper); err != nil {
			return err
		}
	}
	for _, file := range append([]string{record}, sheets...) {
		if file == "" {
			continue
		}
		if err := writable(file); err != nil {
			return err
		}
	}
	for n, file := range sheets {
		if err := writeFile(file, made[n].Bytes()); err != nil {
			return err
		}
	}
	if record != "" {
		return writeFile(record, kettle.NewRecord(plan).TOML())
	}
	return nil
}

// nameOf returns the name of a brief without folder and ending.
func nameOf(arg string) string {
	if name, ok := brief.IsDemo(arg); ok {
		return name
	}
	base := filepath.Base(arg)
	return strings.ReplaceAll(strings.TrimSuffix(base, filepath.Ext(base)), " ", "-")
}

// parseScales reads "0.1" or "200:0.01,6000:1".
func parseScales(text string) ([]brief.Scale, error) {
	var scales []brief.Scale
	number := func(text string) (float64, error) {
		x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
		if err != nil || !(x > 0) || math.IsInf(x, 1) {
			return 0, usage("--scale: %q is no amount in grams", text)
		}
		return x, nil
	}
	for _, part := range strings.Split(text, ",") {
		to, division, ranged := strings.Cut(part, ":")
		s := brief.Scale{ToG: math.Inf(1)}
		var err error
		if ranged {
			if s.ToG, err = number(to); err != nil {
				return nil, err
			}
		} else {
			division = part
		}
		if s.DivisionG, err = number(division); err != nil {
			return nil, err
		}
		if s.DivisionG > s.ToG {
			return nil, usage("--scale: the division %v g is above %v g: nothing could be weighed", s.DivisionG, s.ToG)
		}
		s.Name = fmt.Sprintf("to %v g", s.DivisionG)
		scales = append(scales, s)
	}
	return scales, nil
}
