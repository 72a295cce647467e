package report_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"slices"
	"strings"
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/kettle"
	"bittersum/internal/label"
	"bittersum/internal/report"
	"bittersum/internal/study"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// Every form of an answer that judges caps or drafts a label says by which classes of rules, and which are left to
// the maker: a drink that "keeps the caps" keeps only those that are held.
func TestEveryFormSaysWhatItWasJudgedBy(t *testing.T) {
	p := planned(t, "bitter-lemon")
	job, a := p.Job, p.Assessment
	held, lacking := assess.Coverage(job)
	require.NotEmpty(t, held)
	require.NotEmpty(t, lacking)
	answer := p.Answer
	stressed, err := study.Stress(a, study.StressOptions{Draws: 200, Seed: 1})
	require.NoError(t, err)
	labels := label.New(a, label.Options{})

	written := func(write func(w io.Writer) error) string {
		var out bytes.Buffer
		require.NoError(t, write(&out))
		return out.String()
	}
	text := func(write func(w io.Writer)) string {
		return written(func(w io.Writer) error { write(w); return nil })
	}
	sheet := func(file string) string {
		return written(func(w io.Writer) error { return report.Sheet(w, p, file, "a4") })
	}
	line := "Judged by what is held of rules on " + strings.Join(held, ", ") + "; not at all on " + lacking[0]
	for form, got := range map[string]string{
		"blend text":  text(func(w io.Writer) { report.Blend(w, answer, report.Short) }),
		"assess text": text(func(w io.Writer) { report.Assess(w, a, report.Short) }),
		"stress text": text(func(w io.Writer) { report.Stress(w, stressed, report.Short) }),
		"label text":  text(func(w io.Writer) { report.Labels(w, job, labels) }),
		"batch text":  sheet("s.txt"),
		"batch page":  sheet("s.html"),
		"batch sheet": capsSheet(t, p),
	} {
		assert.Contains(t, strings.Join(strings.Fields(got), " "), line, form)
	}
	for form, got := range map[string]string{
		"blend JSON":  written(func(w io.Writer) error { return report.BlendJSON(w, answer) }),
		"assess JSON": written(func(w io.Writer) error { return report.AssessJSON(w, a) }),
		"stress JSON": written(func(w io.Writer) error { return report.StressJSON(w, stressed) }),
		"label JSON":  written(func(w io.Writer) error { return report.LabelsJSON(w, job, labels) }),
		"batch JSON":  sheet("s.json"),
	} {
		require.True(t, json.Valid([]byte(got)), form)
		for key, classes := range map[string][]string{"judged_by_rules_on": held, "no_rules_held_on": lacking} {
			assert.Equal(t, classes, listUnder(t, got, key), "%s: %s", form, key)
		}
	}
	rows, err := csv.NewReader(strings.NewReader(written(func(w io.Writer) error { return report.AssessCSV(w, a) }))).ReadAll()
	require.NoError(t, err)
	found := map[string][]string{}
	for _, row := range rows {
		if row[0] == "rules" {
			found[row[6]] = append(found[row[6]], row[1])
		}
	}
	assert.Equal(t, map[string][]string{"held": held, "not held": lacking}, found, "assess CSV")
}

// capsSheet is the sheet of caps of a batch's workbook, cell by cell.
func capsSheet(t *testing.T, p *kettle.Plan) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, report.BatchXLSX(&out, p, "a4"))
	f, err := excelize.OpenReader(&out)
	require.NoError(t, err)
	defer f.Close()
	rows, err := f.GetRows("Caps")
	require.NoError(t, err)
	return strings.Join(slices.Concat(rows...), " ")
}

// listUnder returns the first list of words that a JSON text holds under a key, at any depth.
func listUnder(t *testing.T, text, key string) []string {
	t.Helper()
	_, after, found := strings.Cut(text, `"`+key+`":`)
	require.True(t, found, "%s is missing", key)
	var list []string
	require.NoError(t, json.NewDecoder(strings.NewReader(after)).Decode(&list))
	return list
}
