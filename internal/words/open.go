package words

import (
	"slices"

	"bittersum/internal/sheet"
)

// Question is a word whose meaning is not said, with what it likely means, and an example of what stands below
// a heading.
type Question struct {
	Word    string
	Line    int
	Likely  []string
	Example string
}

// Open lists the headings of the table that is meant whose column is not known and matters. One that is like no column,
// such as the supplier's own numbers, does where all columns must be known, or what is needed is not among what is likely.
func (k Kind) Open(t *sheet.Table, at int, w *Words) []Question {
	var open []Question
	var columns []Candidate
	var taken []string
	for _, cell := range t.Rows[at].Cells {
		taken = append(taken, k.Means(cell.Text, w))
	}
	for _, c := range k.Columns {
		if !slices.Contains(taken, c.Name) {
			columns = append(columns, Candidate{c.Name, append([]string{spaced(c.Name)}, c.Also...)})
		}
	}
	for _, name := range k.Hints {
		columns = append(columns, Candidate{name, []string{spaced(name)}})
	}
	for n, cell := range t.Rows[at].Cells {
		if cell.Text == "" || taken[n] != "" || slices.ContainsFunc(open, func(q Question) bool { return q.Word == cell.Text }) {
			continue
		}
		q := Question{Word: cell.Text, Line: t.Rows[at].Line, Likely: Likely(cell.Text, columns, 3)}
		for _, row := range t.Rows[at+1:] {
			if q.Example = row.At(n).Text; q.Example != "" {
				break
			}
		}
		open = append(open, q)
		taken = append(taken, q.Likely...)
	}
	if k.Strict || !k.enough(taken) {
		return open
	}
	return slices.DeleteFunc(open, func(q Question) bool { return len(q.Likely) == 0 })
}

func spaced(name string) string { return Folded(name) }

// Strangers lists the names of a table that neither the words kept nor known, which returns the name of what a
// text is called, has a meaning for.
func (t *Table) Strangers(known func(string) string, candidates []Candidate) []Question {
	var open []Question
	for _, row := range t.Rows() {
		text := row.Text("ingredient")
		if text == "" || t.Words.LeaveUnknown {
			continue
		}
		means := t.Words.Ingredient(text)
		if means == "" || known(means) != "" || t.Words.owns(text) || slices.ContainsFunc(open, func(q Question) bool { return q.Word == text }) {
			continue
		}
		open = append(open, Question{Word: text, Line: row.Line, Likely: Likely(text, candidates, 5)})
	}
	return open
}
