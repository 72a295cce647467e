package cli

import (
	"bufio"
	"bytes"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/intake"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/internal/sheet"
	"bittersum/internal/tomlfile"
	"bittersum/internal/words"
	"bittersum/internal/works"

	"github.com/spf13/cobra"
)

// fromRecipe is what init is told to make a brief of a recipe.
type fromRecipe struct {
	recipe, prices string
	throw          string
	own            []string
	spirit         bool
	said           sayings
	wish           intake.Wishes
}

func (o *fromRecipe) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&o.recipe, "recipe", "", "make the brief of this recipe, a `file` .csv, .xlsx or .toml")
	f.StringSliceVar(&o.wish.Markets, "markets", nil, "where the drink of the recipe is sold, such as `eu,uk`")
	f.StringVar(&o.wish.Name, "drink", "", "what the drink is `called`; the recipe's name when left out")
	f.StringVar(&o.wish.Currency, "money", profile.Currency, "the `code` of the currency that the brief reckons in")
	f.StringVar(&o.prices, "prices", "", "a price list, a `file` that is copied into the folder with its words")
	f.BoolVar(&o.wish.Carbonated, "carbonated", false, "the drink is sold with dissolved carbon dioxide")
	f.BoolVar(&o.spirit, "spirit-drink", false, "whether a strong drink is a spirit drink")
	f.Float64Var(&o.wish.BatchL, "batch-l", 0, "how many `litres` a batch makes")
	f.Float64Var(&o.wish.BottleML, "bottle-ml", 0, "how many `mL` a bottle holds")
	f.StringVar(&o.throw, "throw", "", "the recipe is a syrup, to which so many `parts` of soda are added, as in 1+5")
	f.StringArrayVar(&o.own, "own", nil, "an ingredient that is not in the library, as `WORD=NAME:KIND`; may stand several times")
	o.said.flags(cmd)
}

// run makes a folder of a recipe.
func (o *fromRecipe) run(cmd *cobra.Command, dir string) error {
	o.wish.Dir = dir
	if err := o.check(cmd); err != nil {
		return err
	}
	for _, name := range []string{"brief.toml", "recipe.toml"} {
		if _, err := os.Lstat(filepath.Join(dir, name)); err == nil {
			return exitError{code: codeInput, err: fmt.Errorf("%s is there already; nothing was written", filepath.Join(dir, name))}
		}
	}
	lib, err := profile.Embedded()
	if err != nil {
		return err
	}
	if is, err := os.Stat(filepath.Join(dir, "profiles")); err == nil && is.IsDir() {
		if lib, err = lib.Overlay(filepath.Join(dir, "profiles")); err != nil {
			return err
		}
	}
	for _, name := range o.wish.Markets {
		if lib.Markets[name] == nil {
			return usage("--markets: there is no market %q%s; there are %s", name, suggestion(name, lib.MarketNames()), strings.Join(lib.MarketNames(), ", "))
		}
	}
	if o.prices != "" {
		if _, err := brief.OpenPrices(o.prices, brief.Money{Currency: o.wish.Currency}, lib); err != nil {
			return err
		}
	}
	recipe, kinds, err := o.read(cmd, lib)
	if err != nil {
		return err
	}
	if own := missingOf(recipe, lib); len(own) > 0 {
		return o.profiles(cmd, recipe, lib, own, kinds)
	}
	made, err := intake.Make(recipe, lib, o.wish)
	if err != nil {
		return err
	}
	return o.write(cmd, made)
}

func (o *fromRecipe) check(cmd *cobra.Command) error {
	switch {
	case len(o.wish.Markets) == 0:
		return usage("init --recipe needs --markets, where the drink is sold: their caps hold")
	case !words.IsCode(o.wish.Currency):
		return usage("--money: %q is no code of a currency such as EUR", o.wish.Currency)
	case o.wish.BatchL < 0 || o.wish.BottleML < 0:
		return usage("--batch-l and --bottle-ml are amounts")
	}
	if o.throw != "" {
		var err error
		if o.wish.Throw, err = works.ParseThrow(o.throw); err != nil {
			return err
		}
	}
	if cmd.Flags().Changed("spirit-drink") {
		o.wish.Spirit = &o.spirit
	}
	if o.prices != "" {
		if !sheet.IsTable(o.prices) {
			return usage("--prices: %q is neither .csv nor .xlsx", o.prices)
		}
		o.wish.Prices = filepath.Base(o.prices)
		var err error
		if o.wish.PricesFrom, err = filepath.Abs(o.prices); err != nil {
			return err
		}
	}
	return nil
}

// read reads the recipe, asks what its words mean and keeps the answers beside it. kinds are those of ingredients of
// one's own, by name.
func (o *fromRecipe) read(cmd *cobra.Command, lib *profile.Library) (*intake.Recipe, map[string]string, error) {
	w, err := words.Open(o.recipe)
	if err != nil {
		return nil, nil, err
	}
	before := w.Text(filepath.Base(o.recipe))
	if err := o.said.tell(w, intake.Kind, lib); err != nil {
		return nil, nil, err
	}
	a := &asker{cmd: cmd, in: bufio.NewReader(cmd.InOrStdin()), file: o.recipe, kind: intake.Kind, lib: lib, words: w, kinds: map[string]string{}}
	for _, text := range o.own {
		word, own, ok := cutLast(text)
		name, kind, both := strings.Cut(own, ":")
		if !ok || !both {
			return nil, nil, usage("--own %q: give it as WORD=NAME:KIND, such as \"Rhubarb juice=rhubarb-juice:juice\"", text)
		}
		if wrong := a.own(word, name, kind); wrong != "" {
			return nil, nil, usage("--own %q: %s", text, wrong)
		}
	}
	var recipe *intake.Recipe
	if sheet.IsTable(o.recipe) {
		book, err := sheet.Open(o.recipe)
		if err != nil {
			return nil, nil, err
		}
		t, err := a.settle(book)
		if err != nil {
			return nil, nil, err
		}
		recipe, err = intake.FromTable(t, works.Called(lib))
		if err != nil {
			return nil, nil, err
		}
	} else {
		if recipe, err = intake.FromTOML(o.recipe, w, works.Called(lib)); err != nil {
			return nil, nil, err
		}
		if err := a.strangers(recipe); err != nil {
			return nil, nil, err
		}
		if recipe, err = intake.FromTOML(o.recipe, w, works.Called(lib)); err != nil {
			return nil, nil, err
		}
	}
	return recipe, a.kinds, works.KeepWords(o.recipe, w, before)
}

// missingOf lists what of a recipe is not in the library, with the maker's words.
func missingOf(r *intake.Recipe, lib *profile.Library) map[string]string {
	own := map[string]string{}
	for _, l := range r.Lines {
		if lib.Ingredients[l.Ingredient] == nil && lib.Preparations[l.Ingredient] == nil {
			own[l.Ingredient] = l.Word
		}
	}
	return own
}

// profiles writes a profile to fill in for each ingredient that is not in the library.
func (o *fromRecipe) profiles(cmd *cobra.Command, r *intake.Recipe, lib *profile.Library, own, kinds map[string]string) error {
	var made []report.OwnIngredient
	for _, name := range slices.Sorted(maps.Keys(own)) {
		kind := kinds[name]
		if kind == "" {
			return tomlfile.Faults{{File: o.recipe, What: fmt.Sprintf("%q is said to be %q, of which there is no profile", own[name], name), Hint: fmt.Sprintf("say what kind of thing it is: --own %q", own[name]+"="+name+":KIND")}}
		}
		file := filepath.Join(o.wish.Dir, "profiles", "ingredients", name+".toml")
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			return err
		}
		if _, err := os.Lstat(file); err == nil {
			return tomlfile.Faults{{File: file, What: fmt.Sprintf("is there already and defines no %q", name)}}
		}
		var b bytes.Buffer
		report.Template(&b, lib, name, kind)
		if err := works.WriteFile(file, b.Bytes()); err != nil {
			return err
		}
		brought, capped := intake.Unknown(r, lib, o.wish.Markets)
		made = append(made, report.OwnIngredient{Word: own[name], Name: name, File: file, Brought: brought, Capped: capped})
	}
	report.OwnIngredients(cmd.OutOrStdout(), made)
	return nil
}

// write writes the folder.
func (o *fromRecipe) write(cmd *cobra.Command, made *intake.Made) error {
	files := map[string][]byte{"brief.toml": []byte(made.Brief), "recipe.toml": []byte(made.Recipe)}
	if o.prices != "" {
		for _, name := range []string{o.prices, words.Beside(o.prices)} {
			data, err := os.ReadFile(name)
			if os.IsNotExist(err) && name != o.prices {
				continue
			}
			if err != nil {
				return tomlfile.Faults{{File: name, What: "cannot be read"}}
			}
			files[filepath.Base(name)] = data
		}
	}
	if err := os.MkdirAll(o.wish.Dir, 0o755); err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		target := filepath.Join(o.wish.Dir, name)
		if same(target, o.prices) {
			continue
		}
		if _, err := os.Lstat(target); err == nil {
			return exitError{code: codeInput, err: fmt.Errorf("%s is there already; nothing more was written", target)}
		}
		if err := works.WriteFile(target, files[name]); err != nil {
			return err
		}
	}
	out := cmd.OutOrStdout()
	fmt.Fprintf(out, "Wrote in %s:\n  brief.toml   what the drink must be: what the recipe has\n  recipe.toml  the recipe in grams per litre\n\n", o.wish.Dir)
	report.Intake(out, made)
	fmt.Fprintf(out, "Next: bittersum blend %s\n", words.QuotedPath(filepath.Join(o.wish.Dir, "brief.toml")))
	if !made.Assessment.KeepsCaps() {
		return exitError{code: codeUnmet}
	}
	return nil
}

// same reports whether two paths are one file.
func same(a, b string) bool {
	one, err1 := os.Stat(a)
	other, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && os.SameFile(one, other)
}
