package report

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// A workbook of orders is replaced only while no order in it is ticked off.
func TestAPlanTickedOffIsTheMakersOwn(t *testing.T) {
	var book bytes.Buffer
	require.NoError(t, written(&book, "a4", func(b *workbook) {
		b.sheet(orderSheet, [][]any{{"A year"}}, orderHeading, [][]any{{"2027-01-01", "the mill", "sugar", 25.0, "kg", 1, 25.0, 0.9, 22.5, "2027-01", nil}}, nil)
	}))
	assert.True(t, OwnPlan(book.Bytes()))
	f, err := excelize.OpenReader(bytes.NewReader(book.Bytes()))
	require.NoError(t, err)
	defer f.Close()
	require.NoError(t, f.SetCellValue(orderSheet, "K3", "yes"))
	var ticked bytes.Buffer
	_, err = f.WriteTo(&ticked)
	require.NoError(t, err)
	assert.False(t, OwnPlan(ticked.Bytes()))
	assert.False(t, OwnPlan([]byte("no workbook")))
}
