package cli

import (
	"fmt"
	"strings"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newPlanInit() *cobra.Command {
	var from string
	cmd := &cobra.Command{
		Use:   "init DIR",
		Short: "Write a plan to begin with from the briefs of a folder",
		Long: `Write DIR/plan.toml from the briefs of drinks in the folder: a year with a batch of
each a month, and an offer for every ingredient at the price that the briefs have for
it. It works as it is; put in what you sell, who sells to you and how long things
keep. A plan that is there is never overwritten.`,
		Example: "  bittersum plan init my-tonic\n  bittersum plan my-tonic/plan.toml",
		Args:    exactly("a folder"),
		RunE: func(cmd *cobra.Command, args []string) error {
			var first time.Time
			if from != "" {
				var err error
				if first, err = works.ParseDay("--from", from); err != nil {
					return err
				}
			}
			begun, err := works.BeginPlan(args[0], first, today(), func(path string) (*brief.Job, error) { return openJob(path) })
			if err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			fmt.Fprintf(out, "Wrote %s, of %s.\n", begun.Path, strings.Join(begun.Briefs, ", "))
			for _, p := range begun.Other {
				fmt.Fprintf(out, "Left out: %s\n", p)
			}
			fmt.Fprintf(out, "Next: put in what you sell and who sells to you, then bittersum plan %s\n", begun.Path)
			return nil
		},
	}
	cmd.Flags().StringVar(&from, "from", "", "the first `day` of the plan, such as 2027-01-01; the first of next month when left out")
	return cmd
}
