package cli

import (
	"errors"
	"os"
	"runtime/debug"
	"strings"
	"time"

	"bittersum/internal/lpfile"

	"github.com/spf13/cobra"
)

func newLP() *cobra.Command {
	var as format
	var opt lpfile.Options
	var log bool
	cmd := &cobra.Command{
		Use:   "lp FILE.mps",
		Short: "Solve any linear or mixed-integer program in MPS",
		Long: `Solve any linear or mixed-integer program that stands in an MPS file, in the free
or the fixed layout: status, objective, primal and dual values, certificate.
The file - is standard input.

Readers of MPS differ; here the right-hand side of the objective counts as the
constant, negated; an integer column between markers that has no bounds is 0 or
1; an upper bound below zero takes a lower bound of zero away; a range on a row
of type N bounds nothing; 1e30 and more is infinite; what follows a $ is a
remark. With --exact every number is the decimal that stands in the file, and
limits with ranges are sums of decimals.

--time holds for the solve and its proof together.

The exit code is 0 for an optimum, 4 when there is none (infeasible or
unbounded), 5 when nothing is proved or a limit ran out.`,
		Example: "  bittersum export demo:bitter-orange --out drink.mps\n  bittersum lp drink.mps --exact",
		Args:    exactly("a file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := notNegative(cmd, "iterations", "nodes", "time", "second-opinion"); err != nil {
				return err
			}
			opt.Input = cmd.InOrStdin()
			if log {
				opt.Log = cmd.ErrOrStderr()
			}
			if os.Getenv("GOGC") == "" {
				debug.SetGCPercent(readyMemory)
			}
			result, err := lpfile.Run(cmd.Context(), args[0], opt)
			var file *lpfile.FileError
			if errors.As(err, &file) {
				return exitError{code: codeInput, err: err}
			}
			if err != nil {
				return err
			}
			if as.json {
				err = lpfile.JSON(cmd.OutOrStdout(), result)
			} else {
				err = lpfile.Text(cmd.OutOrStdout(), result)
			}
			if err != nil {
				return err
			}
			if code := result.Code(); code != codeAnswered {
				return exitError{code: code, show: true}
			}
			return nil
		},
	}
	as.flags(cmd, false)
	flags := cmd.Flags()
	flags.BoolVar(&opt.Exact, "exact", false, "prove the outcome in rational arithmetic")
	flags.DurationVar(&opt.SecondOpinion, "second-opinion", 0, "ask an independent solver too, for at most this `time`")
	flags.DurationVar(&opt.Solve.Time, "time", 0, "stop after this `time`")
	flags.IntVar(&opt.Solve.Iterations, "iterations", 0, "stop after so many simplex iterations")
	flags.IntVar(&opt.Solve.Nodes, "nodes", 0, "stop after so many branch-and-bound nodes")
	flags.BoolVar(&log, "log", false, "write the iteration log to standard error")
	cmd.Flags().Lookup("second-opinion").NoOptDefVal = (10 * time.Second).String()
	return cmd
}

// readyMemory is how far memory may grow, in percent of what is in use, before what is not in use is collected: a
// program is read once and stays, so collecting often finds little.
const readyMemory = 400

// notNegative refuses flags whose value begins with a minus: limits that are nothing.
func notNegative(cmd *cobra.Command, names ...string) error {
	for _, name := range names {
		if value := cmd.Flags().Lookup(name).Value.String(); strings.HasPrefix(value, "-") {
			return usage("--%s: %s is below zero", name, value)
		}
	}
	return nil
}
