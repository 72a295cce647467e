package works

import (
	"fmt"
	"time"

	"bittersum/internal/kettle"
	"bittersum/internal/register"
	"bittersum/internal/report"
	"bittersum/internal/tomlfile"
)

// Decision is an entry about a batch that was made: its release, that it is withheld, or a sale.
type Decision struct {
	// What is register.Released, Withheld or Sold.
	What string
	// By answers for it, Reason says why. LotCode and BestBefore are those of a release when they are not the record's.
	By, Reason, LotCode, BestBefore string
	// To is a customer and Bottles how many went there, below zero for what came back, On which day; today if empty.
	To      string
	Bottles int
	On      string
}

// Decide enters a decision about a batch in a register, and says how the batch stands then.
func Decide(file, batch string, d Decision, now time.Time) (string, error) {
	for _, text := range []string{d.By, d.To, d.Reason, d.LotCode} {
		if !OneLine(text) {
			return "", Usage("%q holds control characters", text)
		}
	}
	e := &register.Entry{What: d.What, Batch: batch, At: now.UTC().Truncate(time.Second), By: d.By, Reason: d.Reason, LotCode: d.LotCode, To: d.To, Bottles: d.Bottles}
	r, err := register.Append(file, e, func(r *register.Register) error {
		if len(r.Of(batch)) == 0 {
			return NoBatch(r, batch)
		}
		made := r.Last(batch, register.Made)
		if made == nil {
			return unmet("batch %s is planned and not made yet (see bittersum record --draw)", batch)
		}
		e.Record = made.Record
		switch d.What {
		case register.Released:
			return d.release(e, made)
		case register.Withheld:
			if d.By == "" || d.Reason == "" {
				return Usage("withhold needs --by and --reason")
			}
			return nil
		}
		return d.sell(r, e, made, Day(now))
	})
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("Batch %s is %s.", batch, report.RegisterState(r, batch)), nil
}

// NoBatch is the fault that a register has no such batch.
func NoBatch(r *register.Register, number string) error {
	return tomlfile.Faults{{File: r.File, What: fmt.Sprintf("there is no batch %q", number), Hint: tomlfile.DidYouMean(number, r.Batches())}}
}

// release looks whether a batch may be released: not what must not be sold, and what misses its brief only with a
// reason.
func (d *Decision) release(e, made *register.Entry) error {
	switch kettle.Verdict(made.Verdict) {
	case kettle.NotToBeSold:
		return unmet("batch %s must not be sold: %v", made.Batch, made.Findings[0])
	case kettle.Incomplete:
		return unmet("not all of batch %s is written down yet", made.Batch)
	case kettle.Misses:
		if d.Reason == "" {
			return unmet("batch %s misses its brief: %v; release it only with --reason", made.Batch, made.Findings[0])
		}
	}
	if d.By == "" {
		return Usage("release needs --by: somebody has to answer for it")
	}
	if d.BestBefore != "" {
		day, err := ParseDay("--best-before", d.BestBefore)
		if err != nil {
			return err
		}
		e.BestBefore = DateText(day)
	}
	return nil
}

// sell looks whether bottles may go out: of a released batch, and no more than were filled.
func (d *Decision) sell(r *register.Register, e, made *register.Entry, today time.Time) error {
	if d.To == "" || d.Bottles == 0 {
		return Usage("sold needs --to and --bottles")
	}
	if last := r.Decided(made.Batch); d.Bottles > 0 && (last == nil || last.What != register.Released) {
		return unmet("batch %s is %s: nothing of it may be sold", made.Batch, report.RegisterState(r, made.Batch))
	}
	day := today
	if d.On != "" {
		var err error
		if day, err = ParseDay("--on", d.On); err != nil {
			return err
		}
	}
	if day.After(today) {
		return Usage("--on: %s has not come yet", d.On)
	}
	e.On = DateText(day)
	gone := d.Bottles
	for _, other := range r.Of(made.Batch) {
		if other.What == register.Sold {
			gone += other.Bottles
		}
	}
	if made.Bottles > 0 && gone > made.Bottles || gone < 0 {
		return Refused{Contradicts, fmt.Sprintf("batch %s has %d bottles in all; with these %d would be sold", made.Batch, made.Bottles, gone)}
	}
	return nil
}
