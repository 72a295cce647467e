package brief

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"bittersum/internal/profile"
	"bittersum/internal/sheet"
	"bittersum/internal/tomlfile"
	"bittersum/internal/words"
)

// LotColumns are the columns that a lots table may have, besides contents.ATTRIBUTE.WHAT.
var LotColumns = []string{
	"number", "ingredient", "quantity_kg", "price_per_kg", "received", "best_before", "state", "reason", "pack_kg", "moisture_share",
	"batch", "drawn_kg", "drawn_on", "drawn_record",
	"supplier", "delivery_note", "change", "change_kg", "changed_on", "by", "currency",
}

// LotKind are the columns of a lots table.
var LotKind = words.Kind{
	Name:    "lots",
	Columns: lotColumns(),
	Needed:  [][]string{LotColumns[:3]},
	Strict:  true,
	Further: certificateColumn,
}

// numbersAndDays are the columns that hold no texts.
var numbersAndDays = []string{"quantity_kg", "price_per_kg", "received", "best_before", "pack_kg", "moisture_share", "drawn_kg", "drawn_on", "change_kg", "changed_on"}

// lotColumns lists LotColumns with the words of headings that likely mean them.
func lotColumns() []words.Column {
	also := map[string][]string{
		"number":        {"lot", "batch", "charge", "los", "chargennummer", "lotto", "lote", "partij", "šarže", "partia"},
		"ingredient":    words.IngredientColumn.Also,
		"quantity_kg":   {"quantity", "kg", "amount", "menge", "quantité", "quantità", "cantidad", "hoeveelheid", "mängd", "stock"},
		"price_per_kg":  PriceKind.Columns[1].Also,
		"received":      {"date", "delivered", "eingang", "geliefert", "wareneingang", "reçu", "ricevuto", "recibido"},
		"best_before":   {"expiry", "use by", "bbe", "mhd", "mindestens haltbar bis", "haltbar bis", "dlc", "ddm", "scadenza", "caducidad"},
		"supplier":      {"lieferant", "fournisseur", "fornitore", "proveedor", "leverancier"},
		"delivery_note": {"lieferschein", "bon de livraison", "bolla", "albarán", "pakbon"},
		"pack_kg":       {"pack", "pack size", "gebinde"},
		"reason":        {"grund", "note"},
		"state":         {"status", "zustand"},
		"currency":      PriceKind.Columns[4].Also,
	}
	var all []words.Column
	for _, name := range LotColumns {
		all = append(all, words.Column{Name: name, Also: also[name]})
	}
	return all
}

// contentWords are the last parts of certificate columns such as contents.acidity.per_g.
var contentWords = []string{"per_g", "sd", "recovery", "cap_recovery", "sure"}

// lotsTable reads lots from CSV or a workbook: a heading with LotColumns, of which number, ingredient and
// quantity_kg must be there, and certificate columns such as contents.acidity.per_g and contents.acidity.sd. A row
// with a batch is a draw from the lot of its number, one with a change changes it; every other row is a lot.
type lotsTable struct {
	*words.Table
	lots  *Lots
	money Money
	seen  map[string]int
	// row is the one that is read, cells what it says and heading the columns that the table has.
	row     words.Row
	cells   map[string]string
	heading []string
}

func parseLotsTable(file, data string, money Money) (*Lots, error) {
	table, err := openTable(file, data, LotKind)
	if err != nil {
		return nil, err
	}
	t := &lotsTable{Table: table, lots: &Lots{File: file}, money: money, seen: map[string]int{}, heading: table.Known()}
	for _, row := range table.Rows() {
		t.read(row)
	}
	if len(t.Faults) == 0 {
		t.Faults = t.lots.overdrawn()
	}
	if err := t.Faults.Err(); err != nil {
		return nil, err
	}
	return t.lots, nil
}

func (t *lotsTable) fault(key, what, hint string) { t.row.Fault(key, what, hint) }

func certificateColumn(name string) bool {
	parts := strings.Split(name, ".")
	return len(parts) == 3 && parts[0] == "contents" && parts[1] != "" && slices.Contains(contentWords, parts[2])
}

func (t *lotsTable) read(row words.Row) {
	t.row, t.cells = row, map[string]string{}
	for _, name := range t.heading {
		if t.cells[name] = row.Cell(name).Text; !slices.Contains(numbersAndDays, name) && !certificateColumn(name) {
			t.cells[name] = row.Text(name)
		}
	}
	switch {
	case t.cells["number"] == "":
		t.fault("number", "is missing", "")
	case t.cells["batch"] != "":
		t.draw()
	case t.cells["change"] != "":
		t.change()
	default:
		t.lot()
	}
}

func (t *lotsTable) draw() {
	number := t.cells["number"]
	d := Draw{Batch: t.cells["batch"], Record: t.cells["drawn_record"], Kg: t.number("drawn_kg", tomlfile.Any, nan), On: t.date("drawn_on"), Line: t.row.Line}
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
		By: t.cells["by"], On: t.date("changed_on"), Line: t.row.Line,
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
		Ingredient: t.Words.Ingredient(t.cells["ingredient"]),
		QuantityKg: t.number("quantity_kg", tomlfile.NonNegative, 0),
		PricePerKg: t.price(),
		Received:   t.date("received"),
		BestBefore: t.date("best_before"),
		State:      t.cells["state"],
		Reason:     t.cells["reason"],
		PackKg:     t.number("pack_kg", tomlfile.Positive, 0),
		Supplier:   t.cells["supplier"], DeliveryNote: t.cells["delivery_note"],
		Moisture: t.number("moisture_share", tomlfile.Range{Min: 0, Max: 0.99, Open: true}, 0),
		File:     t.lots.File,
		Line:     t.row.Line,
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
	t.seen[lot.Number] = t.row.Line
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
			lot.Lines[attribute] = t.row.Line
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
	if t.cells[key] == "" {
		return absent
	}
	return t.row.Number(key, allowed, absent)
}

// price reads what a kilogram cost; NaN when it is not said.
func (t *lotsTable) price() float64 {
	x, ok := t.money.of(t.row, "price_per_kg")
	if !ok {
		return nan
	}
	return x
}

// date reads a cell such as 2026-03-31; an empty one gives the zero time.
func (t *lotsTable) date(key string) time.Time { return t.row.Date(key) }

// Shape is how a CSV file of lots is written, for adding to it.
type Shape struct {
	Delimiter, Decimal rune
	// Line is where its heading stands, and Columns what each of its columns is, "" for one that is left alone.
	Line    int
	Columns []string
}

// LotsShape finds how the CSV text of a lots file of that name is written.
func LotsShape(file, text string) (Shape, error) {
	w, err := words.Open(file)
	if err != nil {
		return Shape{}, err
	}
	book, err := sheet.Read(file, []byte(text))
	if err != nil {
		return Shape{}, err
	}
	table, at, _, err := LotKind.Choose(book, w)
	if err != nil {
		return Shape{}, err
	}
	s := Shape{Delimiter: table.Delimiter, Decimal: table.Decimal, Line: table.Rows[at].Line}
	if w.Decimal != 0 {
		s.Decimal = w.Decimal
	}
	for _, cell := range table.Rows[at].Cells {
		s.Columns = append(s.Columns, LotKind.Means(cell.Text, w))
	}
	return s, nil
}

// Number writes a number, given with a decimal point, so that it is read back as it is.
func (s Shape) Number(text string) string {
	whole, decimals, found := strings.Cut(text, ".")
	if found && len(decimals) == 3 {
		decimals += "0" // three digits could be thousands
	}
	switch {
	case !found:
		return text
	case s.Decimal == ',':
		return whole + "," + decimals
	}
	return whole + "." + decimals
}
