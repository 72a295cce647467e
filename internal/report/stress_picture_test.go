package report

import (
	"testing"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/study"

	"github.com/stretchr/testify/assert"
)

// A cap toward which an accepted unknown counts is drawn as unknown, though no figure of it is in the recipe: a picture
// that left it out would read as if it were kept.
func TestUnknownCapsAreDrawn(t *testing.T) {
	of := func(accepted ...string) *study.CapChance {
		return &study.CapChance{Cap: assess.Cap{Cap: brief.Cap{Cap: profile.Cap{Substance: "methyleugenol", Max: 1}, Market: &profile.Market{Name: "eu"}}, Accepted: accepted}}
	}
	bar, shown := capBar(of("black-carrot-concentrate"))
	assert.True(t, shown)
	assert.Equal(t, "unknown", bar.text)
	_, shown = capBar(of())
	assert.False(t, shown, "nothing of it is in the recipe")
}
