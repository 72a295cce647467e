package brief

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"bittersum/internal/csvfile"
	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
)

// LotColumns are the columns that a lots table may have, besides contents.ATTRIBUTE.WHAT.
var LotColumns = []string{
	"number", "ingredient", "quantity_kg", "price_per_kg", "received", "best_before", "state", "reason", "pack_kg", "moisture_share",
	"batch", "drawn_kg", "drawn_on", "drawn_record",
	"supplier", "delivery_note", "change", "change_kg", "changed_on", "by",
}

// contentWords are the last parts of certificate columns such as contents.acidity.per_g.
var contentWords = []string{"per_g", "sd", "recovery", "cap_recovery", "sure"}

// lotsTable reads lots from CSV: a heading with LotColumns, of which number, ingredient and quantity_kg
// must be there, and certificate columns such as contents.acidity.per_g and contents.acidity.sd. A row
// with a batch is a draw from the lot of its number; every other row is a lot.
type lotsTable struct {
	lots    *Lots
	heading []string
	seen    map[string]int
	faults  tomlfile.Faults
	line    int
	cells   map[string]string
}

func parseLotsCSV(file, text string) (*Lots, error) {
	t := &lotsTable{lots: &Lots{File: file}, seen: map[string]int{}}
	line, wrong := csvfile.EachRow(text, func(line int, cells []string) bool {
		t.line = line
		if t.heading == nil {
			return t.readHeading(cells)
		}
		t.row(cells)
		return true
	})
	if wrong != "" {
		t.line = line
		t.fault("", wrong, "")
	}
	if t.heading == nil && len(t.faults) == 0 {
		t.line = 1
		t.fault("", "is empty: it must hold a heading with number, ingredient and quantity_kg, and a line for each lot", "")
	}
	if len(t.faults) == 0 {
		t.faults = t.lots.overdrawn()
	}
	if err := t.faults.Err(); err != nil {
		return nil, err
	}
	return t.lots, nil
}

func (t *lotsTable) fault(key, what, hint string) {
	t.faults = append(t.faults, tomlfile.Fault{File: t.lots.File, Line: t.line, Key: key, What: what, Hint: hint})
}

func (t *lotsTable) readHeading(cells []string) bool {
	for _, cell := range cells {
		name := strings.TrimSpace(cell)
		t.heading = append(t.heading, name)
		if slices.Contains(LotColumns, name) || certificateColumn(name) {
			continue
		}
		t.fault("", fmt.Sprintf("there is no column %q", name), tomlfile.DidYouMean(name, LotColumns))
	}
	for n, name := range t.heading {
		if slices.Index(t.heading, name) < n {
			t.fault("", fmt.Sprintf("column %q stands twice", name), "")
		}
	}
	for _, name := range LotColumns[:3] {
		if !slices.Contains(t.heading, name) {
			t.fault("", fmt.Sprintf("the heading has no column %q", name), "")
		}
	}
	return len(t.faults) == 0
}

func certificateColumn(name string) bool {
	parts := strings.Split(name, ".")
	return len(parts) == 3 && parts[0] == "contents" && parts[1] != "" && slices.Contains(contentWords, parts[2])
}

func (t *lotsTable) row(cells []string) {
	if len(cells) > len(t.heading) {
		t.fault("", fmt.Sprintf("has %d columns, the heading %d", len(cells), len(t.heading)), "")
		return
	}
	t.cells = map[string]string{}
	for n, cell := range cells {
		t.cells[t.heading[n]] = strings.TrimSpace(cell)
	}
	if t.cells["number"] == "" {
		t.fault("number", "is missing", "")
		return
	}
	if t.cells["batch"] != "" {
		t.draw()
		return
	}
	if t.cells["change"] != "" {
		t.change()
		return
	}
	t.lot()
}

func (t *lotsTable) draw() {
	number := t.cells["number"]
	d := Draw{Batch: t.cells["batch"], Record: t.cells["drawn_record"], Kg: t.number("drawn_kg", tomlfile.Any, nan), On: t.date("drawn_on"), Line: t.line}
	if t.cells["drawn_kg"] == "" {
		t.fault("drawn_kg", "is missing", "")
	}
	for _, name := range t.heading {
		if t.cells[name] != "" && !slices.Contains([]string{"number", "ingredient", "batch", "drawn_kg", "drawn_on", "drawn_record"}, name) {
			t.fault(name, "stands in a row with a batch, which is no lot but what a batch took", "")
		}
	}
	lot := t.lots.Find(number)
	if lot == nil {
		t.fault("number", fmt.Sprintf("there is no lot %q above", number), tomlfile.DidYouMean(number, t.lots.numbers()))
		return
	}
	lot.Draws = append(lot.Draws, d)
}

// change reads a row that changes a lot.
func (t *lotsTable) change() {
	c := Change{
		What: t.cells["change"], Kg: t.number("change_kg", tomlfile.Any, 0), Reason: t.cells["reason"],
		By: t.cells["by"], On: t.date("changed_on"), Line: t.line,
	}
	if _, known := changeWords[c.What]; !known {
		words := slices.Sorted(maps.Keys(changeWords))
		t.fault("change", fmt.Sprintf("%q is not allowed; it must be one of %s", c.What, strings.Join(words, ", ")), tomlfile.DidYouMean(c.What, words))
		return
	}
	if wrong := c.check(); wrong != "" {
		t.fault("change", wrong, "")
	}
	lot := t.lots.Find(t.cells["number"])
	if lot == nil {
		t.fault("number", fmt.Sprintf("there is no lot %q above", t.cells["number"]), tomlfile.DidYouMean(t.cells["number"], t.lots.numbers()))
		return
	}
	lot.apply(c)
}

func (t *lotsTable) lot() {
	lot := Lot{
		Number:     t.cells["number"],
		Ingredient: t.cells["ingredient"],
		QuantityKg: t.number("quantity_kg", tomlfile.NonNegative, 0),
		PricePerKg: t.number("price_per_kg", tomlfile.NonNegative, nan),
		Received:   t.date("received"),
		BestBefore: t.date("best_before"),
		State:      t.cells["state"],
		Reason:     t.cells["reason"],
		PackKg:     t.number("pack_kg", tomlfile.Positive, 0),
		Supplier:   t.cells["supplier"], DeliveryNote: t.cells["delivery_note"],
		Moisture: t.number("moisture_share", tomlfile.Range{Min: 0, Max: 0.99, Open: true}, 0),
		File:     t.lots.File,
		Line:     t.line,
		Contents: map[string]profile.Content{},
		Sure:     map[string]string{},
		Lines:    map[string]int{},
	}
	for _, key := range []string{"ingredient", "quantity_kg"} {
		if t.cells[key] == "" {
			t.fault(key, "is missing", "")
		}
	}
	for _, key := range []string{"drawn_kg", "drawn_on", "drawn_record"} {
		if t.cells[key] != "" {
			t.fault(key, "needs a batch beside it", "")
		}
	}
	if states := []string{Accepted, Held, Refused}; lot.State != "" && !slices.Contains(states, lot.State) {
		t.fault("state", fmt.Sprintf("%q is not allowed; it must be one of %s", lot.State, strings.Join(states, ", ")), tomlfile.DidYouMean(lot.State, states))
	}
	lot.check(func(key, what string) { t.fault(key, what, "") })
	if line := t.seen[lot.Number]; line > 0 {
		t.fault("number", fmt.Sprintf("%q stands twice, first on line %d", lot.Number, line), "")
	}
	t.seen[lot.Number] = t.line
	t.contents(&lot)
	t.lots.Lots = append(t.lots.Lots, lot)
}

func (t *lotsTable) contents(lot *Lot) {
	for _, name := range t.heading {
		if !certificateColumn(name) || t.cells[name] == "" {
			continue
		}
		parts := strings.Split(name, ".")
		attribute, word := parts[1], parts[2]
		c, ok := lot.Contents[attribute]
		if !ok {
			c = profile.Content{PerGram: nan, Recovery: nan, CapRecovery: nan, Provenance: lot.certificate()}
			lot.Lines[attribute] = t.line
		}
		switch word {
		case "per_g":
			c.PerGram = t.number(name, tomlfile.NonNegative, nan)
		case "sd":
			c.SD = t.number(name, tomlfile.NonNegative, 0)
		case "recovery":
			c.Recovery = t.number(name, tomlfile.Share, nan)
		case "cap_recovery":
			c.CapRecovery = t.number(name, tomlfile.Share, nan)
		case "sure":
			lot.Sure[attribute] = t.cells[name]
		}
		lot.Contents[attribute] = c
	}
	for _, attribute := range slices.Sorted(maps.Keys(lot.Contents)) {
		if key := "contents." + attribute + ".per_g"; t.cells[key] == "" {
			t.fault(key, "is missing", "")
		}
	}
}

// number reads a cell; an empty one gives absent.
func (t *lotsTable) number(key string, allowed tomlfile.Range, absent float64) float64 {
	text := t.cells[key]
	if text == "" {
		return absent
	}
	x, err := csvfile.Number(text)
	switch {
	case err != nil || math.IsNaN(x) || math.IsInf(x, 0):
		t.fault(key, fmt.Sprintf("%q is not a number", text), "")
	case !allowed.Admits(x):
		t.fault(key, fmt.Sprintf("%v is out of range; it must be %s", x, allowed), "")
	default:
		return x
	}
	return absent
}

// date reads a cell such as 2026-03-31; an empty one gives the zero time.
func (t *lotsTable) date(key string) time.Time {
	text := t.cells[key]
	if text == "" {
		return time.Time{}
	}
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		t.fault(key, fmt.Sprintf("%q is not a date such as 2026-03-31", text), "")
	}
	return day
}
