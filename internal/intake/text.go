package intake

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/tomlfile"
)

func briefPath(dir string) string { return filepath.Join(dir, "brief.toml") }

// head writes the top of the brief, with where its price list stands.
func (m *maker) head(b *strings.Builder, prices string) {
	fmt.Fprintf(b, "name = %s\nmarkets = %s\ncurrency = %s\n", tomlfile.Quote(m.name()), quotedList(m.wish.Markets), tomlfile.Quote(m.wish.Currency))
	if m.wish.Carbonated {
		b.WriteString("carbonated = true\n")
	}
	if m.wish.Throw > 0 {
		fmt.Fprintf(b, "throw = %s\n", tomlfile.Quote("1+"+plain(m.wish.Throw)))
	}
	if m.alcohol > 0 {
		fmt.Fprintf(b, "alcohol_percent = %s\n", plain(m.alcohol))
	}
	if m.wish.Spirit != nil {
		fmt.Fprintf(b, "spirit_drink = %v\n", *m.wish.Spirit)
	}
	for _, size := range []struct {
		key   string
		value float64
	}{{"bottle_ml", m.wish.BottleML}, {"batch_l", m.wish.BatchL}} {
		if size.value > 0 {
			fmt.Fprintf(b, "%s = %s\n", size.key, plain(size.value))
		}
	}
	if prices != "" {
		fmt.Fprintf(b, "prices = %s\n", tomlfile.Quote(prices))
	}
	if exists(filepath.Join(m.wish.Dir, "profiles")) {
		b.WriteString("profiles = \"profiles\"\n")
	}
	fmt.Fprintf(b, "use = %s\n", quotedList(m.names))
}

func plain(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// write writes the brief and the recipe.
func (m *maker) write() {
	var b strings.Builder
	fmt.Fprintf(&b, "# Made of %s. Each target lies one just noticeable difference either way of what that recipe has.\n", filepath.Base(m.recipe.File))
	b.WriteString("# What else may be used stands under use; bittersum profiles list shows what there is.\n")
	m.head(&b, m.wish.Prices)
	m.top = b.Len()
	b.WriteString("# The recipe as it is made today, beside which blend sets its answer.\ntoday = \"recipe.toml\"\n")
	for _, t := range m.Targets {
		fmt.Fprintf(&b, "\n# %s: the recipe has %s %s/%s.\n[targets.%s]\n", t.Title, significant(t.Value), t.Unit, t.Per, t.Name)
		if !math.IsInf(t.Min, -1) {
			fmt.Fprintf(&b, "min = %s\n", plain(t.Min))
		}
		fmt.Fprintf(&b, "max = %s\n", plain(t.Max))
	}
	for _, h := range m.Held {
		key := "fixed_g_per_l"
		switch {
		case h.AtLeast:
			key = "min_g_per_l"
		case h.AtMost:
			key = "max_g_per_l"
		}
		fmt.Fprintf(&b, "\n# As in the recipe: %s.\n[limits.%s]\n%s = %s\n", h.Why, h.Ingredient, key, plain(h.Grams))
	}
	m.Accepts = m.unknown()
	for _, a := range m.Accepts {
		fmt.Fprintf(&b, "\n# No figure is known, and a market caps it: take the # away and say why to take it upon yourself.\n# [[accept]]\n# ingredient = %q\n# substance = %q\n# reason = \"____\"\n", a.Ingredient, a.Substance)
	}
	m.Brief = b.String()
	b.Reset()
	made := "finished drink"
	if m.wish.Throw > 0 {
		made = "the syrup, before soda is added"
	}
	fmt.Fprintf(&b, "# %s, as %s has it, in grams per litre of %s.\nname = %s\n\n[grams_per_litre]\n", m.name(), filepath.Base(m.recipe.File), made, tomlfile.Quote(m.name()))
	for _, p := range m.Assessment.Recipe.Parts {
		fmt.Fprintf(&b, "%s = %s\n", tomlfile.Quote(p.Source.Name), plain(p.Amount))
	}
	m.Made.Recipe = b.String()
}

// taken is the text that accepts unknown contents for the time being.
func taken(accepts []brief.Accept) string {
	var b strings.Builder
	for _, a := range accepts {
		fmt.Fprintf(&b, "[[accept]]\ningredient = %q\nsubstance = %q\nreason = \"not yet\"\n", a.Ingredient, a.Substance)
	}
	return b.String()
}

// significant gives three digits.
func significant(x float64) string { return strconv.FormatFloat(x, 'g', 3, 64) }

// check reads the brief back and judges the recipe by it: it must be met, but for caps, which the recipe may break.
func (m *maker) check() error {
	var now strings.Builder // with the price list where it is now
	m.head(&now, m.wish.PricesFrom)
	job, err := m.open(now.String() + m.Brief[m.top:] + "\n" + taken(m.Accepts))
	if err != nil {
		return err
	}
	m.job = job
	recipe := &brief.Recipe{Name: m.name()}
	for _, p := range m.Assessment.Recipe.Parts {
		recipe.Parts = append(recipe.Parts, brief.Part{Source: job.Source(p.Source.Name), Amount: p.Amount})
	}
	a, err := assess.Assess(job, recipe)
	if err != nil {
		return err
	}
	if misses := a.Misses(); len(misses) > 0 && a.KeepsCaps() {
		return fmt.Errorf("intake: the recipe misses the brief made of it: %s", strings.Join(misses, "; "))
	}
	m.Assessment = a
	slices.SortFunc(m.Untargeted, func(a, b assess.Attribute) int { return strings.Compare(a.Name, b.Name) })
	return nil
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
