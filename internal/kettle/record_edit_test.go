package kettle

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const kept = `# the canal works, kettle 2
batch = "B-1"   # on the board too
# by = ""
note = 'a "b" # c'  # stays

[[weighed]]
ingredient = "sugar" # the coarse one
lot = "S-1"
grams = 10   # twice
# tare was wrong on Monday

[[weighed]]
# first thing in the morning
ingredient = "citric-acid"
# grams =

[measured.ph]
planned = 2.9
# value =
`

func TestAnEditedRecordKeepsWhatStandsThere(t *testing.T) {
	path := filepath.Join(t.TempDir(), "r.toml")
	require.NoError(t, os.WriteFile(path, []byte(kept), 0o600))
	r, err := ReadRecord(path)
	require.NoError(t, err)
	old := r.Clone()
	same, err := r.Edited(r.Text(), old)
	require.NoError(t, err)
	assert.Equal(t, kept, same)
	r.ID, r.By, r.Note = "77", "Mara", "new"
	r.Weighed[0].Grams, r.Weighed[1].Grams, r.Weighed[1].LotUsed = 12.5, 3, "CA/9"
	r.Measured[0].Value = 2.85
	r.Weighed = append(r.Weighed, Weighed{Ingredient: "water", PlannedG: r.Weighed[1].PlannedG, Grams: 900})
	r.Measured = append(r.Measured, Measured{Name: "brix", Planned: r.Weighed[1].PlannedG, Value: 8.1})
	text, err := r.Edited(r.Text(), old)
	require.NoError(t, err)
	assert.Equal(t, `# the canal works, kettle 2
batch = "B-1"   # on the board too
by = "Mara"
note = "new"  # stays
id = "77"

[[weighed]]
ingredient = "sugar" # the coarse one
lot = "S-1"
grams = 12.5   # twice
# tare was wrong on Monday

[[weighed]]
# first thing in the morning
ingredient = "citric-acid"
grams = 3
lot_used = "CA/9"

[measured.ph]
planned = 2.9
value = 2.85

[[weighed]]
ingredient = "water"
grams = 900

[measured.brix]
value = 8.1
`, text)
}

func TestARecordWrittenInlineIsLeftAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "r.toml")
	require.NoError(t, os.WriteFile(path, []byte("batch = \"B\"\nweighed = [{ingredient = \"sugar\", grams = 1}]\n"), 0o600))
	r, err := ReadRecord(path)
	require.NoError(t, err)
	old := r.Clone()
	r.Weighed[0].Grams = 2
	_, err = r.Edited(r.Text(), old)
	assert.ErrorContains(t, err, "is not written a value a line, so that it cannot be kept up by flags (fill it in by hand)")
}
