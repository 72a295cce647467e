package brief

import (
	"fmt"
	"time"

	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
)

// Lot is one delivery of an ingredient.
type Lot struct {
	Number     string
	Ingredient string
	QuantityKg float64
	// PricePerKg is what was paid; NaN when not given.
	PricePerKg           float64
	Received, BestBefore time.Time
	// State is accepted, held or refused; only accepted lots are used.
	State string
	// Reason says why a lot is held or refused.
	Reason string
	// Contents are the certificate's values, which replace the profile's.
	Contents map[string]profile.Content
	File     string
	Line     int
	Lines    map[string]int // line of each certificate value, by attribute
}

// Usable reports whether the lot may go into a batch.
func (l *Lot) Usable() bool { return l.State == "accepted" && l.QuantityKg > 0 }

// readLots reads a lots file: [[lot]] tables with certificate values in [lot.contents.ATTRIBUTE].
func (b *Brief) readLots(src source, file string) error {
	doc, err := src.open(file)
	if err != nil {
		return err
	}
	root := doc.Root()
	seen := map[string]int{}
	for _, t := range root.Tables("lot") {
		lot := readLot(t)
		if line := seen[lot.Number]; line > 0 && lot.Number != "" {
			t.Fault("number", fmt.Sprintf("%q stands twice, first on line %d", lot.Number, line), "")
		}
		seen[lot.Number] = t.Line("number")
		b.Lots = append(b.Lots, lot)
	}
	root.Done()
	return doc.Err()
}

func readLot(t *tomlfile.Table) Lot {
	t.Require("number", "ingredient", "quantity_kg")
	lot := Lot{
		Number:     t.String("number"),
		Ingredient: t.String("ingredient"),
		QuantityKg: t.NumberOr("quantity_kg", tomlfile.NonNegative, 0),
		PricePerKg: t.NumberOr("price_per_kg", tomlfile.NonNegative, nan),
		Received:   t.Date("received"),
		BestBefore: t.Date("best_before"),
		State:      t.OneOf("state", "accepted", "held", "refused"),
		Reason:     t.String("reason"),
		File:       t.File(),
		Line:       t.Line(""),
		Contents:   map[string]profile.Content{},
		Lines:      map[string]int{},
	}
	if lot.State == "" {
		lot.State = "accepted"
	}
	if lot.State == "refused" && lot.Reason == "" {
		t.Fault("state", "a refused lot needs a reason", "")
	}
	if !lot.Received.IsZero() && !lot.BestBefore.IsZero() && lot.BestBefore.Before(lot.Received) {
		t.Fault("best_before", "is before the lot was received", "")
	}
	if contents := t.Table("contents"); contents != nil {
		for _, c := range contents.Named() {
			c.Require("per_g")
			content := profile.Content{
				PerGram:     c.NumberOr("per_g", tomlfile.NonNegative, 0),
				Recovery:    c.NumberOr("recovery", tomlfile.Share, nan),
				SD:          c.NumberOr("sd", tomlfile.NonNegative, 0),
				CapRecovery: c.NumberOr("cap_recovery", tomlfile.Share, nan),
				Provenance:  profile.Provenance{Basis: profile.Measured, Source: "certificate of lot " + lot.Number},
			}
			c.Done()
			lot.Contents[c.Key()] = content
			lot.Lines[c.Key()] = c.Line("")
		}
	}
	t.Done()
	return lot
}
