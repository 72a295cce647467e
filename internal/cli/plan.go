package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/plan"
	"bittersum/internal/report"
	"bittersum/internal/tomlfile"
	"bittersum/internal/works"
	"bittersum/profiles"

	"github.com/spf13/cobra"
)

func newPlan() *cobra.Command {
	var as studied
	var csv bool
	var workbook string
	var asked works.Planning
	cmd := &cobra.Command{
		Use:   "plan PLAN",
		Short: "Plan several drinks over months: what to order, what to make and by which recipe",
		Long: `Plan several drinks over months or weeks from shared stock: what to order when and
of whom, what to make by which recipe, and what the limits cost.

PLAN is a file, or demo:canal-works for the embedded example. It names the briefs
with what is asked of each, the suppliers with their offers (prices that change on
known days, packs, least orders, discounts, freight, seasons), how long things keep,
the store and the kettle. bittersum help plan-file explains its keys.

Orders are placed on the first day of a period at that day's price. The answer is
gone through again from the recipes and offers alone before it is shown.

--fails NAME, --price NAME=+30% and --demand [NAME=]+20% show what the plan becomes
if that happens, from the first period on or in @2027-05..2027-06; they may be
repeated and then happen together. --if NAME takes a scenario of the plan. With
--hedge what is ordered first is right for all scenarios by their probabilities.`,
		Example: "  bittersum plan demo:canal-works\n  bittersum plan year.toml --csv > orders.csv\n  bittersum plan year.toml --fails \"Weir Orchard@2027-05..2027-06\"",
		Args:    exactly("a plan"),
		RunE: func(cmd *cobra.Command, args []string) error {
			as.Add("--out", workbook, report.OwnPlan, ".xlsx")
			if err := as.check(); err != nil {
				return err
			}
			if csv && as.json {
				return usage("--json and --csv exclude each other")
			}
			p, err := openPlan(args[0])
			if err != nil {
				return err
			}
			p.Progress = reported(cmd.ErrOrStderr())
			asked.Plan = p
			planned, err := asked.Decide(cmd.Context())
			if err != nil {
				return err
			}
			return writePlan(cmd.OutOrStdout(), &planForm{&as, csv, workbook}, planned)
		},
	}
	cmd.AddCommand(newPlanInit())
	as.flags(cmd)
	cmd.Flags().BoolVar(&csv, "csv", false, "write what to order as CSV")
	cmd.Flags().StringVar(&workbook, "out", "", "also write orders, batches, recipes, stock and money to this `file`, .xlsx")
	_ = cmd.MarkFlagFilename("out", "xlsx")
	cmd.Flags().StringVar(&asked.If, "if", "", "a scenario of the plan, by `name`")
	cmd.Flags().StringArrayVar(&asked.Fails, "fails", nil, "a supplier that sells nothing, or an item that cannot be had: `NAME[@FROM[..TO]]`")
	cmd.Flags().StringArrayVar(&asked.Price, "price", nil, "a price that differs: `NAME=+30%[@FROM[..TO]]`")
	cmd.Flags().StringArrayVar(&asked.Demand, "demand", nil, "demand that differs: `[DRINK=]+20%[@FROM[..TO]]`")
	cmd.Flags().BoolVar(&asked.Hedge, "hedge", false, "order first what is right for all scenarios by their probabilities")
	return cmd
}

// reported writes progress to a terminal at most once a second, and nothing in the first.
func reported(w io.Writer) func(string) {
	file, ok := w.(*os.File)
	if !ok {
		return nil
	}
	if is, err := file.Stat(); err != nil || is.Mode()&os.ModeCharDevice == 0 {
		return nil
	}
	last := time.Now()
	return func(text string) {
		if now := time.Now(); now.Sub(last) >= time.Second {
			last = now
			fmt.Fprintf(w, "planning: %s\n", text)
		}
	}
}

// planForm is how a plan is given.
type planForm struct {
	*studied
	csv      bool
	workbook string
}

func writePlan(out io.Writer, as *planForm, planned *works.Planned) error {
	answer := planned.Answer
	text := func() { planned.Write(out, as.extent()) }
	if as.csv && answer.Ledger != nil {
		if err := report.PlanCSV(out, answer); err != nil {
			return err
		}
		text = func() {}
	}
	err := as.finish(answer.Ledger == nil, text,
		func() error { return report.PlanJSON(out, answer, planned.Increase) },
		func() (report.Picture, error) { return report.PlanPicture(answer) })
	if answer.Tried > 0 && errors.As(err, &exitError{}) {
		return exitError{code: codeUnproved, show: true}
	}
	if err != nil || as.workbook == "" {
		return err
	}
	var book bytes.Buffer
	if err := report.PlanXLSX(&book, answer); err != nil {
		return err
	}
	return as.outputs.Write(as.workbook, book.Bytes())
}

// openPlan reads a plan from a file or from the embedded demo.
func openPlan(arg string) (*plan.Plan, error) {
	if name, demo := brief.IsDemo(arg); demo {
		doc, err := tomlfile.OpenFS(profiles.FS, "plan/"+name+".toml", "demo:"+name+".toml")
		if err != nil {
			return nil, tomlfile.Faults{{File: arg, What: "there is no such plan", Hint: "known is demo:canal-works"}}
		}
		return plan.Read(doc, func(name string) (*brief.Job, error) { return openJob(name) })
	}
	doc, err := tomlfile.Open(arg)
	if err != nil {
		return nil, err
	}
	return plan.Read(doc, func(name string) (*brief.Job, error) {
		if strings.HasPrefix(name, "demo:") || filepath.IsAbs(name) {
			return openJob(name)
		}
		return openJob(filepath.Join(filepath.Dir(arg), name))
	})
}
