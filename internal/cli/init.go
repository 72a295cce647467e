package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"bittersum/profiles"

	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newInit() *cobra.Command {
	return &cobra.Command{
		Use:     "init DIR",
		Short:   "Make a folder with a brief, lots, a price list and profiles to edit",
		Long:    "Make a folder with a brief, lots, a price list and a profile of your own to edit.\nFiles that exist are never overwritten.",
		Example: "  bittersum init my-tonic\n  bittersum blend my-tonic/brief.toml",
		Args:    exactly("a folder"),
		RunE: func(cmd *cobra.Command, args []string) error {
			dir := args[0]
			const from = "start"
			files := []string{"brief.toml", "lots.toml", "prices.csv", "profiles/ingredients/own.toml"}
			for _, name := range files {
				if _, err := os.Lstat(filepath.Join(dir, name)); err == nil {
					return exitError{code: codeInput, err: fmt.Errorf("%s is there already; nothing was written", filepath.Join(dir, name))}
				}
			}
			for _, name := range files {
				data, err := profiles.FS.ReadFile(from + "/" + name)
				if err != nil {
					return err
				}
				target := filepath.Join(dir, filepath.FromSlash(name))
				if err := os.MkdirAll(filepath.Dir(target), 0o755); err != nil {
					return err
				}
				if err := works.WriteFile(target, data); err != nil {
					return err
				}
			}
			out := cmd.OutOrStdout()
			fmt.Fprintf(out, "Wrote in %s:\n", dir)
			fmt.Fprintf(out, "  brief.toml                     what the drink must be, and what may be used\n")
			fmt.Fprintf(out, "  lots.toml                      what is on the shelf, with certificate values\n")
			fmt.Fprintf(out, "  prices.csv                     your suppliers' prices\n")
			fmt.Fprintf(out, "  profiles/ingredients/own.toml  ingredients of your own\n")
			brief := filepath.Join(dir, "brief.toml")
			if strings.ContainsAny(brief, " '\"") {
				brief = fmt.Sprintf("%q", brief)
			}
			fmt.Fprintf(out, "Next: bittersum blend %s\n", brief)
			return nil
		},
	}
}
