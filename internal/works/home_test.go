package works

import (
	"os"
	"path/filepath"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The folder is made once, with briefs that can be read; what a maker changed in it stays.
func TestOwnFolder(t *testing.T) {
	documents := filepath.Join(t.TempDir(), "Papers of mine")
	folder, err := OwnFolder(documents)
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(documents, "Bittersum"), folder)
	lib, err := profile.Embedded()
	require.NoError(t, err)
	files, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Len(t, files, 4)
	for _, f := range files {
		_, err := brief.Open(filepath.Join(folder, f.Name()), lib)
		require.NoError(t, err)
	}
	mine := filepath.Join(folder, files[0].Name())
	require.NoError(t, os.WriteFile(mine, []byte("# mine\n"), 0o644))
	require.NoError(t, os.Remove(filepath.Join(folder, files[1].Name())))
	again, err := OwnFolder(documents)
	require.NoError(t, err)
	assert.Equal(t, folder, again)
	data, err := os.ReadFile(mine)
	require.NoError(t, err)
	assert.Equal(t, "# mine\n", string(data))
	assert.NoFileExists(t, filepath.Join(folder, files[1].Name()))

	blocked := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(blocked, "Bittersum"), nil, 0o644))
	_, err = OwnFolder(blocked)
	assert.ErrorContains(t, err, "is there and is no folder")
}
