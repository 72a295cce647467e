package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestChangesOfAFile(t *testing.T) {
	source := []byte(`package p

func f(x float64) bool {
	if x <= 1.5 && x != 0 {
		g(x - 3)
	}
	x += 2
	return x > 0
}
`)
	changes, err := changesOf("p.go", source)
	require.NoError(t, err)
	var what []string
	for _, c := range changes {
		what = append(what, c.what)
		again, err := changesOf("p.go", c.applied(source))
		require.NoError(t, err, "%s leaves a file that can be read", c.what)
		require.NotNil(t, again)
	}
	assert.ElementsMatch(t, []string{
		"<= becomes <", "1.5 becomes twice as much", "&& becomes ||", "!= becomes ==", "what follows the if is left out",
		"the call is left out", "- becomes +", "3 becomes twice as much", "+= becomes -=", "2 becomes twice as much", "> becomes >=",
	}, what)
	assert.Contains(t, string(changes[0].applied(source)), "if", "a change leaves the rest as it is")
	_, err = changesOf("p.go", []byte("no Go"))
	assert.Error(t, err)
}
