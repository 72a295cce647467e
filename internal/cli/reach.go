package cli

import (
	"bittersum/internal/brief"
	"bittersum/internal/report"
	"bittersum/internal/study"

	"github.com/spf13/cobra"
)

func newReach() *cobra.Command {
	var as studied
	var up, down, beyond bool
	cmd := &cobra.Command{
		Use:   "reach BRIEF ATTRIBUTE [ATTRIBUTE]",
		Short: "Push an attribute until something stops it, and see what that costs",
		Long: `Follow the least cost against the value of one attribute, all else as the brief
asks, from the cheapest recipe up and down until no recipe is left: every
break-point, what changes there, and which limits end the road.

What the brief asks of the attribute itself is set aside. --up and --down follow
one way only. The road ends where more of an ingredient would be taken than drinks
are customarily made with; --beyond-custom goes on. With two attributes the answer is the region of all that they can be
at once, with its corners.`,
		Example:           "  bittersum reach demo:bitter-orange bitterness --up\n  bittersum reach demo:bitter-lemon bitterness acidity --plot region.svg",
		ValidArgsFunction: completeBriefs,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) < 2 || len(args) > 3 {
				return usage("%s needs a brief and one or two attributes", cmd.CommandPath())
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := as.check(); err != nil {
				return err
			}
			job, err := openJob(args[0])
			if err != nil {
				return err
			}
			if beyond {
				if job, err = job.Changed(func(b *brief.Brief) { b.BeyondCustom = true }); err != nil {
					return err
				}
			}
			out := cmd.OutOrStdout()
			if len(args) == 3 {
				if up || down {
					return usage("--up and --down go with one attribute")
				}
				if args[1] == args[2] {
					return usage("%s and %s are the same attribute", args[1], args[2])
				}
				r, err := study.Regions(cmd.Context(), job, args[1], args[2])
				if err != nil {
					return err
				}
				return as.finish(r.Conflict != nil,
					func() { report.Region(out, r, as.extent()) },
					func() error { return report.RegionJSON(out, r) },
					func() (report.Picture, error) { return report.RegionPicture(r) })
			}
			r, err := study.Reach(cmd.Context(), job, args[1], up || !down, down || !up)
			if err != nil {
				return err
			}
			return as.finish(r.Conflict != nil,
				func() { report.Reach(out, r, as.extent()) },
				func() error { return report.ReachJSON(out, r) },
				func() (report.Picture, error) { return report.ReachPicture(r) })
		},
	}
	as.flags(cmd)
	cmd.Flags().BoolVar(&up, "up", false, "follow it up only")
	cmd.Flags().BoolVar(&down, "down", false, "follow it down only")
	cmd.Flags().BoolVar(&beyond, "beyond-custom", false, "go on where more of an ingredient is taken than is customary in drinks")
	return cmd
}
