package cli

import (
	"fmt"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/tomlfile"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

func newProfiles() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "profiles",
		Short: "List, show and check ingredients, attributes and markets",
		RunE:  func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usage("profiles has no command %q; it has list, show, sources, new and check", args[0])
			}
			return nil
		},
	}
	cmd.AddCommand(newProfilesList(), newProfilesShow(), newProfilesSources(), newProfilesNew(), newProfilesFrom(), newProfilesCheck())
	return cmd
}

// library reads the embedded library with the maker's folder over it, if one is named, and works out the
// preparations in it, which it returns beside it by name.
func library(dir string) (*profile.Library, map[string]*brief.Source, error) {
	lib, err := profile.Embedded()
	if err == nil && dir != "" {
		lib, err = lib.Overlay(dir)
	}
	if err != nil {
		return nil, nil, err
	}
	return brief.Prepare(lib)
}

var listed = []string{"ingredients", "attributes", "plants", "markets", "demos"}

func newProfilesList() *cobra.Command {
	var as format
	var dir, carries string
	cmd := &cobra.Command{
		Use:       "list [ingredients|attributes|plants|markets|demos]",
		Short:     "List what is known",
		Example:   "  bittersum profiles list ingredients --carries bitterness",
		ValidArgs: listed,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usage("profiles list needs one of ingredients, attributes, plants, markets, demos")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			lib, _, err := library(dir)
			if err != nil {
				return err
			}
			what := "ingredients"
			if len(args) == 1 {
				what = args[0]
			}
			out := cmd.OutOrStdout()
			switch what {
			case "ingredients":
				if carries != "" && lib.Attributes[carries] == nil {
					return usage("there is no attribute %q %s", carries, works.Hinted(tomlfile.DidYouMean(carries, lib.AttributeNames())))
				}
				return report.Ingredients(out, lib, carries, as.json)
			case "attributes":
				return report.Attributes(out, lib, as.json)
			case "plants":
				return report.Plants(out, lib, as.json)
			case "markets":
				return report.Markets(out, lib, as.json)
			case "demos":
				return report.Demos(out, demoNames(), as.json)
			}
			return usage("there is no list of %q %s", what, works.Hinted(tomlfile.DidYouMean(what, listed)))
		},
	}
	as.flags(cmd, false)
	cmd.Flags().StringVar(&dir, "profiles", "", "read this `folder` of profiles over the embedded ones")
	cmd.Flags().StringVar(&carries, "carries", "", "only ingredients that carry this `attribute`, richest first")
	_ = cmd.RegisterFlagCompletionFunc("carries", func(_ *cobra.Command, _ []string, typed string) ([]string, cobra.ShellCompDirective) {
		lib, err := profile.Embedded()
		if err != nil {
			return nil, cobra.ShellCompDirectiveError
		}
		return starting(lib.AttributeNames(), typed), cobra.ShellCompDirectiveNoFileComp
	})
	return cmd
}

func newProfilesShow() *cobra.Command {
	var as format
	var dir string
	cmd := &cobra.Command{
		Use:   "show NAME",
		Short: "Show one ingredient, attribute or market with the source of each figure",
		Args:  exactly("a name"),
		ValidArgsFunction: func(_ *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
			lib, err := profile.Embedded()
			if err != nil || len(args) > 0 {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			return starting(lib.EveryName(), typed), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			lib, made, err := library(dir)
			if err != nil {
				return err
			}
			name, out := args[0], cmd.OutOrStdout()
			if found, err := report.Known(out, lib, made, name, as.json); found {
				return err
			}
			return exitError{code: codeInput, err: fmt.Errorf("there is no ingredient, attribute or market %q %s", name, works.Hinted(tomlfile.DidYouMean(name, lib.EveryName())))}
		},
	}
	as.flags(cmd, false)
	cmd.Flags().StringVar(&dir, "profiles", "", "read this `folder` of profiles over the embedded ones")
	return cmd
}

// starting returns the names that start with what was typed.
func starting(names []string, typed string) []string {
	var out []string
	for _, name := range names {
		if strings.HasPrefix(name, typed) {
			out = append(out, name)
		}
	}
	return out
}

func newProfilesCheck() *cobra.Command {
	return &cobra.Command{
		Use:   "check [DIR]",
		Short: "Check a folder of profiles, and say what is unknown",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usage("profiles check needs at most one folder")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			dir := ""
			if len(args) == 1 {
				dir = args[0]
			}
			lib, _, err := library(dir)
			if err != nil {
				return err
			}
			report.Coverage(cmd.OutOrStdout(), lib)
			return nil
		},
	}
}
