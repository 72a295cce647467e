package intake

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
	"bittersum/internal/words"
)

// texts, lists and figures are the columns of a table of ingredients that are keys of a profile, by what they hold.
var (
	texts   = []string{"name", "title", "kind", "category", "e_number", "label_name", "basis", "source", "price_basis", "physical_basis", "physical_source"}
	lists   = []string{"plants", "other_plants", "allergens", "cautions"}
	figures = []string{"soluble_share", "specific_volume_ml_per_g", "hold_up_l_per_g", "trimming_loss", "labour_per_kg", "moisture_share", "customary_max_g_per_l"}
)

// contentParts are the last words of columns such as contents.bitterness.recovery.
var contentParts = []string{"per_g", "sd", "recovery", "cap_recovery", "basis", "source"}

// IngredientKind are the columns of a table of ingredients of one's own, a row each: keys of a profile,
// contents.ATTRIBUTE.per_g and the like or ATTRIBUTE alone, absent, and solutes such as citric_mmol_per_g.
func IngredientKind(lib *profile.Library) words.Kind {
	also := map[string][]string{
		"name": {"key"}, "title": words.IngredientColumn.Also, "kind": {"type", "art", "typ", "genre", "tipo"}, "plants": {"plant", "botanical name", "pflanze", "plante", "pianta", "planta"},
		"source": {"quelle", "fonte", "fuente"}, "basis": {"grundlage", "origin of figures"}, "label_name": {"label", "etikett"}, "allergens": {"allergene", "allergènes", "allergeni", "alérgenos"},
	}
	k := words.Kind{Name: "ingredients", Needed: [][]string{{"name"}, {"title"}}, Strict: true, Hints: lib.AttributeNames()}
	for _, name := range slices.Concat(texts, lists, figures, []string{"pure", "absent", "price_per_kg", "currency"}) {
		k.Columns = append(k.Columns, words.Column{Name: name, Also: also[name]})
	}
	k.Further = func(heading string) bool {
		if species, ok := strings.CutSuffix(heading, "_mmol_per_g"); ok {
			return slices.Contains(profile.Species, species)
		}
		if lib.Attributes[heading] != nil {
			return true
		}
		parts := strings.Split(heading, ".")
		return len(parts) == 3 && parts[0] == "contents" && lib.Attributes[parts[1]] != nil && slices.Contains(contentParts, parts[2])
	}
	return k
}

// ingredient writes one row as a profile.
type ingredient struct {
	row  words.Row
	t    *words.Table
	lib  *profile.Library
	b    strings.Builder
	name string
}

// Ingredients turns a table of ingredients into profiles in TOML, each checked as it will be when it is read. plants are
// those that are known. The error is a tomlfile.Faults with the cells of the table.
func Ingredients(t *words.Table, lib *profile.Library) (string, int, error) {
	var all strings.Builder
	fmt.Fprintf(&all, "# Ingredients of your own, as %s has them. bittersum help profile-file explains each key.\n", t.File)
	seen := map[string]int{}
	plants := lib.PlantNames()
	for _, row := range t.Rows() {
		faults := len(t.Faults)
		g := ingredient{row: row, t: t, lib: lib}
		g.write()
		if first := seen[g.name]; first > 0 {
			row.Fault(g.named(), fmt.Sprintf("%q stands twice, first on line %d", g.name, first), "")
		}
		seen[g.name] = row.Line
		if len(t.Faults) == faults { // else what is wrong is said already
			g.check(plants)
		}
		all.WriteString("\n" + g.b.String())
	}
	return all.String(), len(seen), t.Faults.Err()
}

// named is the column that names the ingredient.
func (g *ingredient) named() string {
	if g.row.Text("name") != "" {
		return "name"
	}
	return "title"
}

func (g *ingredient) put(key, value string) { fmt.Fprintf(&g.b, "%s = %s\n", key, value) }

func (g *ingredient) write() {
	g.b.WriteString("[[ingredient]]\n")
	if g.name = g.row.Text("name"); g.name == "" {
		g.name = strings.ReplaceAll(words.Folded(g.row.Text("title")), " ", "-")
		g.put("name", tomlfile.Quote(g.name))
	}
	for _, key := range texts {
		if text := g.row.Text(key); text != "" {
			g.put(key, tomlfile.Quote(text))
		}
	}
	switch text := strings.ToLower(g.row.Text("pure")); text {
	case "":
	case "true", "yes", "1":
		g.put("pure", "true")
	case "false", "no", "0":
	default:
		g.row.Fault("pure", fmt.Sprintf("%q is neither yes nor no", text), "")
	}
	for _, key := range lists {
		if list := g.list(key); len(list) > 0 {
			g.put(key, quotedList(list))
		}
	}
	g.price()
	for _, key := range figures {
		if x, ok := g.figure(key); ok {
			g.put(key, x)
		}
	}
	g.contents()
	g.absent()
	g.solutes()
}

// list parts a cell at its semicolons, or where it has none at its commas.
func (g *ingredient) list(column string) []string {
	text, sep := g.row.Text(column), ","
	if strings.Contains(text, ";") {
		sep = ";"
	}
	var out []string
	for part := range strings.SplitSeq(text, sep) {
		if part = strings.TrimSpace(part); part != "" {
			out = append(out, part)
		}
	}
	return out
}

func quotedList(list []string) string {
	var out []string
	for _, text := range list {
		out = append(out, tomlfile.Quote(text))
	}
	return "[" + strings.Join(out, ", ") + "]"
}

// figure reads a number; a percentage is a share.
func (g *ingredient) figure(column string) (text string, ok bool) {
	x, unit, ok := g.row.Quantity(column, tomlfile.Any)
	switch {
	case !ok:
		return "", false
	case unit == "%" && strings.HasSuffix(column, "_share") || unit == "%" && column == "trimming_loss":
		x /= 100
	case unit != "":
		g.row.Fault(column, fmt.Sprintf("says %q; the column's name says its unit", unit), "")
		return "", false
	}
	return plain(x), true
}

// price writes what a kilogram costs, in the library's money.
func (g *ingredient) price() {
	x, currency, ok := g.row.Money("price_per_kg", profile.Currency)
	if !ok {
		return
	}
	if currency != "" && currency != profile.Currency {
		g.row.Fault("price_per_kg", fmt.Sprintf("is in %s; profiles reckon in %s", currency, profile.Currency), "leave it out and give it in a price list, which may be in any currency")
		return
	}
	g.put("price_per_kg", plain(x))
	if g.row.Text("price_basis") == "" {
		g.put("price_basis", tomlfile.Quote(string(profile.Measured)))
	}
}

// contents writes what a gram holds.
func (g *ingredient) contents() {
	cells := map[string]map[string]string{}
	var order []string
	for _, column := range g.t.Known() {
		attribute, part := column, "per_g"
		if parts := strings.Split(column, "."); len(parts) == 3 {
			attribute, part = parts[1], parts[2]
		}
		a := g.lib.Attributes[attribute]
		if a == nil || slices.Contains(texts, column) || g.row.Text(column) == "" {
			continue
		}
		if cells[attribute] == nil {
			cells[attribute] = map[string]string{}
			order = append(order, attribute)
		}
		if _, twice := cells[attribute][part]; twice {
			g.row.Fault(column, fmt.Sprintf("gives %s of %s a second time", part, attribute), "")
		}
		if part == "basis" || part == "source" {
			cells[attribute][part] = tomlfile.Quote(g.row.Text(column))
			continue
		}
		if x, ok := g.content(column, part, a); ok {
			cells[attribute][part] = x
		}
	}
	if len(order) == 0 {
		return
	}
	g.b.WriteString("\n[ingredient.contents]\n")
	for _, attribute := range order {
		var parts []string
		for _, part := range contentParts {
			if text, ok := cells[attribute][part]; ok {
				parts = append(parts, part+" = "+text)
			}
		}
		g.put(attribute, "{ "+strings.Join(parts, ", ")+" }")
	}
}

// perGram are grams of a substance in a gram, by how certificates state it.
var perGram = map[string]float64{"%": 1e-2, "g/100 g": 1e-2, "g/kg": 1e-3, "mg/g": 1e-3, "mg/100 g": 1e-5, "mg/kg": 1e-6, "ppm": 1e-6, "ug/g": 1e-6, "µg/g": 1e-6, "ug/kg": 1e-9, "µg/kg": 1e-9, "g/g": 1}

// content reads a figure of an attribute: in its own unit per gram, or with a unit of mass that is turned into it.
func (g *ingredient) content(column, part string, a *profile.Attribute) (text string, ok bool) {
	x, unit, ok := g.row.Quantity(column, tomlfile.NonNegative)
	if !ok {
		return "", false
	}
	grams := map[string]float64{"g": 1, "mg": 1e-3, "ug": 1e-6}[a.Unit]
	switch {
	case unit == "":
	case part != "per_g" && part != "sd":
		if unit != "%" {
			g.row.Fault(column, fmt.Sprintf("says %q; it is a share", unit), "")
			return "", false
		}
		x /= 100
	case grams == 0:
		g.row.Fault(column, fmt.Sprintf("says %q; %s counts in %s per gram", unit, a.Name, a.Unit), "")
		return "", false
	default:
		share, known := perGram[unit]
		if !known {
			names := []string{"%", "g/100 g", "g/kg", "mg/g", "mg/100 g", "mg/kg", "ug/g", "ug/kg"}
			g.row.Fault(column, fmt.Sprintf("there is no unit %q of a content; allowed are %s", unit, strings.Join(names, ", ")), tomlfile.DidYouMean(unit, names))
			return "", false
		}
		x = x * share / grams
	}
	return strconv.FormatFloat(x, 'g', 12, 64), true
}

// absent writes what the ingredient is said to carry none of, by attribute or by family.
func (g *ingredient) absent() {
	var attributes, families []string
	for _, name := range g.list("absent") {
		if g.lib.Attributes[name] != nil {
			attributes = append(attributes, name)
			continue
		}
		families = append(families, name)
	}
	if len(attributes)+len(families) == 0 {
		return
	}
	g.b.WriteString("\n[ingredient.absent]\n")
	if len(attributes) > 0 {
		g.put("attributes", quotedList(attributes))
	}
	if len(families) > 0 {
		g.put("families", quotedList(families))
	}
	g.known()
}

// known says where a table's figures come from, as the row does.
func (g *ingredient) known() {
	for _, key := range []string{"basis", "source"} {
		if text := g.row.Text(key); text != "" {
			g.put(key, tomlfile.Quote(text))
		}
	}
}

// solutes writes acids and ions.
func (g *ingredient) solutes() {
	headed := false
	for _, column := range g.t.Known() {
		if !strings.HasSuffix(column, "_mmol_per_g") {
			continue
		}
		x, ok := g.figure(column)
		if !ok {
			continue
		}
		if !headed {
			g.b.WriteString("\n[ingredient.solutes]\n")
			headed = true
		}
		g.put(column, x)
	}
	if headed {
		g.known()
	}
}

// inTable takes from a key of the profile what is no column of the table.
var inTable = regexp.MustCompile(`^ingredient(\[1\])?\.?|\[[0-9]+\]$|^absent\..*$|^solutes\.`)

// check reads the profile as it will be read, and notes what is wrong at the cells it comes from.
func (g *ingredient) check(plants []string) {
	doc, err := tomlfile.Parse(g.t.File, []byte(g.b.String()))
	if err != nil {
		g.row.Fault("", err.Error(), "")
		return
	}
	for _, table := range doc.Root().Tables("ingredient") {
		one := profile.ReadIngredient(table, g.lib.Attributes)
		profile.CheckPlants(table, one, plants)
	}
	for _, f := range doc.Faults() {
		g.row.Fault(g.column(f.Key), f.What, f.Hint)
	}
}

// column finds the column that a key of the profile was written from.
func (g *ingredient) column(key string) string {
	if strings.Contains(key, "absent") {
		return "absent"
	}
	key = inTable.ReplaceAllString(inTable.ReplaceAllString(key, ""), "")
	if rest, ok := strings.CutPrefix(key, "contents."); ok && !g.t.Has(key) {
		attribute, _, _ := strings.Cut(rest, ".")
		for _, column := range []string{attribute, "contents." + attribute + ".per_g"} {
			if g.t.Has(column) {
				return column
			}
		}
	}
	if key == "name" && !g.t.Has("name") {
		return "title"
	}
	return key
}
