package cli

import (
	"fmt"

	"bittersum/internal/register"
	"bittersum/internal/report"
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
			return works.NoBatch(r, args[1])
		}
		return report.RegisterBatch(cmd.OutOrStdout(), r.Of(args[1]), asJSON)
	}, "a batch's number"))
	cmd.AddCommand(registerReader("check FILE", "Check that nothing in the register was changed", func(cmd *cobra.Command, r *register.Register, _ []string, asJSON bool) error {
		return report.RegisterChecked(cmd.OutOrStdout(), r, asJSON)
	}))
	cmd.AddCommand(newRelease(), newWithhold(), newSold())
	return cmd
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
func registerWriter(use, short, long string, d *works.Decision) *cobra.Command {
	return &cobra.Command{
		Use:   use,
		Short: short,
		Long:  long,
		Args:  exactly("a register", "a batch's number"),
		RunE: func(cmd *cobra.Command, args []string) error {
			text, err := works.Decide(args[0], args[1], *d, clock())
			if err != nil {
				return err
			}
			fmt.Fprintln(cmd.OutOrStdout(), text)
			return nil
		},
	}
}

func newRelease() *cobra.Command {
	d := &works.Decision{What: register.Released}
	cmd := registerWriter("release FILE NUMBER --by NAME", "Release a batch for sale", `Release a batch for sale, in somebody's name. A batch that must not be sold cannot
be released; one that misses its brief only with --reason.`, d)
	f := cmd.Flags()
	f.StringVar(&d.By, "by", "", "who releases it")
	f.StringVar(&d.Reason, "reason", "", "why it is released although it misses its brief")
	f.StringVar(&d.LotCode, "lot-code", "", "the lot code on the bottles, when it is not the record's")
	f.StringVar(&d.BestBefore, "best-before", "", "the best-before `day` on the bottles, when it is not the record's")
	return cmd
}

func newWithhold() *cobra.Command {
	d := &works.Decision{What: register.Withheld}
	cmd := registerWriter("withhold FILE NUMBER --by NAME --reason WHY", "Withhold a batch, also one that was released", "", d)
	cmd.Flags().StringVar(&d.By, "by", "", "who withholds it")
	cmd.Flags().StringVar(&d.Reason, "reason", "", "why")
	return cmd
}

func newSold() *cobra.Command {
	d := &works.Decision{What: register.Sold}
	cmd := registerWriter("sold FILE NUMBER --to WHOM --bottles N", "Enter to whom bottles of a released batch went", `Enter to which business bottles of a released batch went, one step down, as
Regulation (EC) 178/2002 Article 18(3) asks. What came back is entered with a
number below zero.`, d)
	cmd.Flags().StringVar(&d.To, "to", "", "the customer or outlet")
	cmd.Flags().IntVar(&d.Bottles, "bottles", 0, "how many bottles")
	cmd.Flags().StringVar(&d.On, "on", "", "on which `day`; today when left out")
	return cmd
}
