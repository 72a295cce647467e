package cli

import (
	"bittersum/internal/report"
	"bittersum/internal/study"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newSwap() *cobra.Command {
	var as studied
	var without, limits []string
	var drift float64
	var closest bool
	var recipe string
	cmd := &cobra.Command{
		Use:   "swap BRIEF",
		Short: "Find what replaces ingredients that are short",
		Long: `Find the cheapest mix within a brief when ingredients, or single lots (NAME/LOT),
are gone (--without) or short (--limit NAME=0.4, in g/L).

The mix is set beside today's recipe: the brief's cheapest one, or --recipe FILE.
The drift between the two is counted in just noticeable differences (JND), added
up over all attributes that have one. --drift 3 allows so much of it; --closest
asks for the least drift first and the least cost second. When no mix is left the
answer is the limits that exclude each other, and what it would take; exit code 4.`,
		Example:           "  bittersum swap demo:bitter-orange --without gentian-root\n  bittersum swap brief.toml --limit quassia-wood=0.1 --closest",
		Args:              exactly("a brief"),
		ValidArgsFunction: completeBriefs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := as.check(); err != nil {
				return err
			}
			var short []works.Amount
			for _, name := range without {
				short = append(short, works.Amount{Name: name})
			}
			for _, text := range limits {
				most, err := works.ParseAmount("--limit", text)
				if err != nil {
					return err
				}
				short = append(short, most)
			}
			var within *float64
			if cmd.Flags().Changed("drift") {
				within = &drift
			}
			o, err := works.SwapOptions(short, within, closest)
			if err != nil {
				return err
			}
			if len(o.Short) == 0 && recipe == "" {
				return usage("swap needs --without NAME or --limit NAME=AMOUNT")
			}
			job, err := openJob(args[0])
			if err != nil {
				return err
			}
			if recipe != "" {
				if o.Today, err = job.OpenRecipe(recipe); err != nil {
					return err
				}
			}
			answer, err := study.Swap(cmd.Context(), job, o)
			if err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			return as.finish(answer.Answer.Conflict != nil,
				func() { report.Swap(out, answer, as.extent()) },
				func() error { return report.SwapJSON(out, answer) },
				func() (report.Picture, error) { return report.SwapPicture(answer) })
		},
	}
	as.flags(cmd)
	cmd.Flags().StringSliceVar(&without, "without", nil, "an ingredient, or lot NAME/LOT, that is not to be had; may be repeated")
	cmd.Flags().StringSliceVar(&limits, "limit", nil, "at most so much of an ingredient, `NAME=AMOUNT` in g/L; may be repeated")
	cmd.Flags().Float64Var(&drift, "drift", 0, "allow so many just noticeable differences, in all")
	cmd.Flags().BoolVar(&closest, "closest", false, "ask for the least drift first")
	cmd.Flags().StringVar(&recipe, "recipe", "", "today's recipe, a `file`; the brief's cheapest one if not given")
	return cmd
}
