// Package report writes answers as text, JSON and CSV. It does no arithmetic of its own beyond the
// rounding of what is shown.
package report

import (
	"math"
	"strconv"
	"strings"
)

// figures prints x with n significant figures and without an exponent; zero is "0".
func figures(x float64, n int) string {
	switch {
	case math.IsNaN(x):
		return "?"
	case math.IsInf(x, 1):
		return "no end"
	case math.IsInf(x, -1):
		return "no end"
	case x == 0 || math.Abs(x) < 1e-12:
		return "0"
	}
	decimals := max(0, n-1-int(math.Floor(math.Log10(math.Abs(x)))))
	text := strconv.FormatFloat(x, 'f', min(decimals, 12), 64)
	// Rounding may have carried into another place: 9.996 to three figures is 10.0, not 10.00.
	if again, _ := strconv.ParseFloat(text, 64); again != 0 {
		decimals = max(0, n-1-int(math.Floor(math.Log10(math.Abs(again)))))
		text = strconv.FormatFloat(x, 'f', min(decimals, 12), 64)
	}
	return text
}

// trimmed prints x with at most n significant figures and no idle zeros.
func trimmed(x float64, n int) string {
	text := figures(x, n)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// plain prints x as the shortest decimal that is x: the way it was written, or rounded before.
func plain(x float64) string {
	switch {
	case math.IsInf(x, 0):
		return "no end"
	case math.IsNaN(x):
		return "?"
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// fixed prints x with so many decimals.
func fixed(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }

// signed prints x with n significant figures and always a sign.
func signed(x float64, n int) string {
	text := figures(x, n)
	if x > 0 && text != "0" {
		return "+" + text
	}
	return text
}

// percent prints a share as a whole percentage, with a decimal below ten.
func percent(share float64) string {
	p := share * 100
	if math.Abs(p) < 9.95 && math.Abs(p) >= 0.05 {
		return fixed(p, 1) + " %"
	}
	return fixed(p, 0) + " %"
}

// span prints a range as a maker says it.
func span(least, most float64) string {
	switch {
	case math.IsInf(least, -1) && math.IsInf(most, 1):
		return ""
	case least == most:
		return "exactly " + plain(least)
	case math.IsInf(most, 1):
		return "at least " + plain(least)
	case math.IsInf(least, -1):
		return "at most " + plain(most)
	}
	return plain(least) + " to " + plain(most)
}

// wrap breaks text into lines of at most width letters, each after the first led by indent, which does
// not count.
func wrap(text string, width int, indent string) string {
	var b strings.Builder
	column := 0
	for n, word := range strings.Fields(text) {
		length := len([]rune(word))
		switch {
		case n == 0:
		case column+1+length > width:
			b.WriteString("\n" + indent)
			column = 0
		default:
			b.WriteByte(' ')
			column++
		}
		b.WriteString(word)
		column += length
	}
	return b.String()
}
