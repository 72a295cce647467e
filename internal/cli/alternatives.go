package cli

import (
	"math"
	"strconv"
	"strings"

	"bittersum/internal/report"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newAlternatives() *cobra.Command {
	var as studied
	var within string
	var count int
	cmd := &cobra.Command{
		Use:   "alternatives BRIEF",
		Short: "Find recipes near the least cost that are as different as possible",
		Long: `Find several recipes that cost a little more than the least and are as different
from the cheapest one, and from each other, as was found: each with its drift in
just noticeable differences (JND) and the ingredients it does without.`,
		Example:           "  bittersum alternatives demo:bitter-orange --within 2%",
		Args:              exactly("a brief"),
		ValidArgsFunction: completeBriefs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := as.check(); err != nil {
				return err
			}
			share, err := strconv.ParseFloat(strings.TrimSuffix(within, "%"), 64)
			if err != nil || math.IsNaN(share) || math.IsInf(share, 0) {
				return usage("--within %s is not a percentage; give it as 2%%", within)
			}
			job, err := openJob(args[0])
			if err != nil {
				return err
			}
			a, err := works.Alternatives(cmd.Context(), job, share, count)
			if err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			return as.finish(a.Best.Conflict != nil,
				func() { report.Alternatives(out, a, as.extent()) },
				func() error { return report.AlternativesJSON(out, a) },
				func() (report.Picture, error) { return report.AlternativesPicture(a) })
		},
	}
	as.flags(cmd)
	cmd.Flags().StringVar(&within, "within", "2%", "how much dearer than the least cost a recipe may be, in `percent`")
	cmd.Flags().IntVar(&count, "count", 3, "how many recipes to look for")
	return cmd
}
