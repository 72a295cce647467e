package page

import (
	"context"
	"net/http"
	"testing"
	"time"

	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A page that nobody asks anything ends by itself, without an error; nothing answers afterwards.
func TestAPageEndsWhenIdle(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	s, err := New(t.TempDir(), lib)
	require.NoError(t, err)
	listener, err := s.Listen(0)
	require.NoError(t, err)
	require.NoError(t, s.ServeUntilIdle(context.Background(), listener, time.Millisecond))
	_, err = http.Get(s.Address())
	assert.Error(t, err)
}
