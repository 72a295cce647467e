package cli

import (
	"fmt"
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/stock"

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
			if change.On.After(today()) {
				return usage("--date: %s has not come yet", dateText(change.On))
			}
			if change.Reason == "" {
				return usage("lots %s needs --reason", what)
			}
			if !utf8Line(change.Reason) || !utf8Line(change.By) {
				return usage("--reason and --by hold no control characters")
			}
			if amount != "" && (!cmd.Flags().Changed("kg") || !(kg >= 0) || math.IsInf(kg, 1) || what == brief.WriteOff && kg == 0) {
				return usage("lots %s needs --kg, an amount", what)
			}
			text := ""
			err = stock.Edit(args[0], func(b *stock.Book) error {
				lot := b.Find(args[1])
				before := 0.0
				if lot != nil {
					before = lot.LeftKg()
				}
				switch what {
				case brief.WriteOff:
					change.Kg = -kg
				case brief.Adjust:
					change.Kg = kg - before
				}
				if err := b.Change(args[1], change); err != nil {
					return err
				}
				lot = b.Find(args[1])
				text = fmt.Sprintf("Lot %s of %s is %s; %.7g kg are left", lot.Number, lot.Ingredient, lot.State, lot.LeftKg())
				if change.Kg != 0 {
					text += fmt.Sprintf(", %.7g kg before", before)
				}
				return nil
			})
			if err != nil {
				return err
			}
			fmt.Fprintln(cmd.OutOrStdout(), text+".")
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
