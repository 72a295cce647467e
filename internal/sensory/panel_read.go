package sensory

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"bittersum/internal/csvfile"
	"bittersum/internal/tomlfile"
)

// OpenPanel reads a tasting on a line and the scores beside it:
//
//	attribute = "aroma-citrus"
//	scale = 100
//	scores = "scores.csv"
//	[[reference]]
//	name = "R1"
//	strength = 5
//	[[sample]]
//	name = "P"
//	ingredient = "orange-peel"
//	g_per_l = 1.5
//
// The scores are CSV with the columns taster, sample and score, a row for each cup; others are left alone. The error
// is a tomlfile.Faults of all that is wrong.
func OpenPanel(path string) (*LineScale, error) {
	doc, err := tomlfile.Open(path)
	if err != nil {
		return nil, err
	}
	root := doc.Root()
	root.Require("attribute", "scale", "scores")
	l := &LineScale{Attribute: root.String("attribute"), Scale: root.NumberOr("scale", tomlfile.Positive, 100)}
	scores := root.String("scores")
	known := func(t *tomlfile.Table, name string) {
		if slices.ContainsFunc(l.Samples, func(s LineSample) bool { return s.Name == name }) {
			t.Fault("name", fmt.Sprintf("%q stands here twice", name), "give each a name or code of its own")
		}
	}
	for _, t := range root.Tables("reference") {
		t.Require("name", "strength")
		s := LineSample{Name: t.String("name"), Strength: t.NumberOr("strength", tomlfile.Positive, 1)}
		known(t, s.Name)
		l.Samples = append(l.Samples, s)
		t.Done()
	}
	for _, t := range root.Tables("sample") {
		t.Require("name")
		s := LineSample{Name: t.String("name"), Ingredient: t.String("ingredient"), GramsPerLitre: t.NumberOr("g_per_l", tomlfile.Positive, 0)}
		if t.Has("ingredient") != t.Has("g_per_l") {
			t.Fault("", "needs ingredient and g_per_l together", "leave both out for a drink")
		}
		known(t, s.Name)
		l.Samples = append(l.Samples, s)
		t.Done()
	}
	if len(l.Samples) < 2 {
		root.Fault("sample", "there are fewer than two samples", "a [[reference]] or [[sample]] table for each")
	}
	root.Done()
	if err := doc.Err(); err != nil {
		return nil, err
	}
	return l, l.readScores(filepath.Join(filepath.Dir(path), scores))
}

// readScores reads the marks.
func (l *LineScale) readScores(path string) error {
	text, err := tomlfile.ReadText(path)
	if err != nil {
		return err
	}
	var faults tomlfile.Faults
	fault := func(line int, what, hint string) {
		faults = append(faults, tomlfile.Fault{File: path, Line: line, What: what, Hint: hint})
	}
	columns := map[string]int{}
	marks := map[[2]string][]float64{}
	line, wrong := csvfile.EachRow(text, func(line int, cells []string) bool {
		if len(columns) == 0 {
			for n, cell := range cells {
				columns[strings.ToLower(strings.TrimSpace(cell))] = n
			}
			for _, name := range []string{"taster", "sample", "score"} {
				if _, ok := columns[name]; !ok {
					fault(line, fmt.Sprintf("has no column %q", name), "the heading is taster,sample,score")
				}
			}
			return len(faults) == 0
		}
		l.readMark(line, cells, columns, marks, fault)
		return true
	})
	switch {
	case wrong != "":
		fault(line, wrong, "")
	case len(columns) == 0:
		fault(0, "is empty", "the heading is taster,sample,score")
	}
	if err := faults.Err(); err != nil {
		return err
	}
	return l.arrange(path, marks)
}

// readMark reads one row.
func (l *LineScale) readMark(line int, cells []string, columns map[string]int, marks map[[2]string][]float64, fault func(int, string, string)) {
	cell := func(name string) string {
		if at := columns[name]; at < len(cells) {
			return strings.TrimSpace(cells[at])
		}
		return ""
	}
	taster, sample := cell("taster"), cell("sample")
	var samples []string
	for _, s := range l.Samples {
		samples = append(samples, s.Name)
	}
	score, err := csvfile.Number(cell("score"))
	switch {
	case taster == "":
		fault(line, "has no taster", "")
	case !slices.Contains(samples, sample):
		fault(line, fmt.Sprintf("there is no sample %q", sample), tomlfile.DidYouMean(sample, samples))
	case err != nil:
		fault(line, fmt.Sprintf("the score %q is no number", cell("score")), "")
	case !(score >= 0 && score <= l.Scale):
		fault(line, fmt.Sprintf("the score %g lies outside the line of 0 to %g", score, l.Scale), "")
	default:
		if !slices.Contains(l.Tasters, taster) {
			l.Tasters = append(l.Tasters, taster)
		}
		key := [2]string{sample, taster}
		marks[key] = append(marks[key], score)
	}
}

// arrange puts the marks into their layout; every taster has to have tasted every sample as often.
func (l *LineScale) arrange(path string, marks map[[2]string][]float64) error {
	var faults tomlfile.Faults
	if len(l.Tasters) < 2 {
		faults = append(faults, tomlfile.Fault{File: path, What: fmt.Sprintf("holds marks of %d tasters", len(l.Tasters)), Hint: "a panel is two or more"})
		return faults.Err()
	}
	cups := 0
	for _, m := range marks {
		cups = max(cups, len(m))
	}
	for _, s := range l.Samples {
		var row [][]float64
		for _, taster := range l.Tasters {
			m := marks[[2]string{s.Name, taster}]
			if len(m) != cups {
				faults = append(faults, tomlfile.Fault{File: path, What: fmt.Sprintf("%s marked sample %s %d times, and another was marked %d times", taster, s.Name, len(m), cups), Hint: "each taster marks each sample as often; leave a taster out who did not"})
			}
			row = append(row, m)
		}
		l.Scores = append(l.Scores, row)
	}
	return faults.Err()
}
