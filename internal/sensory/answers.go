package sensory

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"bittersum/internal/tomlfile"
)

// OpenAnswers reads the answers of difference tests, [[test]] tables as Answers.TOML writes them. The error is a
// tomlfile.Faults.
func OpenAnswers(path string) ([]Answers, error) {
	doc, err := tomlfile.Open(path)
	if err != nil {
		return nil, err
	}
	root := doc.Root()
	root.Require("test")
	var all []Answers
	var names []string
	for _, t := range Tests {
		names = append(names, string(t))
	}
	for _, t := range root.Tables("test") {
		t.Require("kind", "of", "right")
		a := Answers{
			Test: Test(t.OneOf("kind", names...)), Of: t.Whole("of", 1, 100_000, 1), Right: t.Whole("right", 0, 100_000, 0),
			A: t.String("a"), B: t.String("b"), Note: t.String("note"), Line: t.Line(""),
			Attribute: t.String("attribute"), Base: t.NumberOr("base", tomlfile.Positive, math.NaN()), Changed: t.NumberOr("changed", tomlfile.Positive, math.NaN()),
		}
		if on := t.Date("on"); !on.IsZero() {
			a.On = on.Format(time.DateOnly)
		}
		if a.Right > a.Of {
			t.Fault("right", fmt.Sprintf("%d right answers of %d: 0 to %d are possible", a.Right, a.Of, a.Of), "")
		}
		if given := t.Has("attribute"); given != t.Has("base") || given != t.Has("changed") {
			t.Fault("", "needs attribute, base and changed together", "leave all three out where more than one thing was changed")
		}
		t.Done()
		all = append(all, a)
	}
	root.Done()
	return all, doc.Err()
}

// TOML returns the table that keeps the answers.
func (a Answers) TOML() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "\n[[test]]\nkind = %q\nof = %d\nright = %d\n", string(a.Test), a.Of, a.Right)
	for _, text := range []struct{ key, value string }{{"a", a.A}, {"b", a.B}, {"note", a.Note}, {"attribute", a.Attribute}} {
		if text.value != "" {
			data, _ := json.Marshal(text.value) // JSON's escapes are TOML's too
			fmt.Fprintf(&b, "%s = %s\n", text.key, data)
		}
	}
	if a.Attribute != "" {
		fmt.Fprintf(&b, "base = %s\nchanged = %s\n", strconv.FormatFloat(a.Base, 'f', -1, 64), strconv.FormatFloat(a.Changed, 'f', -1, 64))
	}
	if a.On != "" {
		fmt.Fprintf(&b, "on = %s\n", a.On)
	}
	return b.Bytes()
}

// ByAttribute groups the tests in which one attribute was changed, in the order of the names.
func ByAttribute(all []Answers) map[string][]Answers {
	groups := map[string][]Answers{}
	for _, a := range all {
		if a.Attribute != "" {
			groups[a.Attribute] = append(groups[a.Attribute], a)
		}
	}
	for _, g := range groups {
		slices.SortStableFunc(g, func(a, b Answers) int { return a.Line - b.Line })
	}
	return groups
}
