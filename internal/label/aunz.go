package label

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"bittersum/internal/brief"
)

// auNZ drafts the label for Australia and New Zealand; the Code's text was not seen.
func (d *draft) auNZ() {
	const code = "Food Standards Code, Standard "
	d.add("name", d.Job.Name, recalled(code+"1.2.2"), "")
	d.add("ingredients", "Ingredients: "+d.list(euStyle), recalled(code+"1.2.4"), "by falling ingoing weight; additives by class and name or number")
	if numbers := d.numbers(); numbers != "" {
		d.tell("ingredients", "additives by class name and name or code number", recalled(code+"1.2.4, Schedules 7 and 8"), strings.ReplaceAll(numbers, "E ", ""))
	}
	if shares := d.shares(); shares != "" {
		d.tell("quantities", shares, recalled(code+"1.2.10"), "of characterising ingredients")
	}
	if names := d.allergens(); len(names) > 0 {
		d.add("allergens", "Contains: "+strings.Join(names, ", "), recalled(code+"1.2.3"), "in bold, with the required names")
	}
	d.declarations()
	d.add("net quantity", volume(d.Job), recalled("National Trade Measurement Regulations; Weights and Measures Regulations"), "")
	f := d.facts
	carbohydrate := f.sugars + math.Max(0, f.rest-or(f.protein, 0)-or(f.fibre, 0))
	serving, bottle := d.Job.BottleML, d.Job.BottleML
	if serving == 0 || serving > 600 || d.Job.Throw > 0 {
		serving = 250
	}
	p := &Panel{Title: "Nutrition information", Columns: []string{"per serving of " + decimal(serving) + " mL", "per 100 mL"}, Notes: f.notes,
		Rules: []Rule{recalled(code + "1.2.8 and Schedules 11 and 12: factors, at most three significant figures")}}
	row := func(indent int, name string, perLitre float64, unit string, unsure string) {
		amount := func(litres float64) string {
			return cmp.Or(unsure, threeFigures(perLitre*litres)+" "+unit)
		}
		p.Rows = append(p.Rows, Row{Name: name, Indent: indent, Amounts: []string{amount(serving / 1000), amount(0.1)}})
	}
	protein, fat := or(f.protein, 0), or(f.fat, 0)
	if bottle > 0 && d.Job.Throw == 0 {
		p.Rows = append(p.Rows, Row{Name: "Servings per package", Amounts: []string{short(bottle / serving), ""}})
	}
	kilojoules := f.polyolKJ + EUKilojoules(carbohydrate, 0, protein, fat, f.alcohol, f.acids, or(f.fibre, 0))
	row(0, "Energy", kilojoules, "kJ", f.energy("", kilojoules))
	row(0, "Protein", protein, "g", f.unsure("protein"))
	row(0, "Fat, total", fat, "g", f.unsure("fat"))
	row(1, "saturated", or(f.saturates, 0), "g", f.unsure("saturates"))
	row(0, "Carbohydrate", carbohydrate, "g", f.unsure(brief.Solids))
	row(1, "sugars", f.sugars, "g", f.unsure("sugars"))
	row(0, "Sodium", f.sodiumMg, "mg", f.unsure("sodium"))
	if d.Job.Throw > 0 {
		p.Notes = append(p.Notes, "of the drink as made up")
	}
	d.label.Panel = p
	d.tell("nutrition", "Nutrition information panel, see below", recalled(code+"1.2.8"), "")
	d.strong(code)
	d.bestBefore(recalled(code + "1.2.5"))
	d.lot(recalled(code + "1.2.2"))
	for _, blank := range []string{"Name and address in Australia or New Zealand: __", "Country of origin (Australia): __"} {
		d.add("to fill in", blank, recalled(code+"1.2.1"), "")
	}
	d.reminder()
}

// auNZWeak is the strength in % vol up to which a drink "contains not more than" so much, Standard 2.7.1-3.
const auNZWeak = 1.15

// auNZPolyols are kilojoules per gram by E number, Schedule 11, section S11-2 (recalled); polyolMost stands for others.
var auNZPolyols = map[string]float64{
	"E 420": 14, "E 421": 9, "E 422": 18, "E 953": 11, "E 965": 13, "E 966": 11, "E 967": 14, "E 968": 1,
}

const auNZPolyolMost = 18

// strong adds what alcoholic drinks bear in Australia and New Zealand.
func (d *draft) strong(code string) {
	percent := d.Job.AlcoholPercent
	if percent <= 0.5 {
		return
	}
	if percent <= auNZWeak {
		d.add("strength", fmt.Sprintf("Contains not more than %s %% alcohol by volume", short(percent)), seen(code+"2.7.1-3"), "")
	}
	// 10 g of ethanol, 0.789 g/mL at 20 °C, is one standard drink.
	if ml := d.Job.BottleML; ml > 0 {
		d.add("standard drinks", fmt.Sprintf("Approx. %.1f standard drinks", ml/1000*percent*0.789), seen(code+"2.7.1-4"), "of the whole bottle")
	} else {
		d.add("standard drinks", "Approx. __ standard drinks", seen(code+"2.7.1-4"), "litres × % vol × 0.789; the brief gives no bottle_ml")
	}
	if percent > auNZWeak {
		d.tell("pregnancy warning", "the pregnancy warning label, in its prescribed form, size and colours", seen(code+"2.7.1-8"), "the pictogram and wording are the Code's own: take them from it")
	}
}
