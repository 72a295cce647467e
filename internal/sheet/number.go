package sheet

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// plainNumber is a number as programs write it, with an exponent or without a decimal sign.
var plainNumber = regexp.MustCompile(`^[+-]?[0-9]+(\.[0-9]+)?[eE][+-]?[0-9]+$|^[+-]?[0-9]+$`)

// writtenNumber is a number as people write it: digits, points, commas, and what parts thousands.
var writtenNumber = regexp.MustCompile(`^[+-]?([0-9][0-9.,'’ \x{00a0}\x{202f}\x{2009}]*[0-9]|[0-9]|[.,][0-9]+|[0-9]+[.,])$`)

// spaced is a whole number whose thousands are parted by spaces or apostrophes.
var spaced = regexp.MustCompile(`^[0-9]{1,3}(['’ \x{00a0}\x{202f}\x{2009}][0-9]{3})+$`)

var spaces = strings.NewReplacer("'", "", "’", "", " ", "", "\u00a0", "", "\u202f", "", "\u2009", "")

// reading is what a written number may be.
type reading struct {
	// decimal is the decimal sign it was surely written with, 0 where it has none or it is not sure.
	decimal rune
	// sign is the one point or comma that may be decimal or may part thousands, 0 where all is sure.
	sign rune
	// text is the number with a decimal point, taking sign for decimal; whole the same taking it for thousands.
	text, whole string
}

// read says what a text may be as a number; ok is false where it is none.
func read(text string) (r reading, ok bool) {
	text = strings.TrimSpace(text)
	if plainNumber.MatchString(text) {
		return reading{text: text}, true
	}
	text = strings.Replace(text, "\u2212", "-", 1)
	if !writtenNumber.MatchString(text) {
		return r, false
	}
	minus := ""
	if text[0] == '-' || text[0] == '+' {
		minus, text = text[:1], text[1:]
	}
	points, commas := strings.Count(text, "."), strings.Count(text, ",")
	decimal, grouping := '.', ','
	if strings.LastIndexByte(text, ',') > strings.LastIndexByte(text, '.') {
		decimal, grouping = ',', '.'
	}
	whole, after, _ := strings.Cut(text, string(decimal))
	switch {
	case points+commas == 0:
		after = ""
	case points > 0 && commas > 0: // the last one is decimal, if it is one
		if strings.Count(text, string(decimal)) > 1 || !grouped(whole, grouping) {
			return r, false
		}
		whole = strings.ReplaceAll(whole, string(grouping), "")
		r.decimal = decimal
	case points+commas > 1: // all part thousands
		if !grouped(text, decimal) {
			return r, false
		}
		return reading{decimal: grouping, text: minus + strings.ReplaceAll(text, string(decimal), "")}, true
	default:
		if strings.ContainsAny(after, "'’ \u00a0\u202f\u2009") {
			return r, false
		}
		r.decimal = decimal
		if len(after) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0' {
			r.decimal, r.sign, r.whole = 0, decimal, minus+whole+after
		}
	}
	if bare := spaces.Replace(whole); bare != whole {
		if !spaced.MatchString(whole) {
			return r, false
		}
		whole = bare
	}
	if r.text = minus + whole; after != "" {
		r.text += "." + after
	}
	return r, true
}

// grouped reports whether sign parts a number's digits into thousands.
func grouped(text string, sign rune) bool {
	parts := strings.Split(text, string(sign))
	for n, part := range parts {
		if strings.ContainsFunc(part, func(r rune) bool { return r < '0' || r > '9' }) || len(part) != 3 && (n > 0 || len(part) < 1 || len(part) > 3) {
			return false
		}
	}
	return true
}

// learn finds the decimal sign of a table out of those of its numbers that can be read in one way only; what
// stands between the cells of CSV decides where none can.
func (t *Table) learn() {
	found := map[rune]bool{}
	for _, row := range t.Rows {
		for _, cell := range row.Cells {
			if cell.Kind != Text {
				continue
			}
			if r, ok := read(first(Split(cell.Text))); ok && r.decimal != 0 {
				found[r.decimal] = true
			}
		}
	}
	switch {
	case found['.'] && !found[',']:
		t.Decimal, t.told = '.', true
	case found[','] && !found['.']:
		t.Decimal, t.told = ',', true
	case len(found) == 0 && t.Delimiter == ',':
		t.Decimal = '.'
	case len(found) == 0 && t.Delimiter == ';':
		t.Decimal = ','
	}
}

func first(number, _ string) string { return number }

// Say states the decimal sign of the table's numbers, '.' or ','.
func (t *Table) Say(decimal rune) { t.Decimal, t.told = decimal, true }

// Parse reads a number written as text in this table. wrong says what is wrong with it, and is empty when
// nothing is.
func (t *Table) Parse(text string) (x float64, wrong string) {
	r, ok := read(text)
	if !ok {
		return 0, fmt.Sprintf("%q is not a number", text)
	}
	digits := r.text
	switch {
	case r.sign == 0 || r.sign == t.Decimal:
	case t.told && t.Decimal != 0:
		digits = r.whole
	default:
		return 0, fmt.Sprintf("%q may be %s or %s", text, r.text, r.whole)
	}
	x, err := strconv.ParseFloat(digits, 64)
	if err != nil || math.IsInf(x, 0) || math.IsNaN(x) {
		return 0, fmt.Sprintf("%q is not a number", text)
	}
	return x, ""
}

// parted takes a text apart into a number and what stands before or after it, such as a unit or a currency.
var parted = regexp.MustCompile(`^([^0-9+\-\x{2212}.,]*?)\s*([+\-\x{2212}]?[0-9.,](?:[0-9.,'’ \x{00a0}\x{202f}\x{2009}]*[0-9])?(?:[eE][+-]?[0-9]+)?)\s*(.*)$`)

// Split takes a text such as "12,50 €" or "5 g/L" apart into the number and the rest; a text that holds no number
// is all number, to be refused as one.
func Split(text string) (number, unit string) {
	m := parted.FindStringSubmatch(text)
	if m == nil || m[1] != "" && m[3] != "" {
		return text, ""
	}
	return m[2], strings.TrimSpace(m[1] + m[3])
}
