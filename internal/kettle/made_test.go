package kettle

import (
	"math"
	"testing"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/profile"

	"github.com/stretchr/testify/assert"
)

// A measurement of a capped substance is over the cap only above it; one per kilogram held against a cap per
// litre counts as heavy as the heaviest syrup, 1.35 kg/L.
func TestAMeasurementOverACap(t *testing.T) {
	capped := func(per, measured profile.Per) *brief.Job {
		attribute := &profile.Attribute{Name: "quinine", Per: measured}
		return &brief.Job{Brief: &brief.Brief{}, Caps: []brief.Cap{{Cap: profile.Cap{Substance: "quinine", Max: 135, Per: per},
			Market: &profile.Market{Name: "canal"}, Attribute: attribute}}}
	}
	for _, c := range []struct {
		per, measured profile.Per
		value         float64
		wrong         bool
	}{
		{profile.PerKilogram, profile.PerKilogram, 135, false},
		{profile.PerKilogram, profile.PerKilogram, 135.0001, true},
		{profile.PerLitre, profile.PerLitre, 135, false},
		{profile.PerLitre, profile.PerLitre, 135.0001, true},
		{profile.PerKilogram, profile.PerLitre, 135, false},
		{profile.PerKilogram, profile.PerLitre, 135.0001, true},
		{profile.PerLitre, profile.PerKilogram, 99.9999, false},
		{profile.PerLitre, profile.PerKilogram, 100.0001, true},
		{profile.PerKilogram, profile.PerKilogram, math.NaN(), false},
	} {
		m := &Made{Job: capped(c.per, c.measured), Record: &Record{}}
		m.overCaps(Measured{Name: "quinine", Value: c.value})
		assert.Equal(t, c.wrong, len(m.Of(Barred)) > 0, "cap per %s, %v measured per %s: %v", c.per, c.value, c.measured, m.Findings)
		m.Findings = nil
		m.overCaps(Measured{Name: "caffeine", Value: 1e6})
		assert.Empty(t, m.Findings)
	}
}

// A milligram more than a lot has left is too much; what an earlier record of the same batch took counts as
// still there.
func TestMoreThanALotHolds(t *testing.T) {
	day := time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		take  float64
		wrong bool
	}{{0.5, false}, {0.6, false}, {0.6000005, false}, {0.600002, true}, {0.7, true}, {1.2, true}} {
		lot := &brief.Lot{Number: "L1", Ingredient: "sugar", QuantityKg: 1, Draws: []brief.Draw{{Batch: "other", Kg: 0.4}, {Batch: "this", Kg: 0.6}}}
		m := &Made{Job: &brief.Job{}, Record: &Record{Batch: "this", PlannedOn: day}}
		m.lot(MadeLine{Weighed: Weighed{Grams: c.take * 1000}, Source: &brief.Source{Lot: lot}, TakeKg: c.take})
		assert.Equal(t, c.wrong, len(m.Of(Missed)) > 0, "%v kg of 0.6: %v", c.take, m.Findings)
	}
}
