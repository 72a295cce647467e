// Package words says what the words of a maker's spreadsheet mean: which heading is which column and which name
// is which ingredient. What is not the same word is never guessed: it is asked once and kept in a file beside the
// spreadsheet.
package words

import (
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"

	"bittersum/internal/tomlfile"
)

// LeftOut is what a column or a name means that is of no use here.
const LeftOut = "-"

// Words is what the words of one spreadsheet mean.
type Words struct {
	// File is where they are kept, empty where nothing is said.
	File string
	// Sheet is the worksheet to read, empty where only one can be meant.
	Sheet string
	// Currency is the code of what prices are in, where the spreadsheet does not say.
	Currency string
	// Decimal is '.' or ',' where numbers are not clear by themselves, else 0.
	Decimal rune
	// LeaveUnknown leaves out rows whose ingredient nothing here knows.
	LeaveUnknown bool
	// Columns are the columns by heading and Names the ingredients by the maker's word; LeftOut is no use.
	Columns, Names map[string]string
	// Own are ingredients that are not in the library, by the maker's word: their new names.
	Own map[string]string
	// lines are where each word stands.
	lines map[string]int
}

// Beside returns the name of the file that says what the words of a spreadsheet mean.
func Beside(spreadsheet string) string { return spreadsheet + ".words.toml" }

// Open reads what is kept beside the spreadsheet at path; where there is nothing, nothing is said. The error
// is a tomlfile.Faults.
func Open(spreadsheet string) (*Words, error) {
	path := Beside(spreadsheet)
	if _, err := os.Stat(path); err != nil {
		return &Words{}, nil
	}
	doc, err := tomlfile.Open(path)
	if err != nil {
		return nil, err
	}
	return parse(doc)
}

func parse(doc *tomlfile.Document) (*Words, error) {
	root := doc.Root()
	w := &Words{File: doc.Name(), Columns: map[string]string{}, Names: map[string]string{}, Own: map[string]string{}, lines: map[string]int{}}
	w.Sheet = root.String("sheet")
	w.Currency = root.String("currency")
	if w.Currency != "" && !IsCode(w.Currency) {
		root.Fault("currency", fmt.Sprintf("%q is no code of a currency such as EUR", w.Currency), "")
	}
	switch root.OneOf("decimal", "point", "comma") {
	case "point":
		w.Decimal = '.'
	case "comma":
		w.Decimal = ','
	}
	w.LeaveUnknown = root.Bool("leave_unknown")
	for key, into := range map[string]map[string]string{"columns": w.Columns, "names": w.Names, "own": w.Own} {
		t := root.Table(key)
		if t == nil {
			continue
		}
		for _, word := range t.Keys() {
			into[word] = t.String(word)
			w.lines[word] = t.Line(word)
		}
	}
	root.Done()
	return w, doc.Err()
}

// Text returns what is kept of the words of a spreadsheet of that name.
func (w *Words) Text(spreadsheet string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# What the words of %s mean. %q: left out. Change it freely.\n", spreadsheet, LeftOut)
	put := func(key, value string) {
		if value != "" {
			fmt.Fprintf(&b, "%s = %s\n", key, tomlfile.Quote(value))
		}
	}
	put("sheet", w.Sheet)
	put("currency", w.Currency)
	put("decimal", map[rune]string{'.': "point", ',': "comma"}[w.Decimal])
	if w.LeaveUnknown {
		b.WriteString("leave_unknown = true\n")
	}
	for _, part := range []struct {
		key   string
		words map[string]string
	}{{"columns", w.Columns}, {"names", w.Names}, {"own", w.Own}} {
		if len(part.words) == 0 {
			continue
		}
		fmt.Fprintf(&b, "\n[%s]\n", part.key)
		for _, word := range slices.Sorted(maps.Keys(part.words)) {
			put(tomlfile.Quote(word), part.words[word])
		}
	}
	return b.String()
}

// Ingredient returns what a name of the spreadsheet means: the name itself where nothing is said of it, and
// nothing where it is left out.
func (w *Words) Ingredient(name string) string {
	for _, in := range []map[string]string{w.Names, w.Own} {
		for word, means := range in {
			if strings.EqualFold(word, name) {
				if means == LeftOut {
					return ""
				}
				return means
			}
		}
	}
	return name
}

// column returns what a heading is said to mean, or nothing.
func (w *Words) column(heading string) string {
	for word, means := range w.Columns {
		if strings.EqualFold(word, heading) {
			return means
		}
	}
	return ""
}

// owns reports whether a name is said to be an ingredient that is not in the library.
func (w *Words) owns(name string) bool {
	for word := range w.Own {
		if strings.EqualFold(word, name) {
			return true
		}
	}
	return false
}
