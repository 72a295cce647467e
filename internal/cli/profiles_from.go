package cli

import (
	"fmt"

	"bittersum/internal/intake"

	"github.com/spf13/cobra"
)

func newProfilesFrom() *cobra.Command {
	var dir string
	var said sayings
	cmd := &cobra.Command{
		Use:   "from TABLE",
		Short: "Turn a spreadsheet of ingredients of your own into profiles",
		Long: `Turn a spreadsheet (.csv or .xlsx) of ingredients of your own, a row each, into
profiles, written to standard output. Columns are the keys of a profile (bittersum
help profile-file), such as name, title, kind, plants, basis, source, price_per_kg,
soluble_share and specific_volume_ml_per_g; contents.ATTRIBUTE.per_g, .sd and
.recovery, or ATTRIBUTE alone; absent, a list of attributes and families; and solutes
such as citric_mmol_per_g. A content may have a unit beside it, such as 1.2 % or 850
mg/kg. A cell that is empty stays unknown, and unknown is never read as zero.

Headings in other words are asked for and kept beside the file.`,
		Example: "  bittersum profiles from ours.xlsx > profiles/ingredients/ours.toml",
		Args:    exactly("a spreadsheet"),
		RunE: func(cmd *cobra.Command, args []string) error {
			lib, _, err := library(dir)
			if err != nil {
				return err
			}
			table, err := settledWords(cmd, args[0], intake.IngredientKind(lib), lib, said)
			if err != nil {
				return err
			}
			text, _, err := intake.Ingredients(table, lib)
			if err != nil {
				return err
			}
			fmt.Fprint(cmd.OutOrStdout(), text)
			return nil
		},
	}
	cmd.Flags().StringVar(&dir, "profiles", "", "a `folder` of your own profiles over the library")
	said.flags(cmd)
	return cmd
}
