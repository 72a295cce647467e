package sheet

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"
)

// rows returns what a table says, cells parted by |.
func rows(t *Table) (out []string) {
	for _, row := range t.Rows {
		var cells []string
		for _, c := range row.Cells {
			cells = append(cells, c.Text)
		}
		out = append(out, fmt.Sprintf("%d:%s", row.Line, strings.Join(cells, "|")))
	}
	return out
}

func TestCSVAsSpreadsheetsWriteIt(t *testing.T) {
	want := []string{"1:article|price", "2:sugar|0,95", "3:gentian, cut|38,5"}
	wide := func(text string) string {
		out := []byte{0xff, 0xfe}
		for _, r := range text {
			out = append(out, byte(r), byte(r>>8))
		}
		return string(out)
	}
	for name, text := range map[string]string{
		"semicolons":         "article;price\nsugar;0,95\ngentian, cut;38,5\n",
		"tabs":               "article\tprice\nsugar\t0,95\ngentian, cut\t38,5\n",
		"commas":             "article,price\nsugar,\"0,95\"\n\"gentian, cut\",\"38,5\"\n",
		"a mark":             "\ufeffarticle;price\r\nsugar;0,95\r\ngentian, cut;38,5\r\n",
		"no line end":        "article;price\nsugar;0,95\ngentian, cut;38,5",
		"UTF-16":             wide("article\tprice\r\nsugar\t0,95\r\ngentian, cut\t38,5\r\n"),
		"unbreakable spaces": "article;\u00a0price\nsugar\u00a0;0,95\ngentian,\u00a0cut;38,5\n",
	} {
		book, err := Read("p.csv", []byte(text))
		require.NoError(t, err, name)
		assert.Equal(t, want, rows(book.Tables[0]), name)
	}
	book, err := Read("p.csv", []byte("sep=;\narticle;price\n# a note\n;;\nsugar;0,95\n"))
	require.NoError(t, err)
	assert.Equal(t, []string{"2:article|price", "5:sugar|0,95"}, rows(book.Tables[0]))
}

// Numbers as CLDR's number patterns write 1234.5 and 0.95 in the locales en, de, fr, de-CH, sv and es, in a table
// whose decimal sign is known, is not known, and is known by other cells.
func TestNumbersOfManyCountries(t *testing.T) {
	for text, want := range map[string]float64{
		"1,234.5": 1234.5, "1.234,5": 1234.5, "1\u202f234,5": 1234.5, "1\u00a0234,5": 1234.5, "1’234.5": 1234.5, "1 234,5": 1234.5,
		"0.95": 0.95, "0,95": 0.95, "-0,95": -0.95, "\u22120,95": -0.95, "1.234.567": 1234567, "1,234,567.25": 1234567.25, "12": 12, "1e-3": 0.001, ",5": 0.5, "5,": 5, "1234,567": 1234.567, "0,125": 0.125, "1 234,567": 1234.567,
	} {
		x, wrong := (&Table{}).Parse(text)
		assert.Empty(t, wrong, text)
		assert.InDelta(t, want, x, 1e-9, text)
	}
	for _, text := range []string{"", "x", "1,23,4", "1.23.4", "1,2345.6", "12 34", "1 2345", "--1", "1-2", "inf", "nan", "0x1p4", "1_000", "1e999", ",", "1,,2"} {
		_, wrong := (&Table{}).Parse(text)
		assert.NotEmpty(t, wrong, text)
	}
	for _, c := range []struct {
		csv, text string
		want      float64
		wrong     string
	}{
		{"a\tb\nx\ty\n", "1,234", 0, `"1,234" may be 1.234 or 1234`},
		{"a\tb\nx\t0,5\n", "1,234", 1.234, ""},
		{"a\tb\nx\t0,5\n", "1.234", 1234, ""},
		{"a\tb\nx\t0.5\n", "1,234", 1234, ""},
		{"a\tb\nx\t12,50 €\n", "1.234", 1234, ""},
		{"a\tb\n0,5\t0.5\n", "1.234", 0, `"1.234" may be 1.234 or 1234`},
		{"a,b\nx,y\n", "1.234", 1.234, ""},
		{"a,b\nx,y\n", "1,234", 0, `"1,234" may be 1.234 or 1234`},
		{"a;b\nx;y\n", "1,234", 1.234, ""},
		{"a;b\nx;y\n", "1.234", 0, `"1.234" may be 1.234 or 1234`},
	} {
		book, err := Read("p.csv", []byte(c.csv))
		require.NoError(t, err)
		x, wrong := book.Tables[0].Parse(c.text)
		assert.Equal(t, c.wrong, wrong, c.csv)
		assert.Equal(t, c.want, x, c.csv)
	}
}

// What is written in one locale is read back, whatever the number.
func TestNumbersWrittenAreRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cents := rapid.Int64Range(-1e12, 1e12).Draw(t, "cents")
		decimal := rapid.SampledFrom([]string{".", ","}).Draw(t, "decimal")
		thousands := rapid.SampledFrom([]string{"", "'", " ", "\u00a0", "\u202f", map[string]string{".": ",", ",": "."}[decimal]}).Draw(t, "thousands")
		whole := fmt.Sprint(max(cents, -cents) / 100)
		for n := len(whole) - 3; n > 0; n -= 3 {
			whole = whole[:n] + thousands + whole[n:]
		}
		text := fmt.Sprintf("%s%s%02d", whole, decimal, max(cents, -cents)%100)
		if cents < 0 {
			text = "-" + text
		}
		x, wrong := (&Table{}).Parse(text)
		if wrong != "" || x != float64(cents)/100 {
			t.Fatalf("%q read as %v %s", text, x, wrong)
		}
	})
}

func TestQuantities(t *testing.T) {
	for text, want := range map[string][2]string{
		"12,50 €": {"12,50", "€"}, "€12.50": {"12.50", "€"}, "USD 1,234.50": {"1,234.50", "USD"}, "5 g/L": {"5", "g/L"}, "12%": {"12", "%"},
		"1 234,5 kg": {"1 234,5", "kg"}, "-3": {"-3", ""}, "plenty": {"plenty", ""}, "about 3 kg": {"about 3 kg", ""}, "1e-3 g": {"1e-3", "g"},
	} {
		number, unit := Split(text)
		assert.Equal(t, want, [2]string{number, unit}, text)
	}
}

func TestDates(t *testing.T) {
	day := time.Date(2026, 3, 31, 0, 0, 0, 0, time.UTC)
	for _, text := range []string{"2026-03-31", "31.03.2026", "31.3.2026", "31/03/2026", "3/31/2026"} {
		got, wrong := Cell{Text: text}.AsDay()
		assert.Empty(t, wrong)
		assert.Equal(t, day, got, text)
	}
	for text, want := range map[string]string{
		"03/04/2026": `"03/04/2026" may have the day or the month first; write it as 2026-03-31`,
		"31.02.2026": `"31.02.2026" is no day of the calendar`,
		"46112":      `"46112" is a number, not a date such as 2026-03-31; as a spreadsheet counts days it would be 2026-03-31: format the cell as a date`,
		"spring":     `"spring" is not a date such as 2026-03-31`,
	} {
		_, wrong := Cell{Text: text}.AsDay()
		assert.Equal(t, want, wrong)
	}
}

// workbookOf writes a workbook of one sheet and what else is done to it.
func workbookOf(t require.TestingT, cells map[string]any, more func(*excelize.File), as ...excelize.Options) []byte {
	f := excelize.NewFile()
	for at, value := range cells {
		require.NoError(t, f.SetCellValue("Sheet1", at, value))
	}
	if more != nil {
		more(f)
	}
	var b bytes.Buffer
	require.NoError(t, f.Write(&b, as...))
	return b.Bytes()
}

func TestWorkbooks(t *testing.T) {
	data := workbookOf(t, map[string]any{
		"B3": "article", "C3": "price", "D3": "of", "E3": "share", "F3": "sum", "G3": "error",
		"B5": "sugar ", "C5": 0.95, "D5": time.Date(2026, 3, 31, 0, 0, 0, 0, time.UTC), "E5": 0.125,
	}, func(f *excelize.File) {
		percent, _ := f.NewStyle(&excelize.Style{NumFmt: 10})
		require.NoError(t, f.SetCellStyle("Sheet1", "E5", "E5", percent))
		require.NoError(t, f.SetCellFormula("Sheet1", "F5", "C5*2"))
		require.NoError(t, f.SetSheetName("Sheet1", "Prices"))
		_, err := f.NewSheet("Hidden")
		require.NoError(t, err)
		require.NoError(t, f.SetCellValue("Hidden", "A1", "x"))
		require.NoError(t, f.SetSheetVisible("Hidden", false))
		require.NoError(t, f.MergeCell("Prices", "B3", "B4"))
	})
	book, err := Read("p.xlsx", data)
	require.NoError(t, err)
	require.Len(t, book.Tables, 1)
	table := book.Tables[0]
	assert.Equal(t, []string{"3:|article|price|of|share|sum|error", "5:|sugar|0.95|2026-03-31|12.5 %|=C5*2"}, rows(table))
	var kinds []Kind
	for _, c := range table.Rows[1].Cells[1:] {
		kinds = append(kinds, c.Kind)
	}
	assert.Equal(t, []Kind{Text, Number, Date, Percent, Broken}, kinds)
	assert.Equal(t, []Merge{{"B3:B4", 3, 4, 1}}, table.Merges)
	assert.Equal(t, `p.xlsx:5: sheet "Prices", cell C5, price: is wrong`, table.Fault(5, 2, "price", "is wrong", "").Error())
}

func TestRefusedBooks(t *testing.T) {
	many := &strings.Builder{}
	many.WriteString("a,b\n")
	for range 100_000 {
		many.WriteString("x,1\n")
	}
	large := workbookOf(t, nil, func(f *excelize.File) {
		w, err := f.NewStreamWriter("Sheet1")
		require.NoError(t, err)
		for n := range 100_000 {
			require.NoError(t, w.SetRow(fmt.Sprintf("A%d", n+1), []any{"x", n}))
		}
		require.NoError(t, w.Flush())
	})
	macros := &bytes.Buffer{}
	z := zip.NewWriter(macros)
	for _, name := range []string{"[Content_Types].xml", "xl/vbaProject.bin"} {
		_, err := z.Create(name)
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	zipped := &bytes.Buffer{}
	z = zip.NewWriter(zipped)
	_, err := z.Create("photo.jpg")
	require.NoError(t, err)
	require.NoError(t, z.Close())
	for _, c := range []struct {
		file string
		data []byte
		want string
	}{
		{"p.csv", nil, "p.csv: is empty: a table with a heading is needed"},
		{"p.csv", []byte("\n;;\n"), "p.csv: is empty: a table with a heading is needed"},
		{"p.xlsx", workbookOf(t, nil, nil), "p.xlsx: is empty: a table with a heading is needed"},
		{"p.xlsx", []byte("a,b\n"), "p.xlsx: " + damaged},
		{"p.xlsx", zipped.Bytes(), "p.xlsx: " + damaged},
		{"p.xlsx", macros.Bytes(), "p.xlsx: is a workbook with macros, which is never opened; save it as .xlsx or CSV"},
		{"p.xlsm", macros.Bytes(), "p.xlsm: is a workbook with macros, which is never opened; save it as .xlsx or CSV"},
		{"p.ods", []byte("x"), "p.ods: is a spreadsheet of a kind that is not read; save it as .xlsx or CSV"},
		{"p.xlsx", workbookOf(t, map[string]any{"A1": 1}, nil, excelize.Options{Password: "kettle"}), "p.xlsx: is protected by a password; take the password off, or save it as CSV"},
		{"p.csv", []byte(many.String()), "p.csv:10001: is beyond what is read, 10000 rows of 200 columns; leave out what is not needed"},
		{"p.xlsx", large, `p.xlsx:10001: sheet "Sheet1": is beyond what is read, 10000 rows of 200 columns; leave out what is not needed`},
		{"p.csv", []byte("a,b\nd\xe9,1\n"), "p.csv:2: holds a byte that is not UTF-8; save the file as UTF-8"},
		{"p.csv", []byte("a,b\nx \"y\" z,1\n"), `p.csv:2: is not CSV: bare " in non-quoted-field`},
		{"p.csv", bytes.Repeat([]byte("x,1\n"), 1<<21), "p.csv: is larger than 4 MiB; a file of that size is refused"},
	} {
		_, err := Read(c.file, c.data)
		assert.EqualError(t, err, c.want)
	}
}

// FuzzRead reads anything: it gives a table or one line a fault, and every number it finds is finite.
func FuzzRead(f *testing.F) {
	f.Add("p.csv", []byte("a;b\nx;1.234,5\n\"y\n"))
	f.Add("p.csv", []byte("sep=\t\na\tb\n\xff\xfe"))
	f.Add("p.csv", []byte("\xff\xfea\x00,\x00b\x00\n\x00"))
	f.Add("p.xlsx", workbookOf(f, map[string]any{"A1": "x", "B2": 3.5}, nil))
	f.Fuzz(func(t *testing.T, file string, data []byte) {
		book, err := Read(file, data)
		if err != nil {
			if lines := strings.Count(err.Error(), "\n"); lines > 0 && !strings.ContainsAny(file, "\n") && !bytes.HasPrefix(data, []byte("PK")) {
				t.Fatalf("a fault of %d lines: %q", lines+1, err)
			}
			return
		}
		for _, table := range book.Tables {
			for _, row := range table.Rows {
				for _, c := range row.Cells {
					number, _ := Split(c.Text)
					if x, wrong := table.Parse(number); wrong == "" && x-x != 0 {
						t.Fatalf("%q is read as %v", c.Text, x)
					}
					c.AsDay()
				}
			}
		}
	})
}
