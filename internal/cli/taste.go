package cli

import (
	"strings"

	"bittersum/internal/report"
	"bittersum/internal/sensory"
	"bittersum/internal/tomlfile"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newTaste() *cobra.Command {
	names := []string{"tasters", "sheet", "score", "noticed", "panel", "bitter"}
	cmd := &cobra.Command{
		Use:   "taste",
		Short: "Use tongues as an instrument: is a swap noticed, how bitter is a root",
		Long: `Plan and judge tastings: difference tests (is the swap noticed?), what is just
noticed by them, panels that mark strengths on a line, and the bitterness value of a
bark or root of your own, by the pharmacopoeia's method.`,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usage("taste has no command %q; it has %s%s", args[0], strings.Join(names, ", "), suggestion(args[0], names))
			}
			return nil
		},
	}
	cmd.AddCommand(newTasters(), newTasteSheet(), newTasteScore(), newTasteNoticed(), newTastePanel(), newTasteBitter())
	return cmd
}

func suggestion(word string, known []string) string {
	if hint := tomlfile.DidYouMean(word, known); hint != "" {
		return " (" + hint + ")"
	}
	return ""
}

// difference is the flag that names a difference test.
type difference struct{ name string }

func (d *difference) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&d.name, "test", string(sensory.Triangle), "the `test`: "+strings.Join(works.TestNames(), ", "))
	_ = cmd.RegisterFlagCompletionFunc("test", cobra.FixedCompletions(works.TestNames(), cobra.ShellCompDirectiveNoFileComp))
}

func (d *difference) test() (sensory.Test, error) { return works.DifferenceTest(d.name) }

func newTasters() *cobra.Command {
	var d difference
	notice, power := 30.0, 80.0
	cmd := &cobra.Command{
		Use:     "tasters",
		Short:   "How many tasters a difference test needs",
		Example: "  bittersum taste tasters --test triangle --notice 30",
		Args:    exactly(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			test, err := d.test()
			if err != nil {
				return err
			}
			p, err := works.TastersNeeded(test, notice, power)
			if err != nil {
				return err
			}
			report.Tasters(cmd.OutOrStdout(), p)
			return nil
		},
	}
	d.flags(cmd)
	cmd.Flags().Float64Var(&notice, "notice", notice, "`percent` of people who can tell, that must not be missed")
	cmd.Flags().Float64Var(&power, "power", power, "`percent` of certainty to find it out")
	return cmd
}

func newTasteSheet() *cobra.Command {
	var d difference
	tasters, seed := 24, uint64(1)
	a, b := "today's drink", "the changed drink"
	var csv bool
	cmd := &cobra.Command{
		Use:     "sheet",
		Short:   "The server's sheet: balanced orders, blind codes, right answers",
		Example: "  bittersum taste sheet --tasters 24 --a today --b \"without gentian\"",
		Args:    exactly(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			test, err := d.test()
			if err != nil {
				return err
			}
			servings, err := works.Servings(test, tasters, seed)
			if err != nil {
				return err
			}
			if csv {
				return report.ServingsCSV(cmd.OutOrStdout(), servings)
			}
			report.Servings(cmd.OutOrStdout(), test, a, b, servings)
			return nil
		},
	}
	d.flags(cmd)
	cmd.Flags().IntVar(&tasters, "tasters", tasters, "how many tasters")
	cmd.Flags().Uint64Var(&seed, "seed", seed, "chooses orders and codes; take another one for each tasting")
	cmd.Flags().StringVar(&a, "a", a, "what A is")
	cmd.Flags().StringVar(&b, "b", b, "what B is")
	cmd.Flags().BoolVar(&csv, "csv", false, "write CSV")
	return cmd
}

func newTasteScore() *cobra.Command {
	var d difference
	var right, of int
	var as format
	var keep keptAnswers
	bound := 30.0
	cmd := &cobra.Command{
		Use:     "score",
		Short:   "What the answers of a difference test say",
		Example: "  bittersum taste score --test triangle --of 24 --right 13",
		Args:    exactly(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			test, err := d.test()
			if err != nil {
				return err
			}
			for _, flag := range []string{"right", "of"} {
				if !cmd.Flags().Changed(flag) {
					return usage("score needs --right N and --of N")
				}
			}
			score, err := works.ScoreOf(test, right, of, bound)
			if err != nil {
				return err
			}
			if err := keep.write(cmd, sensory.Answers{Test: test, Right: right, Of: of}); err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			return as.write(func() { report.Score(out, score) }, func() error { return report.ScoreJSON(out, score) }, nil)
		},
	}
	d.flags(cmd)
	as.flags(cmd, false)
	keep.flags(cmd)
	cmd.Flags().IntVar(&right, "right", 0, "how many answers were right")
	cmd.Flags().IntVar(&of, "of", 0, "how many answers there were")
	cmd.Flags().Float64Var(&bound, "alike", bound, "`percent` of people who may tell, for the two to be called alike")
	return cmd
}

func newTasteBitter() *cobra.Command {
	var as format
	cmd := &cobra.Command{
		Use:   "bitter [FILE]",
		Short: "The bitterness value of a bark or root of your own",
		Long: `Without a FILE: how the bitterness value is tasted, step by step, and how to write
down what the tasters found. With it: the value, what each taster found, and how
much the series leaves open.`,
		Example: "  bittersum taste bitter\n  bittersum taste bitter gentian.toml",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usage("%s takes one file and got %d arguments", cmd.CommandPath(), len(args))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			out := cmd.OutOrStdout()
			if len(args) == 0 {
				if as.json {
					return usage("--json goes with a file")
				}
				report.BitterMethod(out)
				return nil
			}
			tasting, err := sensory.OpenTasting(args[0])
			if err != nil {
				return err
			}
			found, err := sensory.Panel(tasting.Tasters)
			if err != nil {
				return err
			}
			return as.write(func() { report.Bitter(out, tasting, found) }, func() error { return report.BitterJSON(out, tasting, found) }, nil)
		},
	}
	as.flags(cmd, false)
	return cmd
}
