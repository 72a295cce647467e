package wholefile

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWriteReplacesAndLeavesNothingBeside(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "lots.toml")
	for _, text := range []string{"the first, which is longer", "the second"} {
		require.NoError(t, Write(path, []byte(text)))
		got, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, text, string(got))
	}
	files, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, files, 1)
	require.Error(t, Write(filepath.Join(dir, "none", "lots.toml"), nil))
}
