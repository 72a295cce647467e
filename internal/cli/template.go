package cli

import (
	"fmt"
	"regexp"
	"strings"

	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/tomlfile"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

// ingredientName is the form of an ingredient's name.
var ingredientName = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

func newProfilesNew() *cobra.Command {
	var kind string
	cmd := &cobra.Command{
		Use:   "new NAME --kind KIND",
		Short: "Write the table of a new ingredient, to fill in",
		Long: `Write the table of a new ingredient of your own to standard output, each key with
what it means. Put it into a file in profiles/ingredients beside your brief and
fill it in; what is left out stays unknown, and a brief that needs it says so.

KIND is one of ` + kindList() + `.`,
		Example: "  bittersum profiles new agave-syrup --kind syrup >> profiles/ingredients/own.toml",
		Args:    exactly("a name"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if !ingredientName.MatchString(args[0]) {
				return usage("%q is no name: use small letters, digits and single hyphens", args[0])
			}
			if kind == "" {
				return usage("profiles new needs --kind, one of %s", strings.Join(profile.Kinds, ", "))
			}
			known := false
			for _, k := range profile.Kinds {
				known = known || k == kind
			}
			if !known {
				return usage("there is no kind %q %s", kind, works.Hinted(hintOf(kind)))
			}
			lib, err := profile.Embedded()
			if err != nil {
				return err
			}
			report.Template(cmd.OutOrStdout(), lib, args[0], kind)
			return nil
		},
	}
	cmd.Flags().StringVar(&kind, "kind", "", "what kind of `thing` it is")
	_ = cmd.RegisterFlagCompletionFunc("kind", func(_ *cobra.Command, _ []string, typed string) ([]string, cobra.ShellCompDirective) {
		return starting(profile.Kinds, typed), cobra.ShellCompDirectiveNoFileComp
	})
	return cmd
}

func hintOf(kind string) string {
	if hint := tomlfile.DidYouMean(kind, profile.Kinds); hint != "" {
		return hint
	}
	return "known are " + strings.Join(profile.Kinds, ", ")
}

// kindList breaks the list of kinds for a help page.
func kindList() string {
	const half = 12
	return fmt.Sprintf("%s,\n%s", strings.Join(profile.Kinds[:half], ", "), strings.Join(profile.Kinds[half:], ", "))
}
