// Package label drafts what a drink's label has to bear in each of its markets: the ingredient statement,
// declarations, the nutrition panel with the market's factors and rounding, the net quantity. Each line
// carries the rule that asks for it and whether that rule's text was read. It drafts; local law decides.
package label

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"
)

// Rule is what asks for a line.
type Rule struct {
	Citation string
	// Text is profile.Seen or profile.Recalled.
	Text string
}

func seen(citation string) Rule     { return Rule{citation, profile.Seen} }
func recalled(citation string) Rule { return Rule{citation, profile.Recalled} }

// Line is one thing the label has to bear.
type Line struct {
	// Part says what it is, such as "ingredients" or "net quantity".
	Part, Text string
	Rule
	// Note is for the maker and not for the label.
	Note string
	// Told says that the whole line is for the maker, and none of it is printed.
	Told bool
}

// Label is the draft for one market.
type Label struct {
	Market *profile.Market
	Lines  []Line
	// Panel is nil for a market whose nutrition rules are not known here.
	Panel *Panel
}

// Panel is a nutrition declaration.
type Panel struct {
	Title string
	// Columns are what the amounts stand per.
	Columns []string
	Rows    []Row
	// Below stands under the panel.
	Below []string
	Rules []Rule
	// Notes are for the maker and not for the label.
	Notes []string
}

// Row is one line of a panel.
type Row struct {
	Name   string
	Indent int
	// Amounts hold a text per column, with the unit.
	Amounts []string
	// Daily is the percentage of the daily value, or empty.
	Daily string
}

// Options add what the profiles do not know.
type Options struct {
	// Nutrients are grams per 100 mL of the drink as served, by name, one of the list Nutrients.
	Nutrients map[string]float64
	// Lot and BestBefore are what the bottles of a batch bear; empty and zero where no batch is spoken of.
	Lot        string
	BestBefore time.Time
}

// Nutrients are the names that Options may give.
var Nutrients = []string{"protein", "fat", "saturates", "fibre", "salt"}

// New drafts the labels of an assessed recipe, one a market.
func New(a *assess.Assessment, o Options) []Label {
	f := nutrition(a, o)
	var labels []Label
	for _, m := range a.Job.Markets {
		d := &draft{Assessment: a, facts: f, options: o, label: Label{Market: m}}
		switch m.Name {
		case "us":
			d.us()
		case "eu", "uk":
			d.eu()
		case "au-nz":
			d.auNZ()
		default:
			d.other()
		}
		labels = append(labels, d.label)
	}
	return labels
}

// draft is a label in the making.
type draft struct {
	*assess.Assessment
	facts   facts
	options Options
	label   Label
}

// lot and bestBefore are lines to be filled in, or what the batch says.
func (d *draft) lot(rule Rule) {
	if d.options.Lot != "" {
		d.add("lot", "Lot: "+d.options.Lot, rule, "from the record")
		return
	}
	d.add("to fill in", "Lot: __", rule, "")
}

func (d *draft) bestBefore(rule Rule) {
	if !d.options.BestBefore.IsZero() {
		d.add("best before", "Best before: "+d.options.BestBefore.Format("02 01 2006"), rule, "day, month, year; from the record")
		return
	}
	d.add("to fill in", "Best before: __", rule, "")
}

func (d *draft) add(part, text string, rule Rule, note string) {
	if text != "" {
		d.label.Lines = append(d.label.Lines, Line{Part: part, Text: text, Rule: rule, Note: note})
	}
}

// tell adds a line for the maker, of which nothing is printed.
func (d *draft) tell(part, text string, rule Rule, note string) {
	d.label.Lines = append(d.label.Lines, Line{part, text, rule, note, true})
}

// declarations adds what the market's rules ask for, with their blanks filled in.
func (d *draft) declarations() {
	fired := d.Declarations(d.label.Market)
	for _, x := range fired {
		if d.needless(x, fired) {
			continue
		}
		note := x.Note
		text := x.Wording
		switch {
		case !strings.Contains(text, "__"):
		case x.Attribute == "juice":
			percent := d.Value("juice", profile.Per100g)
			whole := fmt.Sprint(int(math.Floor(percent + 1e-9)))
			if percent < 1 {
				whole = "less than 1"
			}
			text = strings.Replace(text, "__", whole, 1)
			note = strings.TrimSpace(note + "; rounded down from " + short(percent) + " % by weight")
		case x.Attribute == "caffeine":
			text = strings.Replace(text, "__", short(d.Value("caffeine", profile.PerLitre)/10), 1)
		default:
			text = strings.Replace(text, "__", short(d.Job.AlcoholPercent), 1)
		}
		d.add("declaration", text, Rule{x.Citation, x.Text}, note)
	}
	for _, x := range d.Undecided(d.label.Market) {
		d.tell("not known", fmt.Sprintf("whether the label must say \"%s\": there is no figure of %s for %s", x.Wording, x.Substance, strings.Join(x.Silent, ", ")),
			Rule{x.Citation, x.Text}, "have it analysed before the label is printed")
	}
}

// needless reports whether a declaration that the recipe calls for asks for no line of its own: the list of
// ingredients bears it, or the list or the name says its word already, or a longer one says the same and more.
func (d *draft) needless(x profile.Declaration, fired []profile.Declaration) bool {
	if x.InList {
		return true
	}
	said := d.Job.Name
	if d.listAsked() {
		said += " " + d.list(plainStyle)
	}
	if x.UnlessListed != "" && strings.Contains(strings.ToLower(said), x.UnlessListed) {
		return true
	}
	if d.label.Market.Name == "au-nz" && strings.Contains(x.Wording, "% alcohol by volume") && d.Job.AlcoholPercent <= auNZWeak {
		return true // said by strong, in the words for weak drinks
	}
	return slices.ContainsFunc(fired, func(y profile.Declaration) bool {
		return y.Attribute == x.Attribute && y.Wording != x.Wording && strings.HasPrefix(y.Wording, x.Wording)
	})
}

// listAsked reports whether the market asks for a list of ingredients: the European Union and the United Kingdom do
// not over 1.2 % vol (Regulation (EU) 1169/2011 Article 16(4)).
func (d *draft) listAsked() bool {
	return d.Job.AlcoholPercent <= euListMost || d.label.Market.Name != "eu" && d.label.Market.Name != "uk"
}

// short prints x with at most two significant decimals and no idle zeros.
func short(x float64) string {
	switch {
	case x >= 100:
		return fmt.Sprintf("%.0f", x)
	case x >= 10:
		return trim(fmt.Sprintf("%.1f", x))
	}
	return trim(fmt.Sprintf("%.2f", x))
}

func trim(text string) string {
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// reminder is the last line of every label.
func (d *draft) reminder() {
	d.tell("before printing", "Local law and licensed practice decide; this is a draft, not a permission.", Rule{"practice", profile.Seen}, "")
}

// other drafts the label of a market that is the maker's own: its declarations and the ingredients.
func (d *draft) other() {
	d.add("name", d.Job.Name, Rule{"practice", profile.Seen}, "")
	d.add("ingredients", "Ingredients: "+d.list(plainStyle), Rule{"practice", profile.Seen}, "by falling weight; the market's own rules are not known here")
	d.declarations()
	d.add("net quantity", volume(d.Job), Rule{"practice", profile.Seen}, "")
	d.reminder()
}

// volume is the metric net quantity.
func volume(j *brief.Job) string {
	if j.BottleML == 0 {
		return "__ ml"
	}
	if j.BottleML >= 1000 {
		return short(j.BottleML/1000) + " L"
	}
	return short(j.BottleML) + " ml"
}
