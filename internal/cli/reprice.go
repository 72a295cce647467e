package cli

import (
	"bittersum/internal/brief"
	"bittersum/internal/report"
	"bittersum/internal/study"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newReprice() *cobra.Command {
	var as studied
	var prices []string
	var list, recipe string
	var ahead aheadFlags
	cmd := &cobra.Command{
		Use:   "reprice BRIEF",
		Short: "See at which prices the cheapest recipe changes, and what to buy before",
		Long: `Move prices and find exactly where the cheapest recipe changes, the recipe on
each piece, and what it saves against keeping today's: the brief's cheapest one,
or --recipe FILE.

--price NAME=+30% or NAME=-5%, NAME=8.50 (a new price per kg) or NAME=6..9 (a
range); may be repeated, and all prices then move together from the first to the
last. --prices FILE reads a supplier's price list: CSV with the heading
ingredient,price_per_kg; lines for ingredients not in use are passed over.

With --from DATE --stock KG --monthly LITRES --keeps MONTHS the answer also says
what to buy at the old price, until when it lasts, when to change over and what
that saves.`,
		Example:           "  bittersum reprice demo:bitter-orange --price gentian-root=+30%\n  bittersum reprice brief.toml --price quassia-wood=10..40 --plot quassia.svg",
		Args:              exactly("a brief"),
		ValidArgsFunction: completeBriefs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := as.check(); err != nil {
				return err
			}
			pile, err := ahead.read(cmd)
			if err != nil {
				return err
			}
			job, err := openJob(args[0])
			if err != nil {
				return err
			}
			moves, err := works.PriceMoves(job, prices, list)
			if err != nil {
				return err
			}
			if len(moves) == 0 {
				return usage("reprice needs --price NAME=PRICE or --prices FILE")
			}
			var today *brief.Recipe
			if recipe != "" {
				if today, err = job.OpenRecipe(recipe); err != nil {
					return err
				}
			}
			r, err := study.Reprice(cmd.Context(), job, moves, today)
			if err != nil {
				return err
			}
			if pile != nil {
				if err := r.PlanBuying(*pile); err != nil {
					return err
				}
			}
			out := cmd.OutOrStdout()
			return as.finish(r.Conflict != nil,
				func() { report.Reprice(out, r, as.extent()) },
				func() error { return report.RepriceJSON(out, r) },
				func() (report.Picture, error) { return report.RepricePicture(r) })
		},
	}
	as.flags(cmd)
	cmd.Flags().StringSliceVar(&prices, "price", nil, "a price that moves, `NAME=PRICE`: +30%, 8.50 or 6..9; may be repeated")
	cmd.Flags().StringVar(&list, "prices", "", "a supplier's price list, a CSV `file`")
	cmd.Flags().StringVar(&recipe, "recipe", "", "today's recipe, a `file`; the brief's cheapest one if not given")
	ahead.flags(cmd)
	return cmd
}

// aheadFlags are the flags of a buying plan.
type aheadFlags struct {
	from, today             string
	stock, monthly, keeping float64
}

func (a *aheadFlags) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&a.from, "from", "", "the `date` (2027-01-31) of the new price, for a buying plan")
	cmd.Flags().Float64Var(&a.stock, "stock", 0, "what is in hand, in `kg`")
	cmd.Flags().Float64Var(&a.monthly, "monthly", 0, "what is made in a month, in `litres`")
	cmd.Flags().Float64Var(&a.keeping, "keeps", 0, "how many `months` it keeps once bought")
	cmd.Flags().StringVar(&a.today, "today", "", "plan as of this `date` instead of today")
}

// read returns what a buying plan needs, or nil when none is asked.
func (a *aheadFlags) read(cmd *cobra.Command) (*study.Stockpile, error) {
	given := cmd.Flags().Changed
	if !given("from") {
		for _, name := range []string{"stock", "monthly", "keeps", "today"} {
			if given(name) {
				return nil, usage("--%s goes with --from DATE", name)
			}
		}
		return nil, nil
	}
	for _, name := range []string{"stock", "monthly", "keeps"} {
		if !given(name) {
			return nil, usage("--from needs --stock KG, --monthly LITRES and --keeps MONTHS")
		}
	}
	pile := &study.Stockpile{StockKg: a.stock, MonthlyLitres: a.monthly, KeepsMonths: a.keeping}
	pile.Today = today()
	var err error
	if given("today") {
		if pile.Today, err = works.ParseDay("--today", a.today); err != nil {
			return nil, err
		}
	}
	if pile.From, err = works.ParseDay("--from", a.from); err != nil {
		return nil, err
	}
	return pile, works.CheckStockpile(pile)
}
