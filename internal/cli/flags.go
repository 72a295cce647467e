package cli

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"
)

// needed says what a flag takes, by the type of its value.
var needed = map[string]string{
	"float64":  "a number is needed, such as 12 or 0.5",
	"int":      "a whole number is needed, such as 12",
	"uint64":   "a whole number that is not below zero is needed",
	"duration": "a time is needed, such as 30s or 2m",
	"bool":     "it takes true or false, or stands by itself",
}

// flagError refuses a wrong flag in one line; what a value of the wrong form should have been is said in words, not in
// those of the function that could not read it.
func flagError(err error) error {
	var wrong *pflag.InvalidValueError
	if !errors.As(err, &wrong) {
		return exitError{code: codeUsage, err: err}
	}
	flag := wrong.GetFlag()
	value := wrong.GetValue()
	what, known := needed[flag.Value.Type()]
	switch {
	case !known:
		what = fmt.Sprint(errors.Unwrap(wrong))
	case errors.Is(err, strconv.ErrRange) && strings.HasPrefix(value, "-"):
		what = "is too far below zero"
	case errors.Is(err, strconv.ErrRange):
		what = "is too large"
	}
	return usage("--%s %s: %s", flag.Name, shown(value), what)
}

// shown is a value as it was given, in quotation marks where it would not stand out as one word.
func shown(value string) string {
	quoted := strconv.Quote(value)
	if value == "" || len(value) > 40 || strings.Contains(value, " ") || quoted != `"`+value+`"` {
		return quoted
	}
	return value
}
