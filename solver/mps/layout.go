package mps

import (
	"fmt"
	"strings"
)

// line is one data line with its place in the file.
type line struct {
	number int
	text   string
}

// record is one data line cut into fields: kind is the row or bound type, set the column or the name
// of the vector, and the pairs name rows or columns with their numbers as written. A field that is
// absent is empty.
type record struct {
	kind, set    string
	name1, text1 string
	name2, text2 string
	marker       string
	hasValue     bool
	// setUnclear marks a bound of three words in the free layout, which are type, set and column or
	// type, column and number. They stand in kind, set and text1.
	setUnclear bool
}

// layout cuts a data line of a section into fields.
type layout func(section, text string) (record, error)

// fixedStarts and fixedEnds bound the six fields of the fixed layout, counted from 0.
var (
	fixedStarts = [6]int{1, 4, 14, 24, 39, 49}
	fixedEnds   = [6]int{3, 12, 22, 36, 47, 61}
)

// fixedFields cuts text at the columns of the fixed layout, and reports false if anything stands
// between the fields.
func fixedFields(text string) (fields [6]string, ok bool) {
	position := 0
	for _, start := range [...]int{fixedStarts[2], fixedStarts[4]} { // where a remark may begin
		if strings.HasPrefix(cut(text, start, len(text)), "$") {
			text = text[:start]
		}
	}
	for i := range fields {
		if between := cut(text, position, fixedStarts[i]); trimBlanks(between) != "" {
			return fields, false
		}
		fields[i] = trimBlanks(cut(text, fixedStarts[i], fixedEnds[i]))
		position = fixedEnds[i]
	}
	return fields, trimBlanks(cut(text, position, len(text))) == ""
}

// trimBlanks takes the blanks at both ends away; lines in fixed columns have no other white space.
func trimBlanks(text string) string {
	first, last := 0, len(text)
	for first < last && text[first] == ' ' {
		first++
	}
	for first < last && text[last-1] == ' ' {
		last--
	}
	return text[first:last]
}

func cut(text string, from, to int) string {
	if from >= len(text) {
		return ""
	}
	return text[from:min(to, len(text))]
}

// fixed is the layout by columns.
func fixed(section, text string) (record, error) {
	for i := range len(text) {
		if text[i] >= 0x80 || text[i] == '\t' {
			return record{}, fmt.Errorf("a tab or a letter beyond ASCII has no column")
		}
	}
	f, ok := fixedFields(text)
	if !ok {
		return record{}, fmt.Errorf("text stands between the fixed columns")
	}
	fault := func() (record, error) {
		return record{}, fmt.Errorf("the fields do not fill the fixed columns of a %s line", section)
	}
	switch section {
	case "ROWS":
		if f[0] == "" || f[1] == "" || f[2]+f[3]+f[4]+f[5] != "" {
			return fault()
		}
		return record{kind: f[0], name1: f[1]}, nil
	case "BOUNDS":
		if f[0] == "" || f[2] == "" || f[4]+f[5] != "" || (f[3] != "" && !isNumber(f[3])) {
			return fault()
		}
		return record{kind: f[0], set: f[1], name1: f[2], text1: f[3], hasValue: f[3] != ""}, nil
	case "COLUMNS":
		if f[0] != "" || f[1] == "" || f[2] == "" {
			return fault()
		}
		if isMarker(f[2]) && f[3] == "" {
			return record{set: f[1], marker: unquote(f[4])}, nil
		}
	case "RHS", "RANGES":
		if f[0] != "" || f[2] == "" {
			return fault()
		}
	default:
		return record{}, fmt.Errorf("section %s has no fixed columns", section)
	}
	if !isNumber(f[3]) || (f[4] == "") != (f[5] == "") || (f[5] != "" && !isNumber(f[5])) {
		return fault()
	}
	return record{set: f[1], name1: f[2], text1: f[3], name2: f[4], text2: f[5]}, nil
}

// free is the layout parted by blanks.
func free(section, text string) (record, error) {
	w := strings.Fields(text)
	switch section {
	case "ROWS":
		if len(w) != 2 {
			return record{}, fmt.Errorf("a ROWS line holds a type and a name, not %s", words(len(w)))
		}
		return record{kind: w[0], name1: w[1]}, nil
	case "COLUMNS":
		if len(w) == 3 && isMarker(w[1]) {
			return record{set: w[0], marker: unquote(w[2])}, nil
		}
		if len(w) != 3 && len(w) != 5 {
			return record{}, fmt.Errorf("a COLUMNS line holds a column and one or two pairs of row and number, not %s", words(len(w)))
		}
		return pairs(record{set: w[0]}, w[1:]), nil
	case "RHS", "RANGES":
		switch len(w) {
		case 2, 4:
			return pairs(record{}, w), nil
		case 3, 5:
			return pairs(record{set: w[0]}, w[1:]), nil
		}
		return record{}, fmt.Errorf("a %s line holds a set and one or two pairs of row and number, not %s", section, words(len(w)))
	case "BOUNDS":
		switch len(w) {
		case 2:
			return record{kind: w[0], name1: w[1]}, nil
		case 3:
			return record{kind: w[0], set: w[1], name1: w[1], text1: w[2], setUnclear: true}, nil
		case 4:
			return record{kind: w[0], set: w[1], name1: w[2], text1: w[3], hasValue: true}, nil
		}
		return record{}, fmt.Errorf("a BOUNDS line holds a type, a set, a column and a number, not %s", words(len(w)))
	}
	return record{}, fmt.Errorf("section %s takes no such line", section)
}

func pairs(r record, w []string) record {
	r.name1, r.text1 = w[0], w[1]
	if len(w) > 2 {
		r.name2, r.text2 = w[2], w[3]
	}
	return r
}

func words(n int) string {
	if n == 1 {
		return "1 word"
	}
	return fmt.Sprintf("%d words", n)
}

func isMarker(word string) bool { return word != "" && word[0] == '\'' && unquote(word) == "MARKER" }

func unquote(word string) string { return strings.Trim(word, "'") }
