package cli

import (
	"fmt"
	"time"

	"bittersum/internal/kettle"
	"bittersum/internal/register"
	"bittersum/internal/report"
	"bittersum/internal/tomlfile"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newRegister() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "register",
		Short: "Keep the register of batches: list, show, check, release, withhold, sold",
		Long: `Keep the register of batches, a plain file that is only ever added to. A brief
names it (register = "register.txt"); then batch --record enters the plan, and
record --draw what was made and the verdict.

Each line begins with the SHA-256 of all lines above it, so that a change shows:
head -n 3 register.txt | sha256sum prints what line 4 begins with. Note the seal
that check prints where nobody writes in the file.`,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usage("register has no command %q; it has list, show, check, release, withhold and sold", args[0])
			}
			return nil
		},
	}
	cmd.AddCommand(registerReader("list FILE", "List the batches with what stands last of each", func(cmd *cobra.Command, r *register.Register, _ []string, asJSON bool) error {
		return report.Register(cmd.OutOrStdout(), r, asJSON)
	}))
	cmd.AddCommand(registerReader("show FILE NUMBER", "Show all that stands of a batch", func(cmd *cobra.Command, r *register.Register, args []string, asJSON bool) error {
		if len(r.Of(args[1])) == 0 {
			return noBatch(r, args[1])
		}
		return report.RegisterBatch(cmd.OutOrStdout(), r.Of(args[1]), asJSON)
	}, "a batch's number"))
	cmd.AddCommand(registerReader("check FILE", "Check that nothing in the register was changed", func(cmd *cobra.Command, r *register.Register, _ []string, asJSON bool) error {
		return report.RegisterChecked(cmd.OutOrStdout(), r, asJSON)
	}))
	cmd.AddCommand(newRelease(), newWithhold(), newSold())
	return cmd
}

func noBatch(r *register.Register, number string) error {
	return tomlfile.Faults{{File: r.File, What: fmt.Sprintf("there is no batch %q", number), Hint: tomlfile.DidYouMean(number, r.Batches())}}
}

// registerReader makes a command that reads a register.
func registerReader(use, short string, run func(*cobra.Command, *register.Register, []string, bool) error, names ...string) *cobra.Command {
	var as format
	cmd := &cobra.Command{
		Use:   use,
		Short: short,
		Args:  exactly(append([]string{"a register"}, names...)...),
		RunE: func(cmd *cobra.Command, args []string) error {
			r, err := register.Open(args[0])
			if err != nil {
				return err
			}
			return run(cmd, r, args, as.json)
		},
	}
	as.flags(cmd, false)
	return cmd
}

// registerWriter makes a command that adds an entry about a batch that was made.
func registerWriter(use, short, long string, e *register.Entry, may func(r *register.Register, made *register.Entry) error) *cobra.Command {
	return &cobra.Command{
		Use:   use,
		Short: short,
		Long:  long,
		Args:  exactly("a register", "a batch's number"),
		RunE: func(cmd *cobra.Command, args []string) error {
			e.Batch, e.At = args[1], clock().UTC().Truncate(time.Second)
			for _, text := range []string{e.By, e.To, e.Reason, e.LotCode} {
				if !works.OneLine(text) {
					return usage("%q holds control characters", text)
				}
			}
			r, err := register.Append(args[0], e, func(r *register.Register) error {
				made := r.Last(args[1], register.Made)
				if len(r.Of(args[1])) == 0 {
					return noBatch(r, args[1])
				}
				if made == nil {
					return exitError{code: codeUnmet, err: fmt.Errorf("batch %s is planned and not made yet (see bittersum record --draw)", args[1])}
				}
				if err := may(r, made); err != nil {
					return err
				}
				return nil
			})
			if err != nil {
				return err
			}
			fmt.Fprintf(cmd.OutOrStdout(), "Batch %s is %s.\n", args[1], report.RegisterState(r, args[1]))
			return nil
		},
	}
}

func newRelease() *cobra.Command {
	e := &register.Entry{What: register.Released}
	var bestBefore string
	cmd := registerWriter("release FILE NUMBER --by NAME", "Release a batch for sale", `Release a batch for sale, in somebody's name. A batch that must not be sold cannot
be released; one that misses its brief only with --reason.`, e,
		func(_ *register.Register, made *register.Entry) error {
			refuse := func(format string, args ...any) error {
				return exitError{code: codeUnmet, err: fmt.Errorf(format, args...)}
			}
			switch kettle.Verdict(made.Verdict) {
			case kettle.NotToBeSold:
				return refuse("batch %s must not be sold: %v", made.Batch, made.Findings[0])
			case kettle.Incomplete:
				return refuse("not all of batch %s is written down yet", made.Batch)
			case kettle.Misses:
				if e.Reason == "" {
					return refuse("batch %s misses its brief: %v; release it only with --reason", made.Batch, made.Findings[0])
				}
			}
			if e.By == "" {
				return usage("release needs --by: somebody has to answer for it")
			}
			if bestBefore != "" {
				day, err := works.ParseDay("--best-before", bestBefore)
				if err != nil {
					return err
				}
				e.BestBefore = works.DateText(day)
			}
			e.Record = made.Record
			return nil
		})
	f := cmd.Flags()
	f.StringVar(&e.By, "by", "", "who releases it")
	f.StringVar(&e.Reason, "reason", "", "why it is released although it misses its brief")
	f.StringVar(&e.LotCode, "lot-code", "", "the lot code on the bottles, when it is not the record's")
	f.StringVar(&bestBefore, "best-before", "", "the best-before `day` on the bottles, when it is not the record's")
	return cmd
}

func newWithhold() *cobra.Command {
	e := &register.Entry{What: register.Withheld}
	cmd := registerWriter("withhold FILE NUMBER --by NAME --reason WHY", "Withhold a batch, also one that was released", "", e,
		func(_ *register.Register, made *register.Entry) error {
			if e.By == "" || e.Reason == "" {
				return usage("withhold needs --by and --reason")
			}
			e.Record = made.Record
			return nil
		})
	cmd.Flags().StringVar(&e.By, "by", "", "who withholds it")
	cmd.Flags().StringVar(&e.Reason, "reason", "", "why")
	return cmd
}

func newSold() *cobra.Command {
	e := &register.Entry{What: register.Sold}
	var on string
	cmd := registerWriter("sold FILE NUMBER --to WHOM --bottles N", "Enter to whom bottles of a released batch went", `Enter to which business bottles of a released batch went, one step down, as
Regulation (EC) 178/2002 Article 18(3) asks. What came back is entered with a
number below zero.`, e,
		func(r *register.Register, made *register.Entry) error {
			if e.To == "" || e.Bottles == 0 {
				return usage("sold needs --to and --bottles")
			}
			if last := r.Decided(made.Batch); e.Bottles > 0 && (last == nil || last.What != register.Released) {
				return exitError{code: codeUnmet, err: fmt.Errorf("batch %s is %s: nothing of it may be sold", made.Batch, report.RegisterState(r, made.Batch))}
			}
			day, err := today(), error(nil)
			if on != "" {
				if day, err = works.ParseDay("--on", on); err != nil {
					return err
				}
			}
			if day.After(today()) {
				return usage("--on: %s has not come yet", on)
			}
			e.On, e.Record = works.DateText(day), made.Record
			gone := e.Bottles
			for _, other := range r.Of(made.Batch) {
				if other.What == register.Sold {
					gone += other.Bottles
				}
			}
			if made.Bottles > 0 && gone > made.Bottles || gone < 0 {
				return exitError{code: codeInput, err: fmt.Errorf("batch %s has %d bottles in all; with these %d would be sold", made.Batch, made.Bottles, gone)}
			}
			return nil
		})
	cmd.Flags().StringVar(&e.To, "to", "", "the customer or outlet")
	cmd.Flags().IntVar(&e.Bottles, "bottles", 0, "how many bottles")
	cmd.Flags().StringVar(&on, "on", "", "on which `day`; today when left out")
	return cmd
}
