package stock

import (
	"slices"
	"strings"
	"time"

	"bittersum/internal/brief"
)

// Holding is what there is of one ingredient.
type Holding struct {
	Ingredient string
	// UsableKg may be used on the day asked for; BarredKg is on the shelf but held, refused or past its
	// date.
	UsableKg, BarredKg float64
	// Value is what the usable lots cost that have a price; Unpriced says that some have none.
	Value    float64
	Unpriced bool
	// Lots are those with anything left, first expiring first.
	Lots []*brief.Lot
}

// Holdings sums the lots by ingredient, in order of name.
func Holdings(lots *brief.Lots, day time.Time) []Holding {
	at := map[string]int{}
	var all []Holding
	for _, lot := range FirstOut(lots) {
		left := lot.LeftKg()
		if left == 0 {
			continue
		}
		n, ok := at[lot.Ingredient]
		if !ok {
			n = len(all)
			at[lot.Ingredient] = n
			all = append(all, Holding{Ingredient: lot.Ingredient})
		}
		h := &all[n]
		h.Lots = append(h.Lots, lot)
		if lot.WhyNot(day) != "" {
			h.BarredKg += left
			continue
		}
		h.UsableKg += left
		if lot.PricePerKg >= 0 {
			h.Value += left * lot.PricePerKg
		} else {
			h.Unpriced = true
		}
	}
	slices.SortFunc(all, func(a, b Holding) int { return strings.Compare(a.Ingredient, b.Ingredient) })
	return all
}

// FirstOut returns the lots in the order in which they are to be used: first expiring first, those
// without a date last, then first received, then as in the file.
func FirstOut(lots *brief.Lots) []*brief.Lot {
	all := make([]*brief.Lot, len(lots.Lots))
	for n := range lots.Lots {
		all[n] = &lots.Lots[n]
	}
	slices.SortStableFunc(all, brief.Sooner)
	return all
}

// Expiring returns the lots with anything left that is not refused whose date lies before the end of so
// many days from day, first expiring first; those past their date are among them.
func Expiring(lots *brief.Lots, day time.Time, days int) []*brief.Lot {
	end := day.AddDate(0, 0, days)
	var soon []*brief.Lot
	for _, lot := range FirstOut(lots) {
		if lot.LeftKg() > 0 && lot.State != brief.Refused && !lot.BestBefore.IsZero() && !lot.BestBefore.After(end) {
			soon = append(soon, lot)
		}
	}
	return soon
}

// Taken is what a batch took from a lot in all.
type Taken struct {
	Lot   *brief.Lot
	Batch string
	Kg    float64
	// On is the day of the last draw.
	On time.Time
}

// Trace returns what was taken by the batch, or from the lot, of that name; what was corrected to nothing
// is left out.
func Trace(lots *brief.Lots, name string) []Taken {
	var found []Taken
	for n := range lots.Lots {
		lot := &lots.Lots[n]
		for _, d := range lot.Draws {
			if d.Batch != name && lot.Number != name {
				continue
			}
			at := slices.IndexFunc(found, func(t Taken) bool { return t.Lot == lot && t.Batch == d.Batch })
			if at < 0 {
				at = len(found)
				found = append(found, Taken{Lot: lot, Batch: d.Batch})
			}
			found[at].Kg += d.Kg
			if d.On.After(found[at].On) {
				found[at].On = d.On
			}
		}
	}
	return slices.DeleteFunc(found, func(t Taken) bool { return t.Kg <= smallest })
}
