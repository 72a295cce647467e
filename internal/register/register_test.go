package register

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func filled(t *testing.T, entries int) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "register.txt")
	for n := range entries {
		_, err := Append(path, &Entry{What: Planned, Batch: fmt.Sprintf("B-%d", n), At: time.Date(2026, 11, 27, 9, n, 0, 0, time.UTC)}, nil)
		require.NoError(t, err)
	}
	return path
}

// Each line begins with what sha256sum prints of the lines above it.
func TestTheChainIsWhatSha256sumPrints(t *testing.T) {
	if _, err := exec.LookPath("sha256sum"); err != nil {
		t.Skip("sha256sum is not installed")
	}
	path := filled(t, 4)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	lines := strings.SplitAfter(string(data), "\n")
	for n := 0; n < 4; n++ {
		cmd := exec.Command("sha256sum")
		cmd.Stdin = strings.NewReader(strings.Join(lines[:n], ""))
		out, err := cmd.Output()
		require.NoError(t, err)
		assert.Equal(t, strings.Fields(string(out))[0], strings.Fields(lines[n])[0], "line %d", n+1)
	}
	cmd := exec.Command("sha256sum", path)
	out, err := cmd.Output()
	require.NoError(t, err)
	r, err := Open(path)
	require.NoError(t, err)
	assert.Equal(t, strings.Fields(string(out))[0], r.Seal())
}

// Whatever single byte of an older line is changed shows, and so does a line that is left out.
func TestEveryChangeShows(t *testing.T) {
	path := filled(t, 3)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	last := strings.LastIndex(strings.TrimSuffix(string(data), "\n"), "\n")
	for at := 0; at <= last; at++ {
		changed := append([]byte(nil), data...)
		changed[at] ^= 1
		require.NoError(t, os.WriteFile(path, changed, 0o600))
		r, err := Open(path)
		if err == nil { // two lines made one are a line that cannot be read
			assert.NotEmpty(t, r.Torn, "byte %d", at)
			assert.Equal(t, last, at)
			continue
		}
		_, err = Append(path, &Entry{}, nil)
		assert.Error(t, err, "nothing is added to a register that was changed")
	}
	lines := strings.SplitAfter(string(data), "\n")
	require.NoError(t, os.WriteFile(path, []byte(lines[0]+lines[2]), 0o600))
	_, err = Open(path)
	assert.ErrorContains(t, err, "register.txt:2: begins with")
}

// A line that a loss of power cut short stays, is said, and does not stop the next.
func TestATornLineStays(t *testing.T) {
	path := filled(t, 2)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, cut := range []int{1, 20, 100} {
		require.NoError(t, os.WriteFile(path, data[:len(data)-cut], 0o600))
		r, err := Append(path, &Entry{What: Made, Batch: "B-9"}, nil)
		require.NoError(t, err)
		assert.NotNil(t, r.Last("B-9", Made))
		if cut > 1 {
			assert.Equal(t, []int{2}, r.Torn, "cut %d", cut)
		}
		_, err = Open(path)
		require.NoError(t, err)
	}
}

func TestManyWritersLoseNothing(t *testing.T) {
	path := filled(t, 1)
	var wait sync.WaitGroup
	for n := range 20 {
		wait.Go(func() {
			_, err := Append(path, &Entry{What: Planned, Batch: fmt.Sprintf("W-%d", n)}, nil)
			assert.NoError(t, err)
		})
	}
	wait.Wait()
	r, err := Open(path)
	require.NoError(t, err)
	assert.Len(t, r.Batches(), 21)
}
