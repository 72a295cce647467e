package label

import (
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

// euListMost is the strength in % vol over which neither list nor panel is asked for, Article 16(4).
const euListMost = 1.2

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
	if d.listAsked() {
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
		d.tell("ingredients", "additives by category and name or E number", rule(seen(food+"Annex VII Part C")), d.numbers())
		for _, x := range d.Declarations(d.label.Market) {
			if x.InList && strings.HasPrefix(x.Wording, flavouringOf) {
				d.tell("ingredients", "named in the list: "+x.Wording, Rule{x.Citation, x.Text}, x.Note)
			}
		}
	} else {
		d.tell("ingredients", "no list is asked for over 1.2 % vol; of its own accord: "+d.list(euStyle), rule(recalled(food+"Article 16(4)")), "")
	}
	if shares := d.shares(); shares != "" {
		d.tell("quantities", shares, rule(seen(food+"Article 22 and Annex VIII")), "of ingredients that the name speaks of, found by shared words; also of those that pictures show; not of small amounts for flavour, Annex VIII 1(a)(iii), text recalled")
	}
	if names := d.allergens(); len(names) > 0 && !d.listAsked() {
		d.add("allergens", "contains "+strings.Join(names, ", "), rule(recalled(food+"Article 21(1), second subparagraph")), "without a list the word contains stands before them")
	} else if len(names) > 0 {
		d.tell("allergens", "stand out in the list: "+strings.Join(names, ", "), rule(recalled(food+"Articles 9(1)(c) and 21, Annex II")), "in capitals here; sulphites only above 10 mg/kg or mg/L")
	}
	d.declarations()
	d.add("net quantity", volume(d.Job), rule(recalled(food+"Article 23 and Annex IX")), fmt.Sprintf("figures at least %d mm high, Directive 76/211/EEC Annex I, text recalled", figureHeight(d.Job.BottleML)))
	if d.listAsked() {
		d.label.Panel = d.euPanel()
		d.tell("nutrition", "Nutrition declaration, see below", rule(seen(food+"Article 30, Annexes XIV and XV")), "small amounts sold by the maker directly or to local shops are exempt, Annex V, text seen")
	} else {
		d.tell("nutrition", "no nutrition declaration is asked for over 1.2 % vol", rule(recalled(food+"Article 16(4)")), "energy alone may be declared, Article 30(4)")
	}
	if d.Job.AlcoholPercent < 10 {
		d.bestBefore(rule(recalled(food + "Articles 9(1)(f) and 24, Annex X")))
	} else {
		d.tell("best before", "no date is asked for from 10 % vol on", rule(recalled(food+"Annex X point 1(d)")), "")
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
