package stock

import (
	"maps"
	"slices"

	"bittersum/internal/brief"
	"bittersum/internal/register"
)

// Traced is one batch with what went in, one step up, and where it went, one step down: what Regulation
// (EC) 178/2002 Article 18(2) and (3) ask a works to know.
type Traced struct {
	Batch string
	// Made is the register's last word on how it was made, Decided on its release; nil when there is none.
	Made, Decided *register.Entry
	// Lots are what it took of lots, Goods the lot numbers of goods bought without one in the lots file, by
	// ingredient.
	Lots  []Taken
	Goods map[string]string
	// Sold is to whom bottles went.
	Sold []register.Entry
	// Left is how many bottles are not sold, by the register.
	Left int
}

// Follow traces a name both ways: a batch; or a lot, also one of goods that are in no lots file, to all
// batches that hold it. The register may be nil.
func Follow(lots *brief.Lots, r *register.Register, name string) []Traced {
	if r == nil {
		r = &register.Register{}
	}
	holds := map[string]bool{}
	for n := range lots.Lots {
		lot := &lots.Lots[n]
		for _, t := range Trace(lots, lot.Number) {
			if t.Batch == name || lot.Number == name {
				holds[t.Batch] = true
			}
		}
	}
	for _, batch := range r.Batches() {
		made := r.Last(batch, register.Made)
		if batch == name && made != nil || made != nil && slices.Contains(slices.Collect(maps.Values(made.Lots)), name) {
			holds[batch] = true
		}
	}
	var found []Traced
	for _, batch := range slices.Sorted(maps.Keys(holds)) {
		t := Traced{Batch: batch, Made: r.Last(batch, register.Made), Decided: r.Decided(batch)}
		for _, taken := range Trace(lots, batch) {
			if taken.Batch == batch {
				t.Lots = append(t.Lots, taken)
			}
		}
		if t.Made != nil {
			t.Goods, t.Left = t.Made.Lots, t.Made.Bottles
		}
		for _, e := range r.Of(batch) {
			if e.What == register.Sold {
				t.Sold = append(t.Sold, e)
				t.Left -= e.Bottles
			}
		}
		found = append(found, t)
	}
	return found
}
