package sheet

import (
	"fmt"
	"regexp"
	"strconv"
	"time"
)

var (
	dotted  = regexp.MustCompile(`^([0-9]{1,2})\.\s?([0-9]{1,2})\.\s?([0-9]{4})$`)
	slashed = regexp.MustCompile(`^([0-9]{1,2})/([0-9]{1,2})/([0-9]{4})$`)
	serial  = regexp.MustCompile(`^[345][0-9]{4}$`)
)

// AsDay reads a date: a date of a workbook, 2026-03-31, 31.03.2026, or 31/03/2026 where no month is above 12.
// wrong says what is wrong with it, and is empty when nothing is.
func (c Cell) AsDay() (day time.Time, wrong string) {
	const want = "a date such as 2026-03-31"
	if c.Kind == Date {
		return c.Day, ""
	}
	if day, err := time.Parse(time.DateOnly, c.Text); err == nil {
		return day, ""
	}
	if m := dotted.FindStringSubmatch(c.Text); m != nil {
		return calendar(m[3], m[2], m[1], c.Text)
	}
	if m := slashed.FindStringSubmatch(c.Text); m != nil {
		switch a, b := number(m[1]), number(m[2]); {
		case a > 12:
			return calendar(m[3], m[2], m[1], c.Text)
		case b > 12:
			return calendar(m[3], m[1], m[2], c.Text)
		case a == b:
			return calendar(m[3], m[1], m[2], c.Text)
		}
		return day, fmt.Sprintf("%q may have the day or the month first; write it as 2026-03-31", c.Text)
	}
	if serial.MatchString(c.Text) {
		day := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).AddDate(0, 0, number(c.Text))
		return time.Time{}, fmt.Sprintf("%q is a number, not %s; as a spreadsheet counts days it would be %s: format the cell as a date", c.Text, want, day.Format(time.DateOnly))
	}
	return day, fmt.Sprintf("%q is not %s", c.Text, want)
}

func number(text string) int {
	n, _ := strconv.Atoi(text) // the patterns admit digits only
	return n
}

func calendar(year, month, day, text string) (time.Time, string) {
	y, m, d := number(year), number(month), number(day)
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	if t.Day() != d || int(t.Month()) != m {
		return time.Time{}, fmt.Sprintf("%q is no day of the calendar", text)
	}
	return t, ""
}
