package report_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"

	"bittersum/internal/report"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// A sheet says in every form on what its bitterness and prices rest.
func TestSheetsSayWhatTheyRestOn(t *testing.T) {
	p := planned(t, "bitter-orange")
	notes := report.RestNotes(p.Assessment)
	require.Len(t, notes, 2)
	assert.Contains(t, notes[0], "Of this recipe's bitterness ")
	assert.Contains(t, notes[1], "Prices of ")
	form := func(file string) string {
		var b bytes.Buffer
		require.NoError(t, report.Sheet(&b, p, file, "a4"))
		return b.String()
	}
	for _, note := range notes {
		assert.Contains(t, words(form("s.txt")), note)
		assert.Contains(t, strings.ReplaceAll(form("s.html"), "&#39;", "'"), note)
	}
	var object struct {
		Lines []struct {
			Ingredient     string
			PriceFrom      string `json:"price_from"`
			BitternessFrom string `json:"bitterness_from"`
		}
		Assessment struct {
			Notes   []string
			RestsOn []struct {
				Kind, Name string
				Unchecked  float64 `json:"recalled_or_invented_share"`
			} `json:"rests_on"`
		}
	}
	require.NoError(t, json.Unmarshal([]byte(form("s.json")), &object))
	assert.Equal(t, notes, object.Assessment.Notes)
	require.NotEmpty(t, object.Assessment.RestsOn)
	assert.Equal(t, "bitterness", object.Assessment.RestsOn[0].Name)
	f, err := excelize.OpenReader(strings.NewReader(form("s.xlsx")))
	require.NoError(t, err)
	defer f.Close()
	cell, err := f.GetCellValue("Weigh", "A5")
	require.NoError(t, err)
	assert.Equal(t, strings.Join(notes, " "), cell)
	table, err := csv.NewReader(strings.NewReader(form("s.csv"))).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, []string{"price_from", "bitterness_from", "batch", "planned_on", "currency"}, table[0][len(table[0])-5:])
	table = table[:len(table)-1] // the total
	found := 0
	for n, row := range table[1:] {
		assert.Equal(t, object.Lines[n].PriceFrom, row[len(row)-5])
		assert.Equal(t, object.Lines[n].BitternessFrom, row[len(row)-4])
		if row[len(row)-4] != "" {
			found++
		}
	}
	assert.Positive(t, found)
}
