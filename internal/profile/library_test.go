package profile

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bittersum/profiles"
)

func embedded(t testing.TB) *Library {
	t.Helper()
	l, err := Embedded()
	require.NoError(t, err)
	return l
}

func TestEmbeddedLibraryIsWhole(t *testing.T) {
	l := embedded(t)
	assert.GreaterOrEqual(t, len(l.Ingredients), 50)
	assert.Equal(t, []string{"au-nz", "eu", "uk", "us"}, l.MarketNames())
	assert.Empty(t, l.Check(), "attributes that an ingredient neither gives, nor calls absent or unknown")
}

func BenchmarkEmbedded(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := (&Library{}).overlay(profiles.FS, func(name string) string { return name }); err != nil {
			b.Fatal(err)
		}
	}
}
