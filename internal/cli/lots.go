package cli

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/stock"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newLots() *cobra.Command {
	var cmd *cobra.Command
	cmd = &cobra.Command{
		Use:   "lots",
		Short: "Keep what is on the shelf: list, add, check, stock, expiring, trace, hold, write off",
		Long: `Keep a lots file, TOML or CSV: deliveries with their certificate values, and what
batches took from them. Commands that write wait for each other, keep the last
state beside the file (.bak), write the whole file or nothing, and refuse when it
changed meanwhile.`,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usage("lots has no command %q; it has list, add, check, stock, expiring, trace, hold, release, refuse, write-off and adjust%s", args[0], suggestion(args[0], commandNames(cmd)))
			}
			return nil
		},
	}
	cmd.AddCommand(newLotsList(), newLotsAdd(), newLotsCheck(), newLotsStock(), newLotsExpiring(), newLotsTrace())
	cmd.AddCommand(newLotsChanges()...)
	return cmd
}

// dated is the day that a command reckons with: today unless --date says otherwise.
type dated struct{ text string }

func (d *dated) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&d.text, "date", "", "reckon with this `day` (2026-03-31) instead of today")
}

func (d *dated) day() (time.Time, error) {
	if d.text == "" {
		return today(), nil
	}
	return works.ParseDay("--date", d.text)
}

// clock is the time; a variable so that tests can set it.
var clock = time.Now

// today returns the day that the clock shows here.
func today() time.Time { return works.Day(clock()) }

// openLots reads a lots file and looks up its names.
func openLots(path, profiles string) (*brief.Lots, error) {
	lib, _, err := library(profiles)
	if err != nil {
		return nil, err
	}
	return works.OpenLots(path, lib)
}

// lotsCommand makes a command that reads a lots file and reports on it.
func lotsCommand(use, short string, run func(cmd *cobra.Command, args []string, lots *brief.Lots, day time.Time, asJSON bool) error, names ...string) *cobra.Command {
	var as format
	var on dated
	var dir string
	cmd := &cobra.Command{
		Use:   use,
		Short: short,
		Args:  exactly(append([]string{"a lots file"}, names...)...),
		RunE: func(cmd *cobra.Command, args []string) error {
			day, err := on.day()
			if err != nil {
				return err
			}
			lots, err := openLots(args[0], dir)
			if err != nil {
				return err
			}
			return run(cmd, args, lots, day, as.json)
		},
	}
	as.flags(cmd, false)
	on.flags(cmd)
	cmd.Flags().StringVar(&dir, "profiles", "", "a `folder` of your own profiles over the library")
	return cmd
}

func newLotsList() *cobra.Command {
	var ingredient string
	cmd := lotsCommand("list FILE", "List the lots, first out first",
		func(cmd *cobra.Command, _ []string, lots *brief.Lots, day time.Time, asJSON bool) error {
			var shown []*brief.Lot
			for _, l := range stock.FirstOut(lots) {
				if ingredient == "" || l.Ingredient == ingredient {
					shown = append(shown, l)
				}
			}
			return report.Lots(cmd.OutOrStdout(), shown, day, asJSON)
		})
	cmd.Flags().StringVar(&ingredient, "ingredient", "", "only lots of this `ingredient`")
	return cmd
}

func newLotsCheck() *cobra.Command {
	return lotsCommand("check FILE", "Check a lots file and its names",
		func(cmd *cobra.Command, _ []string, lots *brief.Lots, day time.Time, asJSON bool) error {
			if asJSON {
				return report.Lots(cmd.OutOrStdout(), stock.FirstOut(lots), day, true)
			}
			report.LotsChecked(cmd.OutOrStdout(), lots, day)
			return nil
		})
}

func newLotsStock() *cobra.Command {
	return lotsCommand("stock FILE", "Sum the lots by ingredient",
		func(cmd *cobra.Command, _ []string, lots *brief.Lots, day time.Time, asJSON bool) error {
			return report.Holdings(cmd.OutOrStdout(), stock.Holdings(lots, day), asJSON)
		})
}

func newLotsExpiring() *cobra.Command {
	var within int
	cmd := lotsCommand("expiring FILE", "List what is or soon will be past its date",
		func(cmd *cobra.Command, _ []string, lots *brief.Lots, day time.Time, asJSON bool) error {
			if within < 0 {
				return usage("--within: %d is below zero", within)
			}
			return report.Lots(cmd.OutOrStdout(), stock.Expiring(lots, day, within), day, asJSON)
		})
	cmd.Flags().IntVar(&within, "within", 30, "look so many `days` ahead")
	return cmd
}

func newLotsTrace() *cobra.Command {
	var file, out string
	var files outputs
	cmd := lotsCommand("trace FILE NAME", "From a lot to the batches that hold it, from a batch to its lots",
		func(cmd *cobra.Command, args []string, lots *brief.Lots, day time.Time, asJSON bool) error {
			t, err := works.Trace(lots, file, args[1])
			if err != nil && (t == nil || !asJSON) {
				return err
			}
			if t.Untouched && !asJSON {
				fmt.Fprintf(cmd.OutOrStdout(), "No batch holds lot %s.\n", args[1])
				return nil
			}
			files.Add("--out", out, report.OwnRecall, report.RecallEndings...)
			if err := files.Check(); err != nil {
				return err
			}
			switch {
			case file == "":
				if err := report.Trace(cmd.OutOrStdout(), t.Taken, asJSON); err != nil {
					return err
				}
			case asJSON:
				if err := report.RecallJSON(cmd.OutOrStdout(), t.Traced); err != nil {
					return err
				}
			default:
				report.Recall(cmd.OutOrStdout(), t.Traced)
			}
			if out == "" {
				return nil
			}
			var page bytes.Buffer
			if err := report.RecallFile(&page, out, args[1], works.DateText(day), t.Traced); err != nil {
				return err
			}
			return files.Write(out, page.Bytes())
		}, "the name of a lot or batch")
	cmd.Flags().StringVar(&file, "register", "", "the register of batches, for bottles, customers and goods without a lot in the `file`")
	cmd.Flags().StringVar(&out, "out", "", "also write the trace, as for a recall, to this `file`, .csv or .html")
	files.flags(cmd)
	return cmd
}

func newLotsAdd() *cobra.Command {
	var dir, received, bestBefore, sure string
	var contents []string
	lot := brief.Lot{Contents: map[string]profile.Content{}, Sure: map[string]string{}}
	cmd := &cobra.Command{
		Use:   "add FILE --number N --ingredient NAME --kg X",
		Short: "Add a lot to a lots file",
		Long: `Add a lot at the end of a lots file; a file that is not there is made. What the
file holds already stays as it is.

A certificate value that is far from the profile, as by a slip of units, is
refused until it is said again with --sure and the reason, which stands in the
file.`,
		Example: "  bittersum lots add lots.toml --number LP-12 --ingredient lemon-peel --kg 4 \\\n    --best-before 2027-05-01 --content bitterness=1.8+-0.3",
		Args:    exactly("a lots file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			lib, _, err := library(dir)
			if err != nil {
				return err
			}
			if lot.Received, err = flagDay(cmd, "received", received); err != nil {
				return err
			}
			if lot.BestBefore, err = flagDay(cmd, "best-before", bestBefore); err != nil {
				return err
			}
			for flag, amount := range map[string]*float64{"price": &lot.PricePerKg, "kg": &lot.QuantityKg} {
				if math.IsNaN(*amount) {
					return usage("--%s: %v is no amount", flag, *amount)
				}
				if !cmd.Flags().Changed(flag) {
					*amount = math.NaN()
				}
			}
			for _, text := range contents {
				name, c, err := parseContent(text)
				if err != nil {
					return err
				}
				lot.Contents[name] = c
			}
			text, err := works.AddLot(args[0], lib, lot, sure)
			if err != nil {
				return err
			}
			fmt.Fprintln(cmd.OutOrStdout(), text)
			return nil
		},
	}
	f := cmd.Flags()
	f.StringVar(&lot.Number, "number", "", "the lot's `number`")
	f.StringVar(&lot.Ingredient, "ingredient", "", "what it is, by its `name` in the profiles")
	f.Float64Var(&lot.QuantityKg, "kg", 0, "how many `kg` were delivered")
	f.Float64Var(&lot.PricePerKg, "price", 0, "what was paid per `kg`")
	f.Float64Var(&lot.PackKg, "pack-kg", 0, "the size of its packs in `kg`")
	f.Float64Var(&lot.Moisture, "moisture", 0, "the `share` of water that its certificate states")
	f.StringVar(&received, "received", "", "the `day` it came (2026-03-31)")
	f.StringVar(&bestBefore, "best-before", "", "the `day` after which it may not be used")
	f.StringVar(&lot.Supplier, "supplier", "", "who delivered it")
	f.StringVar(&lot.DeliveryNote, "delivery-note", "", "the `number` of the delivery note")
	f.StringVar(&lot.State, "state", brief.Accepted, "accepted, held or refused")
	f.StringVar(&lot.Reason, "reason", "", "why it is held or refused")
	f.StringArrayVar(&contents, "content", nil, "a certificate value per gram, as `NAME=VALUE+-SD`; may stand several times")
	f.StringVar(&sure, "sure", "", "the `reason` why certificate values far from the profile are right")
	f.StringVar(&dir, "profiles", "", "a `folder` of your own profiles over the library")
	return cmd
}

func flagDay(cmd *cobra.Command, name, text string) (time.Time, error) {
	if !cmd.Flags().Changed(name) {
		return time.Time{}, nil
	}
	return works.ParseDay("--"+name, text)
}

// parseContent reads NAME=VALUE or NAME=VALUE+-SD.
func parseContent(text string) (string, profile.Content, error) {
	c := profile.Content{Recovery: math.NaN(), CapRecovery: math.NaN()}
	name, value, ok := strings.Cut(text, "=")
	value, sd, deviates := strings.Cut(value, "+-")
	var err error
	if c.PerGram, err = strconv.ParseFloat(value, 64); err != nil || !ok || name == "" {
		return "", c, usage("--content: %q is not NAME=VALUE or NAME=VALUE+-SD", text)
	}
	if deviates {
		if c.SD, err = strconv.ParseFloat(sd, 64); err != nil {
			return "", c, usage("--content: %q is not NAME=VALUE or NAME=VALUE+-SD", text)
		}
	}
	return name, c, nil
}
