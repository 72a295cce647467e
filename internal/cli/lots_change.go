package cli

import (
	"fmt"
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

// newLotsChanges makes the commands that change a lot on the shelf: each adds a line with who did it, when
// and why.
func newLotsChanges() []*cobra.Command {
	var all []*cobra.Command
	for _, c := range []struct{ what, short string }{
		{brief.Hold, "Hold a lot: it goes into no batch until it is released"},
		{brief.Release, "Release a lot that was held or refused"},
		{brief.Refuse, "Refuse a lot"},
		{brief.WriteOff, "Write off some of a lot: spoilt, spilt, given away"},
		{brief.Adjust, "Set what is left of a lot, as after counting the shelf"},
	} {
		all = append(all, newLotsChange(c.what, c.short))
	}
	return all
}

func newLotsChange(what, short string) *cobra.Command {
	var on dated
	var kg float64
	change := brief.Change{What: what}
	amount := map[string]string{brief.WriteOff: " --kg X", brief.Adjust: " --kg LEFT"}[what]
	cmd := &cobra.Command{
		Use:   what + " FILE LOT" + amount + " --reason WHY",
		Short: short,
		Args:  exactly("a lots file", "a lot"),
		RunE: func(cmd *cobra.Command, args []string) error {
			var err error
			if change.On, err = on.day(); err != nil {
				return err
			}
			if works.ChangesAmount(what) && !cmd.Flags().Changed("kg") {
				kg = math.NaN()
			}
			text, err := works.ChangeLot(args[0], args[1], change, kg, today())
			if err != nil {
				return err
			}
			fmt.Fprintln(cmd.OutOrStdout(), text)
			return nil
		},
	}
	on.flags(cmd)
	f := cmd.Flags()
	f.StringVar(&change.Reason, "reason", "", "why")
	f.StringVar(&change.By, "by", "", "who does it")
	switch what {
	case brief.WriteOff:
		f.Float64Var(&kg, "kg", 0, "how many `kg` are gone")
	case brief.Adjust:
		f.Float64Var(&kg, "kg", 0, "how many `kg` are left")
	}
	return cmd
}
