package sheet

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// BenchmarkWorkbook reads a price list as long as is read, of six columns.
func BenchmarkWorkbook(b *testing.B) {
	data := workbookOf(b, nil, func(f *excelize.File) {
		w, err := f.NewStreamWriter("Sheet1")
		require.NoError(b, err)
		for n := range MaxRows {
			require.NoError(b, w.SetRow(fmt.Sprintf("A%d", n+1), []any{"an article", n, "kg", 1.5, "EUR", "a note"}))
		}
		require.NoError(b, w.Flush())
	})
	for b.Loop() {
		_, err := Read("p.xlsx", data)
		require.NoError(b, err)
	}
}
