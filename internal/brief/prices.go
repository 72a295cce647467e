package brief

import (
	"path/filepath"

	"bittersum/internal/tomlfile"
)

// readPrices reads the price list that the brief names.
func (b *Brief) readPrices(src source, file string) error {
	text, shown, err := src.text(file)
	if err != nil {
		return err
	}
	b.Prices, err = ParsePrices(shown, text)
	if err != nil && !filepath.IsLocal(file) { // what a file elsewhere holds is not repeated
		return tomlfile.Faults{{File: shown, What: "is no price list", Hint: "a price list is CSV with the heading ingredient,price_per_kg"}}
	}
	return err
}

// ParsePrices reads a price list from CSV text with the heading ingredient,price_per_kg; further
// columns are left alone. The error is a tomlfile.Faults.
func ParsePrices(file, text string) (map[string]Price, error) {
	rows, err := parseAmounts(file, text, "price_per_kg")
	if err != nil {
		return nil, err
	}
	prices := make(map[string]Price, len(rows))
	for _, row := range rows {
		prices[row.name] = Price{PerKg: row.amount, File: file, Line: row.line}
	}
	return prices, nil
}
