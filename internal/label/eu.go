package label

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"bittersum/internal/brief"
)

func (d *draft) euRule(rule Rule) Rule {
	if d.label.Market.Name == "uk" {
		rule.Citation += ", as assimilated in the United Kingdom"
	}
	return rule
}

const food = "Regulation (EU) 1169/2011 "

var euStyle = style{
	additive: func(p part) string {
		if p.Category == "flavouring" {
			return "flavouring (" + flavouring(p) + ")"
		}
		return p.Category + " (" + p.name + ")"
	},
	// An allergen stands out: in capitals, and named in brackets where the ingredient's own name does not say it.
	allergen: func(text string, p part) string {
		for _, allergen := range p.allergens {
			word, _, _ := strings.Cut(allergen, " ")
			if at := strings.Index(strings.ToLower(text), strings.ToLower(word)); at >= 0 {
				text = text[:at] + strings.ToUpper(word) + text[at+len(word):]
			} else {
				text += " (" + strings.ToUpper(allergen) + ")"
			}
		}
		return text
	},
	share: func(text string, percent float64) string { return text + " (" + percentText(percent) + ")" },
}

func (d *draft) eu() {
	rule := d.euRule
	d.add("name", d.Job.Name, rule(recalled(food+"Article 17")), "the legal or customary name, or a description")
	if d.Job.AlcoholPercent <= 1.2 {
		note := "added water is what the finished drink weighs less all else, Annex VII Part A, text seen; those under 2 % may follow in another order, text recalled"
		if parts, finished := d.parts(); len(parts) > 0 {
			for _, p := range parts {
				if p.water && p.grams <= 0.05*finished {
					note += "; water is at most 5 % and need not be listed"
				}
			}
		}
		if d.Job.Throw > 0 {
			note += "; a drink to be thrown may list in the order of the ready drink, with \"ingredients of the ready-to-use product\""
		}
		d.add("ingredients", "Ingredients: "+d.list(euStyle), rule(seen(food+"Article 18(1)")), note)
		d.add("ingredients", "additives by category and name or E number", rule(seen(food+"Annex VII Part C")), d.numbers())
	} else {
		d.add("ingredients", "no list is asked for over 1.2 % vol; of its own accord: "+d.list(euStyle), rule(recalled(food+"Article 16(4)")), "")
	}
	if shares := d.shares(); shares != "" {
		d.add("quantities", shares, rule(seen(food+"Article 22 and Annex VIII")), "of ingredients that the name speaks of, found by shared words; also of those that pictures show; not of small amounts for flavour, Annex VIII 1(a)(iii), text recalled")
	}
	if names := d.allergens(); len(names) > 0 {
		d.add("allergens", "stand out in the list: "+strings.Join(names, ", "), rule(recalled(food+"Articles 9(1)(c) and 21, Annex II")), "in capitals here; sulphites only above 10 mg/kg or mg/L")
	}
	d.declarations()
	d.add("net quantity", volume(d.Job), rule(recalled(food+"Article 23 and Annex IX")), fmt.Sprintf("figures at least %d mm high, Directive 76/211/EEC Annex I, text recalled", figureHeight(d.Job.BottleML)))
	if d.Job.AlcoholPercent <= 1.2 {
		d.label.Panel = d.euPanel()
		d.add("nutrition", "Nutrition declaration, see below", rule(seen(food+"Article 30, Annexes XIV and XV")), "small amounts sold by the maker directly or to local shops are exempt, Annex V, text seen")
	}
	if d.Job.AlcoholPercent <= 10 {
		d.bestBefore(rule(recalled(food + "Articles 9(1)(f) and 24, Annex X")))
	} else {
		d.add("best before", "no date is asked for from 10 % vol on", rule(recalled(food+"Annex X point 1(d)")), "")
	}
	lots := recalled("Directive 2011/91/EU Article 2")
	if d.label.Market.Name == "uk" {
		lots = recalled("Food (Lot Marking) Regulations 1996")
	}
	d.lot(lots)
	for _, blank := range []string{"Storage and use, once opened: __", "Name and address of the business: __", "Country of origin, where its lack would mislead: __"} {
		d.add("to fill in", blank, rule(recalled(food+"Article 9(1)")), "")
	}
	d.reminder()
}

// figureHeight is the least height of the figures of the net quantity, in mm.
func figureHeight(ml float64) int {
	switch {
	case ml > 1000:
		return 6
	case ml > 200:
		return 4
	case ml > 50:
		return 3
	}
	return 2
}

// numbers lists the E numbers that may stand in the place of names.
func (d *draft) numbers() string {
	var list []string
	parts, _ := d.parts()
	for _, p := range parts {
		if p.ENumber != "" {
			list = append(list, p.name+" "+p.ENumber)
		}
	}
	return strings.Join(list, ", ")
}

func (d *draft) shares() string {
	var list []string
	parts, finished := d.parts()
	for _, p := range parts {
		if d.named(p) {
			list = append(list, p.name+" "+percentText(100*p.grams/finished))
		}
	}
	return strings.Join(list, ", ")
}

// euPanel declares per 100 ml as sold. What is left of the solids counts as carbohydrate.
func (d *draft) euPanel() *Panel {
	f := d.facts
	per := 0.1
	if d.Job.Throw > 0 {
		per *= d.Job.Dilution() // as sold: the syrup
	}
	protein, fat, fibre, saturates := or(f.protein, 0), or(f.fat, 0), or(f.fibre, 0), or(f.saturates, 0)
	carbohydrate := f.sugars + f.polyols + math.Max(0, f.rest-protein-fibre)
	energy := func(of func(c, p, pr, fa, al, ac, fi float64) float64) float64 {
		return of((carbohydrate-f.polyols)*per, (f.polyols-f.erythritol)*per, protein*per, fat*per, f.alcohol*per, f.acids*per, fibre*per)
	}
	p := &Panel{
		Title: "Nutrition declaration", Columns: []string{"per 100 ml"}, Notes: f.notes,
		Rules: []Rule{d.euRule(seen(food + "Annex XIV, factors")), d.euRule(seen(food + "Annex XV, order")), seen("Commission guidance of December 2012, rounding (no law)")},
	}
	row := func(indent int, name, amount string) {
		p.Rows = append(p.Rows, Row{Name: name, Indent: indent, Amounts: []string{amount}})
	}
	row(0, "Energy", f.energy(EUEnergy(energy(EUKilojoules))+" kJ / "+EUEnergy(energy(EUKilocalories))+" kcal", energy(EUKilojoules)))
	row(0, "Fat", f.or(EUGrams(fat*per), "fat"))
	row(1, "of which saturates", f.or(EUSaturates(saturates*per), "saturates"))
	row(0, "Carbohydrate", f.or(EUGrams(carbohydrate*per), brief.Solids))
	row(1, "of which sugars", f.or(EUGrams(f.sugars*per), "sugars"))
	if f.polyols > 0 || f.unsure("polyols") != "" {
		row(1, "of which polyols", f.or(EUGrams(f.polyols*per), "polyols"))
	}
	if fibre > 0 { // of its own accord, Article 30(2)
		row(0, "Fibre", EUGrams(fibre*per))
	}
	row(0, "Protein", f.or(EUGrams(protein*per), "protein"))
	row(0, "Salt", f.or(EUSalt(f.sodiumMg/1000*saltPerSodium*per), "sodium"))
	return p
}

// auNZ drafts the label for Australia and New Zealand; the Code's text was not seen.
func (d *draft) auNZ() {
	const code = "Food Standards Code, Standard "
	d.add("name", d.Job.Name, recalled(code+"1.2.2"), "")
	d.add("ingredients", "Ingredients: "+d.list(euStyle), recalled(code+"1.2.4"), "by falling ingoing weight; additives by class and name or number")
	if shares := d.shares(); shares != "" {
		d.add("quantities", shares, recalled(code+"1.2.10"), "of characterising ingredients")
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
	kilojoules := EUKilojoules(carbohydrate, f.polyols-f.erythritol, protein, fat, f.alcohol, f.acids, or(f.fibre, 0))
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
	d.add("nutrition", "Nutrition information panel, see below", recalled(code+"1.2.8"), "")
	d.strong(code)
	d.bestBefore(recalled(code + "1.2.5"))
	d.lot(recalled(code + "1.2.2"))
	for _, blank := range []string{"Name and address in Australia or New Zealand: __", "Country of origin (Australia): __"} {
		d.add("to fill in", blank, recalled(code+"1.2.1"), "")
	}
	d.reminder()
}

// strong adds what alcoholic drinks bear in Australia and New Zealand.
func (d *draft) strong(code string) {
	percent := d.Job.AlcoholPercent
	if percent <= 0.5 {
		return
	}
	if percent <= 1.15 {
		d.add("strength", fmt.Sprintf("Contains not more than %s %% alcohol by volume", short(percent)), recalled(code+"2.7.1"), "")
	}
	// 10 g of ethanol, 0.789 g/mL at 20 °C, is one standard drink.
	if ml := d.Job.BottleML; ml > 0 {
		d.add("standard drinks", fmt.Sprintf("Approx. %.1f standard drinks", ml/1000*percent*0.789), seen(code+"2.7.1-4"), "of the whole bottle")
	} else {
		d.add("standard drinks", "Approx. __ standard drinks", seen(code+"2.7.1-4"), "litres × % vol × 0.789; the brief gives no bottle_ml")
	}
	if percent > 1.15 {
		d.add("pregnancy warning", "the pregnancy warning label, in its prescribed form, size and colours", seen(code+"2.7.1-8"), "the pictogram and wording are the Code's own: take them from it")
	}
}
