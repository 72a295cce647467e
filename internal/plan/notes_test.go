package plan

import (
	"context"
	"testing"
	"time"

	"bittersum/internal/brief"

	"github.com/stretchr/testify/require"
)

func TestNotes(t *testing.T) {
	p := lotSizing(t, []int{10, 20}, 0, 0, "price_per_unit = 2\npack_units = 100\nchanges = [{ from = 2027-01-15, price_per_unit = 3 }, { from = 2027-02-01, price_per_unit = 4 }]", "")
	p.Items[0].Lots = []*brief.Lot{{Number: "OLD", Ingredient: "good", QuantityKg: 5, BestBefore: time.Date(2027, 1, 10, 0, 0, 0, 0, time.UTC)}}
	a, err := Decide(context.Background(), p)
	require.NoError(t, err)
	require.Equal(t, []string{
		"A pack of good from the mill is 100 units, and the whole plan uses 30 of it.",
		"Lot OLD of good keeps until 2027-01-10, before the first period ends: the plan does not use it.",
		"The price of good from the mill changes on 2027-01-15, within 2027-01: orders of that period count at the price of its first day.",
	}, a.Notes())
	p = lotSizing(t, []int{10, 20}, 0, 0.1, "price_per_unit = 2\npack_units = 10\nchanges = [{ from = 2027-02-01, price_per_unit = 4 }]", "")
	a, err = Decide(context.Background(), p)
	require.NoError(t, err)
	require.Empty(t, a.Notes())
}
