package report

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/stock"
)

// lotsSchema names what the JSON of the lots commands holds.
const lotsSchema = "bittersum/lots/1"

type jsonLot struct {
	Number     string                   `json:"number"`
	Ingredient string                   `json:"ingredient"`
	QuantityKg number                   `json:"quantity_kg"`
	LeftKg     number                   `json:"left_kg"`
	PricePerKg number                   `json:"price_per_kg"`
	Received   string                   `json:"received,omitempty"`
	BestBefore string                   `json:"best_before,omitempty"`
	State      string                   `json:"state"`
	Reason     string                   `json:"reason,omitempty"`
	WhyNot     string                   `json:"not_usable_because,omitempty"`
	Contents   map[string]jsonCertified `json:"contents,omitempty"`
	Supplier   string                   `json:"supplier,omitempty"`
	Note       string                   `json:"delivery_note,omitempty"`
	ChangedKg  number                   `json:"changed_kg"`
}

// jsonCertified is a certificate value per gram.
type jsonCertified struct {
	PerGram number `json:"per_g"`
	SD      number `json:"sd"`
}

type jsonHolding struct {
	Ingredient string `json:"ingredient"`
	UsableKg   number `json:"usable_kg"`
	BarredKg   number `json:"barred_kg"`
	Value      number `json:"value"`
	Unpriced   bool   `json:"some_without_price,omitempty"`
}

type jsonTaken struct {
	Batch      string `json:"batch"`
	Lot        string `json:"lot"`
	Ingredient string `json:"ingredient"`
	Kg         number `json:"kg"`
	On         string `json:"on,omitempty"`
}

func date(day time.Time) string {
	if day.IsZero() {
		return ""
	}
	return day.Format(time.DateOnly)
}

func lotJSON(l *brief.Lot, day time.Time) jsonLot {
	out := jsonLot{
		Number: l.Number, Ingredient: l.Ingredient, QuantityKg: number(l.QuantityKg), LeftKg: number(l.LeftKg()),
		PricePerKg: number(l.PricePerKg), Received: date(l.Received), BestBefore: date(l.BestBefore),
		State: l.State, Reason: l.Reason, WhyNot: l.WhyNot(day), Supplier: l.Supplier, Note: l.DeliveryNote, ChangedKg: number(l.ChangedKg()),
	}
	for name, c := range l.Contents {
		if out.Contents == nil {
			out.Contents = map[string]jsonCertified{}
		}
		out.Contents[name] = jsonCertified{number(c.PerGram), number(c.SD)}
	}
	return out
}

// Lots lists lots with what is left of each on that day.
func Lots(w io.Writer, lots []*brief.Lot, day time.Time, asJSON bool) error {
	if asJSON {
		items := make([]jsonLot, len(lots))
		for n, l := range lots {
			items[n] = lotJSON(l, day)
		}
		return encode(w, jsonLibrary{lotsSchema, items})
	}
	if len(lots) == 0 {
		fmt.Fprintln(w, "None.")
		return nil
	}
	t := newTable("", "llot", "lingredient", ".left, kg", ".of", ".paid per kg", "lbest before", "lmay be used")
	for _, l := range lots {
		may := "yes"
		if why := l.WhyNot(day); why != "" {
			may = "no: " + why
		}
		price := ""
		if l.PricePerKg >= 0 {
			price = plain(l.PricePerKg)
		}
		t.row(l.Number, l.Ingredient, trimmed(l.LeftKg(), 7), plain(l.QuantityKg), price, date(l.BestBefore), may)
	}
	t.write(w)
	return nil
}

// Holdings lists what there is of each ingredient.
func Holdings(w io.Writer, holdings []stock.Holding, asJSON bool) error {
	if asJSON {
		items := make([]jsonHolding, len(holdings))
		for n, h := range holdings {
			items[n] = jsonHolding{h.Ingredient, number(h.UsableKg), number(h.BarredKg), number(h.Value), h.Unpriced}
		}
		return encode(w, jsonLibrary{lotsSchema, items})
	}
	if len(holdings) == 0 {
		fmt.Fprintln(w, "Nothing is on the shelf.")
		return nil
	}
	t := newTable("", "lingredient", ".usable, kg", ".barred, kg", ".paid for it", "llots, first out first")
	for _, h := range holdings {
		var names []string
		for _, l := range h.Lots {
			names = append(names, l.Number)
		}
		barred, paid := "", fixed(h.Value, 2)
		if h.BarredKg > 0 {
			barred = trimmed(h.BarredKg, 7)
		}
		if h.Unpriced {
			paid += " or more"
		}
		t.row(h.Ingredient, trimmed(h.UsableKg, 7), barred, paid, strings.Join(names, ", "))
	}
	t.write(w)
	return nil
}

// Trace lists what a batch took from lots, or what batches took from a lot.
func Trace(w io.Writer, taken []stock.Taken, asJSON bool) error {
	if asJSON {
		items := make([]jsonTaken, len(taken))
		for n, t := range taken {
			items[n] = jsonTaken{t.Batch, t.Lot.Number, t.Lot.Ingredient, number(t.Kg), date(t.On)}
		}
		return encode(w, jsonLibrary{lotsSchema, items})
	}
	t := newTable("", "lbatch", "llot", "lingredient", ".kg", "lon", "lreceived", "lbest before")
	for _, x := range taken {
		t.row(x.Batch, x.Lot.Number, x.Lot.Ingredient, trimmed(x.Kg, 7), date(x.On), date(x.Lot.Received), date(x.Lot.BestBefore))
	}
	t.write(w)
	return nil
}

// LotsChecked says that a lots file is in order, and which lots may not be used.
func LotsChecked(w io.Writer, lots *brief.Lots, day time.Time) {
	usable := 0
	var barred, sure []string
	for n := range lots.Lots {
		l := &lots.Lots[n]
		for _, attribute := range slices.Sorted(maps.Keys(l.Sure)) {
			sure = append(sure, fmt.Sprintf("%s (%s): %s of %v per g is far from the profile, and sure: %s", l.Number, l.Ingredient, attribute, l.Contents[attribute].PerGram, l.Sure[attribute]))
		}
		if why := l.WhyNot(day); why != "" {
			barred = append(barred, fmt.Sprintf("%s (%s) %s", l.Number, l.Ingredient, why))
			continue
		}
		usable++
	}
	fmt.Fprintf(w, "%s is in order: %d lots, %d of them usable.\n", lots.File, len(lots.Lots), usable)
	slices.Sort(barred)
	for _, line := range append(barred, sure...) {
		fmt.Fprintf(w, "  %s\n", line)
	}
}
