package formulate_test

import (
	"slices"
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/profile"
	"bittersum/profiles"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every limit that has a value moves to it, alone, and leaves the job it came from as it was.
func TestMovedMovesOneLimit(t *testing.T) {
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.OpenFS(profiles.FS, "demo/bitter-orange.toml", "demo:", lib)
	require.NoError(t, err)
	job, err = job.Changed(func(b *brief.Brief) {
		b.MostLiquor = 2
		b.Near = &brief.Near{Marks: []brief.Mark{{Attribute: "bitterness", Value: 60, JND: 18}}, Within: 3}
	})
	require.NoError(t, err)
	f := formulate.New(job)
	kinds := map[formulate.Kind]bool{}
	for _, l := range f.Limits {
		if l.Kind == formulate.Recovery || l.Kind == formulate.Volume {
			continue
		}
		kinds[l.Kind] = true
		value := l.Value * 1.01
		moved := formulate.New(f.Moved(l, value))
		require.Len(t, moved.Limits, len(f.Limits))
		at := slices.IndexFunc(moved.Limits, l.Same)
		require.GreaterOrEqual(t, at, 0)
		for n, m := range moved.Limits {
			want := f.Limits[n].Value
			if n == at {
				want = value
			}
			assert.Equal(t, want, m.Value, "%s %s %s moved: %s %s %s", l.Kind, l.Name, l.Side, m.Kind, m.Name, m.Side)
		}
		assert.Equal(t, l.Value, formulate.New(job).Limits[at].Value, "the job it came from")
	}
	for _, kind := range []formulate.Kind{formulate.Target, formulate.Reading, formulate.Capped, formulate.Ratio, formulate.Group, formulate.Use, formulate.Drift, formulate.Liquor} {
		assert.True(t, kinds[kind], "the brief has a limit of kind %s", kind)
	}
}
