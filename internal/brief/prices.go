package brief

import (
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"bittersum/internal/profile"
	"bittersum/internal/sheet"
	"bittersum/internal/tomlfile"
	"bittersum/internal/words"
)

// PriceKind are the columns of a price list.
var PriceKind = words.Kind{
	Name: "prices",
	Columns: []words.Column{
		words.IngredientColumn,
		{Name: "price_per_kg", About: "price of a kilogram", Also: []string{"price kg", "eur kg", "preis kg", "preis je kg", "kilopreis", "prix kg", "prix au kilo", "prezzo kg", "prezzo al kg", "precio kg", "precio por kg", "kilopris", "prijs kg", "cena kg", "per kg"}},
		{Name: "price", About: "price of a pack, with pack_kg", Also: []string{"unit price", "preis", "einzelpreis", "prix", "prezzo", "precio", "prijs", "pris", "cena", "netto", "amount"}},
		{Name: "pack_kg", About: "kilograms in a pack", Also: []string{"pack", "pack size", "gebinde", "inhalt kg", "weight", "gewicht", "poids", "peso", "conditionnement", "kg"}},
		{Name: "currency", About: "code of the currency", Also: []string{"währung", "devise", "valuta", "moneda", "waluta", "měna"}},
	},
	Needed: [][]string{{"ingredient", "price_per_kg"}, {"ingredient", "price", "pack_kg"}},
}

// Money is a currency and what one of others costs in it, by code.
type Money struct {
	Currency string
	Rates    map[string]float64
}

// in returns an amount of another currency in this one. wrong says why it cannot, and is empty when it can.
func (m Money) in(x float64, currency string) (amount float64, wrong, hint string) {
	if currency == "" || currency == m.Currency {
		return x, "", ""
	}
	if rate, ok := m.Rates[currency]; ok {
		return x * rate, "", ""
	}
	return 0, fmt.Sprintf("is in %s, and the brief reckons in %s", currency, m.Currency), fmt.Sprintf("what one %s costs may stand in the brief: [exchange] %s = 0.00", currency, currency)
}

// Money returns what the brief's money is, and the rates that it states.
func (b *Brief) Money() Money { return Money{b.Currency, b.Exchange} }

// readExchange reads what other currencies cost.
func (b *Brief) readExchange(root *tomlfile.Table) {
	t := root.Table("exchange")
	if t == nil {
		return
	}
	b.Exchange = map[string]float64{}
	for _, currency := range t.Keys() {
		switch rate, ok := t.Number(currency, tomlfile.Positive); {
		case !words.IsCode(currency):
			t.Fault(currency, "is no code of a currency such as USD", "")
		case currency == b.Currency:
			t.Fault(currency, "is the brief's own currency", "")
		case ok:
			b.Exchange[currency] = rate
		}
	}
}

// readPrices reads the price list that the brief names.
func (b *Brief) readPrices(src source, file string) error {
	text, shown, err := src.text(file)
	if err != nil {
		return err
	}
	b.Prices, err = ParsePrices(shown, text, b.Money())
	if err != nil && !filepath.IsLocal(file) { // what a file elsewhere holds is not repeated
		return tomlfile.Faults{{File: shown, What: "is no price list", Hint: "a price list is CSV or a workbook with the heading ingredient,price_per_kg; to see what is wrong with it: bittersum words " + file + " --as prices"}}
	}
	return err
}

// OpenPrices reads a price list on its own and looks up its names, see ParsePrices and KnownPrices.
func OpenPrices(path string, money Money, lib *profile.Library) (map[string]Price, error) {
	text, err := readAny(path)
	if err != nil {
		return nil, err
	}
	prices, err := ParsePrices(path, text, money)
	if err != nil {
		return nil, err
	}
	return KnownPrices(prices, lib)
}

// ParsePrices reads a price list, CSV or a workbook, with the columns of PriceKind; further columns are left alone.
// Prices in other currencies are turned into that money. Names are as the words beside the list have them, see
// KnownPrices. The error is a tomlfile.Faults.
func ParsePrices(file, data string, money Money) (map[string]Price, error) {
	t, err := openTable(file, data, PriceKind)
	if err != nil {
		return nil, err
	}
	prices := map[string]Price{}
	for _, row := range t.Rows() {
		written := row.Text("ingredient")
		name := t.Words.Ingredient(written)
		switch {
		case written == "":
			row.Fault("ingredient", "is missing", "")
			continue
		case name == "":
			continue
		}
		per, ok := perKg(row, money)
		if !ok {
			continue
		}
		if first, twice := prices[name]; twice {
			row.Fault("ingredient", fmt.Sprintf("%q stands twice, first on line %d", name, first.Line), "")
			continue
		}
		prices[name] = Price{PerKg: per, File: file, Line: row.Line, Loose: t.Words.LeaveUnknown, at: placeOf(t, row)}
	}
	return prices, t.Faults.Err()
}

// placeOf names the sheet and cell of a row's name, and is empty for CSV.
func placeOf(t *words.Table, row words.Row) string {
	if t.Sheet == "" {
		return ""
	}
	return row.Place("ingredient")
}

// perKg returns the price of a kilogram that a row gives. What is wrong is noted.
func perKg(row words.Row, money Money) (per float64, ok bool) {
	column, kg := "price_per_kg", 1.0
	if row.Cell(column).Text == "" && (row.Cell("price").Text != "" || !row.Has(column)) {
		column = "price"
		if kg = row.Number("pack_kg", tomlfile.Positive, 0); kg == 0 {
			if row.Cell("pack_kg").Text == "" {
				row.Fault("pack_kg", "is missing: how many kg the price is for", "")
			}
			return 0, false
		}
	}
	if row.Cell(column).Text == "" {
		row.Fault(column, "is missing; a number is needed", "")
		return 0, false
	}
	x, ok := money.of(row, column)
	return x / kg, ok
}

// of returns the amount of a row's column in this money; without a currency of its own it takes what stands there.
// What is wrong is noted.
func (m Money) of(row words.Row, column string) (x float64, ok bool) {
	x, currency, ok := row.Money(column, m.Currency)
	if !ok || m.Currency == "" {
		return x, ok
	}
	x, wrong, hint := m.in(x, currency)
	if wrong != "" {
		row.Fault(column, wrong, hint)
		return 0, false
	}
	return x, true
}

// openTable reads the table that a file of that name holds, in the words kept beside it.
func openTable(file, data string, kind words.Kind) (*words.Table, error) {
	w, err := words.Open(file)
	if err != nil {
		return nil, err
	}
	book, err := sheet.Read(file, []byte(data))
	if err != nil {
		return nil, err
	}
	return kind.Read(book, w)
}

// KnownPrices gives prices by the names of the library, which a list may write as the library's titles do. The
// error is a tomlfile.Faults of names that nothing is known of, unless the words beside the list leave them out.
func KnownPrices(prices map[string]Price, lib *profile.Library) (map[string]Price, error) {
	known := make(map[string]Price, len(prices))
	var faults tomlfile.Faults
	byLine := slices.SortedFunc(maps.Keys(prices), func(a, b string) int { return prices[a].Line - prices[b].Line })
	for _, written := range byLine {
		price := prices[written]
		fault := tomlfile.Fault{File: price.File, Line: price.Line, Key: price.at}
		name := lib.Called(written)
		if name == "" {
			if price.Loose {
				continue
			}
			fault.What = "there is no ingredient " + strconv.Quote(written)
			if fault.Hint = tomlfile.DidYouMean(written, lib.IngredientNames()); fault.Hint == "" {
				fault.Hint = PriceKind.SayIt(price.File)
			}
		} else if first, twice := known[name]; twice {
			fault.What = fmt.Sprintf("%q stands twice, first on line %d", name, first.Line)
		}
		if fault.What != "" {
			faults = append(faults, fault)
			continue
		}
		known[name] = price
	}
	return known, faults.Err()
}

// knownPrices looks up the names of the price list, and those of lots that the library has under others.
func (r *resolver) knownPrices() {
	known, err := KnownPrices(r.Prices, r.Library)
	var faults tomlfile.Faults
	if errors.As(err, &faults) {
		r.faults = append(r.faults, faults...)
	}
	r.Prices = known
	callLots(r.Lots, r.Library)
}

// readAny reads a file whose name says what it is: a spreadsheet as it is, all else as text.
func readAny(path string) (string, error) {
	if !sheet.IsTable(path) {
		return tomlfile.ReadText(path)
	}
	data, err := tomlfile.ReadBytes(path)
	return strings.TrimPrefix(string(data), "\ufeff"), err
}
