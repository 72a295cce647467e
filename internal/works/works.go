// Package works does what a command does to the maker's own files: it plans a batch and writes its sheet and
// record, fills a record in and books what it took, changes the shelf. The commands and the page both call it,
// so that the same thing is done, and refused in the same words, wherever it is asked for.
package works

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// Kind says what a refusal is about.
type Kind int

const (
	// Asked is about what was asked for.
	Asked Kind = iota
	// Unmet is about a drink that does not meet what it has to.
	Unmet
	// Contradicts is about what contradicts a file.
	Contradicts
)

// Refused is the refusal to do something that cannot or must not be done as it was asked for. Faults of the
// maker's files are tomlfile.Faults instead.
type Refused struct {
	Kind Kind
	Text string
}

func (r Refused) Error() string { return r.Text }

// Usage refuses what was asked for; options go by their flags' names.
func Usage(format string, args ...any) error { return Refused{Asked, fmt.Sprintf(format, args...)} }

func unmet(format string, args ...any) error { return Refused{Unmet, fmt.Sprintf(format, args...)} }

// Day returns the day that a clock shows.
func Day(now time.Time) time.Time {
	return time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, time.UTC)
}

// ParseDay reads a day; flag names what it was given for.
func ParseDay(flag, text string) (time.Time, error) {
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return day, Usage("%s: %q is not a date such as 2026-03-31", flag, text)
	}
	return day, nil
}

// Amount is a number by a name.
type Amount struct {
	Name  string
	Value float64
}

// ParseAmount reads NAME=NUMBER.
func ParseAmount(flag, text string) (Amount, error) {
	name, value, ok := strings.Cut(text, "=")
	x, err := strconv.ParseFloat(value, 64)
	if !ok || name == "" || err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return Amount{}, Usage("%s: %q is not NAME=NUMBER", flag, text)
	}
	return Amount{name, x}, nil
}

// Hinted puts a hint in brackets, if there is one.
func Hinted(hint string) string {
	if hint == "" {
		return ""
	}
	return "(" + hint + ")"
}
