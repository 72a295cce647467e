package label

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
)

// Serving sizes of 21 CFR 101.12(b) and (c), 101.9(b)(6).
const (
	usReferenceML = 360
	mlPerFluidOz  = 29.5735
)

// majorAllergens are those of section 403(w) of the Food, Drug, and Cosmetic Act.
var majorAllergens = []string{"milk", "egg", "fish", "crustacean", "nut", "wheat", "peanut", "soy", "sesame"}

var usStyle = style{
	additive: func(p part) string {
		switch p.Category {
		case "preservative":
			return p.name + " (preservative)"
		case "colour":
			return p.name + " (color)"
		}
		return p.name
	},
	allergen: plainStyle.allergen,
	share:    plainStyle.share,
}

func (d *draft) us() {
	j := d.Job
	d.add("name", j.Name, recalled("21 CFR 101.3"), "the common or usual name, or a fitting description")
	d.add("ingredients", "INGREDIENTS: "+d.list(usStyle)+".", seen("21 CFR 101.4(a)(1)"), "by falling weight as weighed in; those of 2 % or less may follow in any order behind \"contains 2 % or less of\", 101.4(a)(2), text seen")
	for _, p := range d.Recipe.Unfolded() {
		if p.Amount > 0 && p.Source.Ingredient.Category == "preservative" {
			d.tell("ingredients", "a preservative is named with its function", recalled("21 CFR 101.22(j)"), "")
			break
		}
	}
	d.usAllergens()
	d.declarations()
	d.add("net quantity", usQuantity(j.BottleML), recalled("21 CFR 101.7, 16 CFR 500"), "on the lower third of the main panel")
	if j.AlcoholPercent >= 7 || j.SpiritDrink && j.AlcoholPercent >= 0.5 {
		d.tell("nutrition", "no Nutrition Facts: the labels of wine from 7 % and of spirits are another agency's", recalled("27 CFR parts 4, 5, 7 and 16"), "its rules beyond the health warning are not held here: ask before printing")
	} else {
		d.label.Panel = d.usPanel()
		d.tell("nutrition", "Nutrition Facts, see below", seen("21 CFR 101.9(c)"), "a small business may be exempt, 101.9(j)(1) and (18), text seen")
	}
	if d.options.Lot != "" {
		d.lot(Rule{"practice", profile.Seen})
	}
	d.add("to fill in", "Name and place of business of the maker, packer or distributor: __", recalled("21 CFR 101.5"), "")
	d.reminder()
}

func (d *draft) usAllergens() {
	var major, others []string
	for _, name := range d.allergens() {
		if containsAny(name, majorAllergens) {
			major = append(major, name)
		} else if !strings.Contains(name, "sulphite") {
			others = append(others, name)
		}
	}
	note := ""
	if len(others) > 0 {
		note = strings.Join(others, ", ") + ": no major allergen by this law, but to be named among the ingredients"
	}
	if len(major) > 0 {
		d.add("allergens", "Contains: "+strings.Join(major, ", "), recalled("FD&C Act section 403(w)"), note)
	} else if note != "" {
		d.tell("allergens", "no \"Contains\" statement", recalled("FD&C Act section 403(w)"), note)
	}
}

func containsAny(text string, words []string) bool {
	for _, word := range words {
		if strings.Contains(strings.ToLower(text), word) {
			return true
		}
	}
	return false
}

func usQuantity(ml float64) string {
	if ml == 0 {
		return "__ FL OZ (__ mL)"
	}
	ounces := math.Floor(ml/mlPerFluidOz*10+1e-9) / 10
	return fmt.Sprintf("%s FL OZ (%s mL)", decimal(ounces), decimal(ml))
}

// servingML is the serving as drunk: the whole bottle when it holds less than two reference amounts.
func (d *draft) servingML() (ml float64, text string) {
	bottle := d.Job.BottleML
	switch {
	case d.Job.Throw > 0:
		syrup := usReferenceML / d.Job.Dilution()
		return usReferenceML, fmt.Sprintf("%s mL syrup (makes %d mL)", decimal(nearest(syrup, 1)), usReferenceML)
	case bottle > 0 && bottle < 2*usReferenceML:
		return bottle, fmt.Sprintf("1 bottle (%s mL)", decimal(bottle))
	}
	return usReferenceML, fmt.Sprintf("12 fl oz (%d mL)", usReferenceML)
}

// usServings says how many servings a container holds: to the nearest half between two and five, else to the nearest
// whole (21 CFR 101.9(b)(8)(i)).
func usServings(servings float64) string {
	step := 1.0
	if servings > 2 && servings < 5 {
		step = 0.5
	}
	rounded := nearest(servings, step)
	text := decimal(rounded)
	if math.Abs(rounded-servings) > 1e-9 {
		text = "about " + text
	}
	if rounded == 1 {
		return text + " serving per container"
	}
	return text + " servings per container"
}

// usPanel reckons carbohydrate by difference, acids and all that is left of the solids among it.
func (d *draft) usPanel() *Panel {
	f := d.facts
	ml, serving := d.servingML()
	per := ml / 1000
	protein, fat, fibre, saturates := or(f.protein, 0), or(f.fat, 0), or(f.fibre, 0), or(f.saturates, 0)
	carbohydrate := f.sugars + f.polyols + f.acids + math.Max(0, f.rest-protein)
	kcal := 4*(carbohydrate-f.erythritol) + 4*protein + 9*fat + 7*f.alcohol
	p := &Panel{
		Title: "Nutrition Facts", Columns: []string{"Serving size " + serving},
		Rules: []Rule{seen("21 CFR 101.9(c), rounding"), recalled("21 CFR 101.9(c)(1)(i)(B), factors 4-4-9"), seen("21 CFR 101.9(b)(6), single-serving container"), recalled("21 CFR 101.12(b), reference amount 360 mL")},
		Notes: f.notes,
	}
	bottle := d.Job.BottleML
	columns := []float64{per}
	if bottle >= 2*usReferenceML && bottle <= 3*usReferenceML && d.Job.Throw == 0 {
		columns = append(columns, bottle/1000)
		p.Columns = append(p.Columns, "Per container")
		p.Rules = append(p.Rules, recalled("21 CFR 101.9(b)(12)(i), a second column from 200 to 300 % of the reference amount"))
	}
	if bottle > 0 && d.Job.Throw == 0 {
		p.Rows = append(p.Rows, Row{Name: usServings(bottle / ml), Amounts: make([]string, len(columns))})
	}
	row := func(indent int, name string, amount, daily func(per float64) string) {
		r := Row{Name: name, Indent: indent}
		for _, per := range columns {
			text := amount(per)
			if daily != nil && len(columns) > 1 && text != notKnown {
				text = strings.TrimPrefix(text+", "+daily(per), ", ")
			}
			r.Amounts = append(r.Amounts, text)
		}
		if daily != nil && len(columns) == 1 {
			r.Daily = daily(per)
		}
		p.Rows = append(p.Rows, r)
	}
	of := func(perLitre float64, print func(float64) string) func(float64) string {
		return func(per float64) string { return print(perLitre * per) }
	}
	share := func(perLitre, daily float64) func(float64) string {
		return func(per float64) string { return USDaily(perLitre * per / daily * 100) }
	}
	// sure prints an amount unless an ingredient has no figure for it.
	sure := func(print func(float64) string, names ...string) func(float64) string {
		return func(per float64) string { return f.or(print(per), names...) }
	}
	row(0, "Calories", func(per float64) string { return f.energy(USCalories(kcal*per), kcal*per/5) }, nil)
	row(0, "Total Fat", sure(of(fat, USFat), "fat"), sure(share(fat, 78), "fat"))
	if saturates > 0 || f.unsure("saturates") != "" {
		row(1, "Saturated Fat", sure(of(saturates, USFat), "saturates"), sure(share(saturates, 20), "saturates"))
	}
	row(0, "Sodium", sure(of(f.sodiumMg, USSodium), "sodium"), sure(share(f.sodiumMg, 2300), "sodium"))
	row(0, "Total Carbohydrate", sure(of(carbohydrate, USGrams), brief.Solids), sure(share(carbohydrate, 275), brief.Solids))
	if fibre > 0 || f.unsure("fibre") != "" {
		row(1, "Dietary Fiber", sure(of(fibre, USGrams), "fibre"), sure(share(fibre, 28), "fibre"))
	}
	row(1, "Total Sugars", sure(of(f.sugars, USGrams), "sugars"), nil)
	included := func(per float64) string { return f.or(strings.ReplaceAll(USGrams(f.added*per), " g", "g"), "sugars") }
	if len(columns) > 1 {
		row(2, "Added Sugars", func(per float64) string { return "Includes " + included(per) }, sure(share(f.added, 50), "sugars"))
	} else { // 101.9(c)(6)(iii): the amount stands within the words
		row(2, "Includes "+included(per)+" Added Sugars", func(float64) string { return "" }, sure(share(f.added, 50), "sugars"))
	}
	if f.polyols > 0 || f.unsure("polyols") != "" {
		row(1, "Sugar Alcohol", sure(of(f.polyols, USGrams), "polyols"), nil)
	}
	row(0, "Protein", sure(of(protein, USGrams), "protein"), nil)
	d.usMinors(p, row, per)
	if asc := d.Value("ascorbic-acid", profile.PerLitre) * per; asc/90*100 >= 2 {
		p.Notes = append(p.Notes, fmt.Sprintf("vitamin C: %s mg a serving, %s of the daily value of 90 mg; to be declared when it is added as a nutrient or claimed", short(asc), USMineralDaily(asc/90*100)))
	}
	return p
}

// usMinors adds what stands below protein, or the line that says what the drink is no significant source of. Only what
// is known to be small stands in that line.
func (d *draft) usMinors(p *Panel, row func(indent int, name string, amount, daily func(per float64) string), per float64) {
	f := d.facts
	unsure := func(float64) string { return notKnown }
	insignificant := []string{"cholesterol"}
	if !math.IsNaN(f.saturates) && f.saturates == 0 {
		insignificant = append(insignificant, "saturated fat")
	}
	if !math.IsNaN(f.fat) && f.fat*per < 0.5 {
		insignificant = append(insignificant, "trans fat")
	} else {
		p.Notes = append(p.Notes, "trans fat: not known here; a line of its own unless total fat is below 0.5 g")
	}
	if !math.IsNaN(f.fibre) && f.fibre == 0 {
		insignificant = append(insignificant, "dietary fiber")
	}
	var impure []string
	for _, x := range d.Recipe.Unfolded() {
		if g := x.Source.Ingredient; x.Amount > 0 && !g.Pure && !slices.Contains(impure, g.Name) {
			impure = append(impure, g.Name)
		}
	}
	for _, name := range []string{"Vitamin D", "Calcium", "Iron"} {
		if len(impure) == 0 && name != "Calcium" { // which water brings
			insignificant = append(insignificant, strings.Replace(strings.ToLower(name), "vitamin d", "vitamin D", 1))
		} else {
			row(0, name, unsure, unsure)
		}
	}
	note := "calcium of the water is not known: have it analysed"
	if len(impure) > 0 {
		note = "vitamin D, calcium, iron: not known of " + strings.Join(impure, ", ") + " and of the water: have them analysed"
	}
	p.Notes = append(p.Notes, note+"; what is below 2 % of its daily value may go into the line \"Not a significant source of\"")
	switch daily := f.potassiumMg * per / 4700 * 100; {
	case f.unsure("potassium") != "":
		row(0, "Potassium", unsure, unsure)
	case daily >= 2:
		row(0, "Potassium", func(per float64) string { return USPotassium(f.potassiumMg * per) }, func(per float64) string { return USMineralDaily(f.potassiumMg * per / 4700 * 100) })
	default:
		insignificant = append(insignificant, "potassium")
	}
	p.Below = append(p.Below, "Not a significant source of "+strings.Join(insignificant, ", ")+".")
}
