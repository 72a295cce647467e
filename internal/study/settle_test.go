package study

import (
	"testing"

	"bittersum/internal/brief"
	"bittersum/internal/formulate"
	"bittersum/internal/profile"
	"bittersum/profiles"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func demo(t *testing.T, name string) *formulate.Formulation {
	t.Helper()
	lib, err := profile.Embedded()
	require.NoError(t, err)
	job, err := brief.OpenFS(profiles.FS, "demo/"+name+".toml", "demo:", lib)
	require.NoError(t, err)
	return formulate.New(job)
}

// A solver that were wrong would be found out: amounts that break a cap or miss a target are no answer.
func TestAWrongSolutionIsRefused(t *testing.T) {
	f := demo(t, "bitter-lemon")
	answer, err := Blend(t.Context(), f.Job)
	require.NoError(t, err)
	at := func(name string) int {
		for n, s := range f.Job.Sources {
			if s.Name == name {
				return n
			}
		}
		t.Fatal(name)
		return -1
	}
	good := answer.Solution.X
	_, err = settle(f, good)
	require.NoError(t, err)
	for _, c := range []struct {
		name   string
		source string
		factor float64
		want   string
	}{
		{"a cap broken", "quinine-hydrochloride", 10, "not proved: rounding leaves a cap broken"},
		{"a target missed", "citric-acid", 0.9, "not proved: the assessment disagrees with the program: target acidity is below its range"},
		{"not a litre", "water", 0.9, "not proved: the assessment disagrees with the program: the amounts make 0.9074 L, not 1 L"},
	} {
		x := append([]float64(nil), good...)
		x[at(c.source)] *= c.factor
		_, err := settle(f, x)
		require.ErrorIs(t, err, ErrUnproved, c.name)
		assert.EqualError(t, err, c.want, c.name)
	}
}

// A recipe pressed against a cap keeps it after rounding, whatever the digits.
func TestRoundingKeepsACapThatBinds(t *testing.T) {
	job, err := demo(t, "bitter-orange").Job.Changed(func(b *brief.Brief) { delete(b.Limits, "quassia-wood") })
	require.NoError(t, err)
	answer, err := Blend(t.Context(), job)
	require.NoError(t, err)
	binding := false
	for _, l := range answer.Limits {
		binding = binding || l.Kind == formulate.Capped && l.Binding
	}
	require.True(t, binding, "without its limit of quassia the demo's quassin cap binds")
	assert.True(t, answer.Assessment.KeepsCaps())
	for _, c := range answer.Assessment.Caps {
		if c.Substance == "quassin" {
			assert.InDelta(t, 0, c.HeadRoom, 1e-3)
			assert.GreaterOrEqual(t, c.HeadRoom, 0.0)
		}
	}
}
