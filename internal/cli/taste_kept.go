package cli

import (
	"fmt"
	"path/filepath"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/fit"
	"bittersum/internal/report"
	"bittersum/internal/sensory"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

// keptAnswers are the flags that keep the answers of a test in a file beside the recipe.
type keptAnswers struct {
	path, a, b, note, attribute string
	base, changed               float64
	on                          dated
}

func (k *keptAnswers) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&k.path, "keep", "", "add the answers to this `file`, to stand beside the recipe")
	f.StringVar(&k.a, "a", "", "with --keep: what A was")
	f.StringVar(&k.b, "b", "", "with --keep: what B was")
	f.StringVar(&k.note, "note", "", "with --keep: anything worth keeping")
	f.StringVar(&k.attribute, "attribute", "", "with --keep: the one attribute that was changed")
	f.Float64Var(&k.base, "base", 0, "with --attribute: its value in A, in the drink's unit")
	f.Float64Var(&k.changed, "changed", 0, "with --attribute: its value in B")
	k.on.flags(cmd)
}

// write adds the answers to the file, if one is named.
func (k *keptAnswers) write(cmd *cobra.Command, a sensory.Answers) error {
	if k.path == "" {
		for _, flag := range []string{"a", "b", "note", "attribute", "base", "changed", "date"} {
			if cmd.Flags().Changed(flag) {
				return usage("--%s goes with --keep FILE", flag)
			}
		}
		return nil
	}
	day, err := k.on.day()
	if err != nil {
		return err
	}
	a.A, a.B, a.Note, a.On = k.a, k.b, k.note, day.Format("2006-01-02")
	if k.attribute == "" && (cmd.Flags().Changed("base") || cmd.Flags().Changed("changed")) {
		return usage("--attribute NAME, --base and --changed go together, both above zero")
	}
	return works.KeepAnswers(k.path, a, works.Changed{Attribute: k.attribute, Base: k.base, Changed: k.changed})
}

func newTasteNoticed() *cobra.Command {
	var as format
	var on dated
	var kept measuredFile
	var dir string
	cmd := &cobra.Command{
		Use:   "noticed FILE",
		Short: "What your tasters just notice, from the tests that were kept",
		Long: `Read the difference tests that taste score --keep added to a FILE: each with what it
says, and for attributes that were changed alone the just noticeable difference of
your own tasters, from all tests of that attribute together. --into FOLDER puts it in
place of the library's, so that swap counts drift by it.`,
		Example: "  bittersum taste score --test paired --of 24 --right 18 --keep answers.toml --attribute bitterness --base 40 --changed 50\n  bittersum taste noticed answers.toml --into profiles",
		Args:    exactly("a file of kept answers"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := kept.named("noticed.toml", fit.OwnTasted); err != nil {
				return err
			}
			day, err := on.day()
			if err != nil {
				return err
			}
			lib, _, err := library(dir)
			if err != nil {
				return err
			}
			all, err := sensory.OpenAnswers(args[0])
			if err != nil {
				return err
			}
			n, err := fit.OfAnswers(args[0], all, lib)
			if err != nil {
				return err
			}
			data := fit.NoticedOverlay(n.Found, filepath.Base(args[0]), day)
			if err := kept.Write(lib, data); err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			return as.write(
				func() {
					report.WriteNoticed(out, n)
					kept.said(out, data)
				},
				func() error { return report.NoticedJSON(out, n) }, nil)
		},
	}
	as.flags(cmd, false)
	on.flags(cmd)
	kept.flags(cmd)
	cmd.Flags().StringVar(&dir, "profiles", "", "a `folder` of your own profiles over the library")
	return cmd
}

func newTastePanel() *cobra.Command {
	var as format
	var on dated
	var kept measuredFile
	var dir, of, recipe string
	cmd := &cobra.Command{
		Use:   "panel FILE",
		Short: "What a panel's marks on a line say: strengths, tasters, the house's scale",
		Long: `Judge marks on a line. FILE is TOML with the attribute, the line's length, the CSV of
scores (taster,sample,score; a row for each cup), [[reference]] tables of known
strength and [[sample]] tables of what was tasted, such as an ingredient in water at so
many g/L. Every taster marks every sample as often.

The answer says which samples differ (analysis of variance, tasters as drawn from
many), how each taster did, the house's scale (Stevens's power law over the references)
and by it how many points a gram of each ingredient brings. --into FOLDER puts those in
place of the library's. --of BRIEF says how strong its cheapest drink, or --recipe,
would seem on the line.`,
		Example: "  bittersum taste panel citrus.toml --of demo:bitter-orange --into profiles",
		Args:    exactly("a panel's file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if recipe != "" && of == "" {
				return usage("--recipe goes with --of BRIEF")
			}
			if err := kept.named("panel-"+stem(args[0])+".toml", fit.OwnTasted); err != nil {
				return err
			}
			day, err := on.day()
			if err != nil {
				return err
			}
			lib, _, err := library(dir)
			if err != nil {
				return err
			}
			lines, err := sensory.OpenPanel(args[0])
			if err != nil {
				return err
			}
			r, err := lines.Judge()
			if err != nil {
				return fmt.Errorf("%s: %w", args[0], err)
			}
			tasted, err := fit.OfPanel(r, lib)
			if err != nil {
				return fmt.Errorf("%s: %w", args[0], err)
			}
			seems, err := seeming(cmd, r, of, recipe)
			if err != nil {
				return err
			}
			data := fit.PanelOverlay(r, tasted, filepath.Base(args[0]), day)
			if err := kept.Write(lib, data); err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			return as.write(
				func() {
					report.LinePanel(out, lib, r, tasted, seems)
					kept.said(out, data)
				},
				func() error { return report.LinePanelJSON(out, r, tasted, seems) }, nil)
		},
	}
	as.flags(cmd, false)
	on.flags(cmd)
	kept.flags(cmd)
	cmd.Flags().StringVar(&dir, "profiles", "", "a `folder` of your own profiles over the library")
	cmd.Flags().StringVar(&of, "of", "", "a `brief`: how strong its drink would seem")
	cmd.Flags().StringVar(&recipe, "recipe", "", "with --of: a recipe's `file` in the place of the cheapest one")
	return cmd
}

// seeming returns how strong the drink of a brief would seem to a panel; nil when none is named.
func seeming(cmd *cobra.Command, r *sensory.PanelResult, of, recipe string) (*fit.Seeming, error) {
	if of == "" {
		return nil, nil
	}
	if r.Power == nil {
		return nil, usage("--of needs a scale: three references or more of different strengths")
	}
	job, err := openJob(of)
	if err != nil {
		return nil, err
	}
	if job.Kind != brief.Drink {
		return nil, usage("--of %s: a blend is not tasted", of)
	}
	var files []string
	if recipe != "" {
		files = []string{recipe}
	}
	a, conflict, err := recipeOrCheapest(cmd, job, files)
	if err != nil {
		return nil, err
	}
	if conflict != nil {
		return nil, usage("--of %s: the brief cannot be met; see bittersum blend", of)
	}
	return fit.SeemsOf(r, a)
}

// stem is a file's name without its folder and ending.
func stem(path string) string {
	name := filepath.Base(path)
	return strings.TrimSuffix(name, filepath.Ext(name))
}
