package words

import (
	"regexp"
	"slices"
	"strings"
)

// codes are currencies that makers are likely to buy in, by their codes of ISO 4217 (memory). A code of three
// letters that is none of them is taken only where a currency is asked for.
var codes = strings.Fields(`EUR USD GBP CHF SEK NOK DKK ISK PLN CZK HUF RON BGN RSD UAH TRY AUD NZD CAD MXN BRL ARS
CLP COP PEN JPY CNY HKD TWD KRW INR IDR MYR PHP SGD THB VND ZAR NGN KES GHS MAD TND EGP ILS AED SAR`)

// signs are what is written for currencies, with the currencies that it may be.
var signs = map[string][]string{
	"€": {"EUR"}, "£": {"GBP"}, "₹": {"INR"}, "₺": {"TRY"}, "zł": {"PLN"}, "Kč": {"CZK"}, "US$": {"USD"}, "A$": {"AUD"}, "NZ$": {"NZD"}, "C$": {"CAD"},
	"$": {"USD", "AUD", "NZD", "CAD", "MXN", "ARS", "CLP", "COP", "HKD", "SGD", "TWD"}, "kr": {"SEK", "NOK", "DKK", "ISK"}, "¥": {"JPY", "CNY"}, "Fr.": {"CHF"},
}

var code = regexp.MustCompile(`^[A-Z]{3}$`)

// IsCode reports whether a text has the form of a currency's code.
func IsCode(text string) bool { return code.MatchString(text) }

var notLetters = regexp.MustCompile(`[^A-Za-z]+`)

// Currencies returns the currencies that a heading, a cell or what stands beside a number in it may name, and
// how they are written there; none where it names none.
func Currencies(text string) (of []string, written string) {
	for _, word := range notLetters.Split(text, -1) {
		if slices.Contains(codes, word) {
			return []string{word}, word
		}
	}
	for sign, names := range signs {
		letters := notLetters.ReplaceAllString(sign, "")
		found := strings.Contains(text, sign)
		if letters == sign { // a word of its own
			found = slices.Contains(notLetters.Split(text, -1), sign)
		}
		if found && len(sign) > len(written) {
			of, written = names, sign
		}
	}
	return of, written
}
