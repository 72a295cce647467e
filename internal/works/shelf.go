package works

import (
	"fmt"
	"math"
	"time"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/register"
	"bittersum/internal/stock"
	"bittersum/internal/tomlfile"
)

// OpenLots reads a lots file and looks up its names.
func OpenLots(file string, lib *profile.Library) (*brief.Lots, error) {
	lots, err := brief.OpenLots(file)
	if err != nil {
		return nil, err
	}
	return lots, brief.CheckLots(lots, lib)
}

// AddLot adds a lot to a lots file, which is made if it is not there, and says so. A certificate value that is far
// from the profile needs the reason why it is right, in sure.
func AddLot(file string, lib *profile.Library, lot brief.Lot, sure string) (string, error) {
	if lot.Number == "" || lot.Ingredient == "" || math.IsNaN(lot.QuantityKg) {
		return "", Usage("lots add needs --number, --ingredient and --kg")
	}
	for _, text := range []string{lot.Supplier, lot.DeliveryNote, lot.Reason, sure} {
		if !OneLine(text) {
			return "", Usage("%q holds control characters", text)
		}
	}
	for _, a := range []Amount{{"--kg", lot.QuantityKg}, {"--price", lot.PricePerKg}, {"--pack-kg", lot.PackKg}, {"--moisture", lot.Moisture}} {
		unpriced := a.Name == "--price" && math.IsNaN(a.Value)
		if !unpriced && (!(a.Value >= 0) || math.IsInf(a.Value, 1)) {
			return "", Usage("%s: %v is no amount", a.Name, a.Value)
		}
	}
	for _, d := range brief.Doubts(&lot, lib) {
		lot.Sure[d.Attribute] = sure
	}
	held := 0
	err := stock.Edit(file, func(book *stock.Book) error {
		if err := book.Add(lot); err != nil {
			return err
		}
		held = len(book.Lots.Lots)
		return book.Check(lib)
	})
	return fmt.Sprintf("Added lot %s: %v kg of %s. %s now holds %d lots.", lot.Number, lot.QuantityKg, lot.Ingredient, file, held), err
}

// ChangeLot changes a lot on the shelf, with who did it, when and why, and says how it stands then. An amount kg is
// what is gone for a write-off and what is left for an adjustment; it is NaN for a change of state.
func ChangeLot(file, number string, change brief.Change, kg float64, today time.Time) (string, error) {
	if change.On.After(today) {
		return "", Usage("--date: %s has not come yet", DateText(change.On))
	}
	if change.Reason == "" {
		return "", Usage("lots %s needs --reason", change.What)
	}
	if !OneLine(change.Reason) || !OneLine(change.By) {
		return "", Usage("--reason and --by hold no control characters")
	}
	if ChangesAmount(change.What) && (!(kg >= 0) || math.IsInf(kg, 1) || change.What == brief.WriteOff && kg == 0) {
		return "", Usage("lots %s needs --kg, an amount", change.What)
	}
	text := ""
	err := stock.Edit(file, func(b *stock.Book) error {
		lot := b.Find(number)
		before := 0.0
		if lot != nil {
			before = lot.LeftKg()
		}
		switch change.What {
		case brief.WriteOff:
			change.Kg = -kg
		case brief.Adjust:
			change.Kg = kg - before
		}
		if err := b.Change(number, change); err != nil {
			return err
		}
		lot = b.Find(number)
		text = fmt.Sprintf("Lot %s of %s is %s; %.7g kg are left", lot.Number, lot.Ingredient, lot.State, lot.LeftKg())
		if change.Kg != 0 {
			text += fmt.Sprintf(", %.7g kg before", before)
		}
		text += "."
		return nil
	})
	return text, err
}

// ChangesAmount reports whether a change of a lot is one of its amount.
func ChangesAmount(what string) bool { return what == brief.WriteOff || what == brief.Adjust }

// Tracing is what is known of a lot or a batch by its name.
type Tracing struct {
	// Taken is what batches took of lots; Traced the whole way of each batch, both ways.
	Taken  []stock.Taken
	Traced []stock.Traced
	// Untouched says that the name is a lot's of which no batch took anything.
	Untouched bool
}

// Trace follows a lot to its batches, or a batch to its lots and customers, the latter by the register in a file,
// if one is named. A name that nothing bears is a fault.
func Trace(lots *brief.Lots, registerFile, name string) (*Tracing, error) {
	t := &Tracing{Taken: stock.Trace(lots, name)}
	var r *register.Register
	if registerFile != "" {
		var err error
		if r, err = register.Open(registerFile); err != nil {
			return nil, err
		}
	}
	t.Traced = stock.Follow(lots, r, name)
	if len(t.Taken)+len(t.Traced) > 0 {
		return t, nil
	}
	if t.Untouched = lots.Find(name) != nil; t.Untouched {
		return t, nil
	}
	return t, tomlfile.Faults{{File: lots.File, What: fmt.Sprintf("there is no lot and no batch %q", name)}}
}
