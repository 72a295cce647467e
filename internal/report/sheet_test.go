package report_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/profile"
	"bittersum/internal/report"
	"bittersum/profiles"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// planned is a batch of a demo, with a lot whose number has to be escaped on a page.
func planned(t *testing.T, demo string) *kettle.Plan {
	t.Helper()
	lib, err := profile.Embedded()
	require.NoError(t, err)
	data, err := profiles.FS.ReadFile("demo/" + demo + ".toml")
	require.NoError(t, err)
	fsys := fstest.MapFS{
		"b.toml": {Data: append([]byte("lots = \"l.toml\"\n"), data...)},
		"l.toml": {Data: []byte("[[lot]]\nnumber = \"<S&1>\"\ningredient = \"sugar\"\nquantity_kg = 5\npack_kg = 2.5\nbest_before = 2027-03-31\n")},
	}
	job, err := brief.OpenFS(fsys, "b.toml", "", lib, brief.Litres(250), brief.OnDay(time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)))
	require.NoError(t, err)
	p, err := kettle.New(context.Background(), job, kettle.Options{Litres: 250, Number: "BL-42"})
	require.NoError(t, err)
	require.NotNil(t, p.Assessment)
	return p
}

// The workbook, opened again, holds every amount of the plan as a number, and so do CSV and JSON.
func TestWorkbookHoldsThePlan(t *testing.T) {
	p := planned(t, "bitter-lemon")
	var x, c, j bytes.Buffer
	require.NoError(t, report.Sheet(&x, p, "s.XLSX", "letter"))
	require.NoError(t, report.Sheet(&c, p, "s.csv", "a4"))
	require.NoError(t, report.Sheet(&j, p, "s.json", "a4"))
	f, err := excelize.OpenReader(bytes.NewReader(x.Bytes()))
	require.NoError(t, err)
	defer f.Close()
	assert.Equal(t, []string{"Weigh", "Work", "Hold points", "Caps", "To buy"}, f.GetSheetList())
	rows, err := f.GetRows("Weigh", excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	assert.Equal(t, "Batch BL-42", rows[0][0])
	table, err := csv.NewReader(&c).ReadAll()
	require.NoError(t, err)
	var object struct {
		Schema string
		Lines  []struct {
			Ingredient, Lot string
			Grams           float64
		}
	}
	require.NoError(t, json.Unmarshal(j.Bytes(), &object))
	assert.Equal(t, "bittersum/batch/1", object.Schema)
	require.Len(t, rows, 7+len(p.Lines))
	require.Len(t, table, 2+len(p.Lines))
	require.Len(t, object.Lines, len(p.Lines))
	assert.Equal(t, table[0][:len(table[0])-3], rows[6][:len(table[0])-3], "the same heading")
	total, sum := table[len(table)-1], 0.0
	for _, l := range p.Lines {
		sum += l.Grams
	}
	assert.Equal(t, []string{"total", "BL-42", "2026-11-25", "EUR"}, append([]string{total[0]}, total[len(total)-3:]...))
	weighed, err := strconv.ParseFloat(total[4], 64)
	require.NoError(t, err)
	assert.InDelta(t, sum, weighed, 1e-3)
	want := map[string]kettle.Line{}
	for _, l := range p.Lines {
		want[l.Source.Name] = l
	}
	for n, row := range rows[7:] {
		name := row[1]
		if row[2] != "" {
			name += "/" + row[2]
		}
		l, ok := want[name]
		require.True(t, ok, name)
		delete(want, name)
		cell, err := excelize.CoordinatesToCellName(5, 8+n)
		require.NoError(t, err)
		kind, err := f.GetCellType("Weigh", cell)
		require.NoError(t, err)
		assert.Contains(t, []excelize.CellType{excelize.CellTypeNumber, excelize.CellTypeUnset}, kind, "an amount is a number")
		for _, text := range []string{row[4], table[1+n][4]} {
			x, err := strconv.ParseFloat(text, 64)
			require.NoError(t, err)
			assert.Equal(t, l.Grams, x, name)
		}
		assert.Equal(t, l.Grams, object.Lines[n].Grams)
		if l.Packs > 0 {
			assert.Equal(t, strconv.Itoa(l.Packs), row[10])
		}
	}
	assert.Empty(t, want)
	caps, err := f.GetRows("Caps", excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	assert.Len(t, caps, 2+len(p.Assessment.Caps), "what they were judged by, the heading, the caps")
	layout, err := f.GetPageLayout("Weigh")
	require.NoError(t, err)
	assert.Equal(t, 1, *layout.Size, "letter")
}

func TestPageHoldsThePlanAndEscapesIt(t *testing.T) {
	p := planned(t, "bitter-lemon")
	for _, paper := range []string{"a4", "letter"} {
		var b bytes.Buffer
		require.NoError(t, report.Sheet(&b, p, "s.html", paper))
		page := b.String()
		assert.Contains(t, page, "size: "+map[string]string{"a4": "A4", "letter": "letter"}[paper])
		assert.Contains(t, page, "&lt;S&amp;1&gt;")
		assert.NotContains(t, page, "<S&1>")
		for _, l := range p.Lines {
			assert.Contains(t, page, "<td>"+l.Source.Ingredient.Name+"</td>")
		}
		assert.NotContains(t, page, "ZgotmplZ", "the template refused a value")
		assert.NotRegexp(t, regexp.MustCompile(`#[0-9a-fA-F]{3,6}`), regexp.MustCompile(`#000|#fff|#777`).ReplaceAllString(page, ""), "only black, white and one grey")
		assert.NotContains(t, page, "http", "nothing is fetched")
	}
}

// Printed by a browser, the longest sheets of the demos are one page.
func TestSheetPrintsOnOnePage(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	if errors.Is(err, exec.ErrNotFound) {
		t.Skip("chromium is not installed: the sheet is not printed")
	}
	for demo, papers := range map[string][]string{"bitter-orange": {"a4", "letter"}, "bitter-lemon": {"letter"}} {
		for _, paper := range papers {
			t.Run(demo+" "+paper, func(t *testing.T) {
				dir := t.TempDir()
				var b bytes.Buffer
				require.NoError(t, report.Sheet(&b, planned(t, demo), "s.html", paper))
				page, pdf := filepath.Join(dir, "s.html"), filepath.Join(dir, "s.pdf")
				require.NoError(t, os.WriteFile(page, b.Bytes(), 0o600))
				out, err := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir="+filepath.Join(dir, "u"),
					"--no-pdf-header-footer", "--print-to-pdf="+pdf, "file://"+page).CombinedOutput()
				if err != nil {
					t.Skipf("chromium does not run here: %v: %.200s", err, out)
				}
				data, err := os.ReadFile(pdf)
				require.NoError(t, err)
				m := regexp.MustCompile(`/Type /Pages\s+/Count (\d+)`).FindSubmatch(data)
				require.NotNil(t, m)
				assert.Equal(t, "1", string(m[1]), "pages")
				box := regexp.MustCompile(`/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]`).FindSubmatch(data)
				require.NotNil(t, box)
				height, _ := strconv.ParseFloat(string(box[2]), 64)
				assert.InDelta(t, map[string]float64{"a4": 842, "letter": 792}[paper], height, 1)
			})
		}
	}
}

func TestSheetsOfOtherKindsAreRefused(t *testing.T) {
	assert.False(t, slices.Contains(report.SheetEndings, filepath.Ext("s.pdf")))
	assert.EqualError(t, report.Sheet(&bytes.Buffer{}, planned(t, "bitter-lemon"), "s.pdf", "a4"), "report: there is no sheet of the kind of s.pdf")
}

// The text of a sheet keeps to eighty columns.
func TestSheetTextKeepsToTheWidth(t *testing.T) {
	for _, demo := range []string{"bitter-orange", "bitter-lemon", "gentian-cordial"} {
		var b bytes.Buffer
		report.Batch(&b, planned(t, demo))
		for n, line := range strings.Split(b.String(), "\n") {
			assert.LessOrEqual(t, len([]rune(line)), 80, fmt.Sprintf("%s, line %d: %s", demo, n+1, line))
		}
	}
}
