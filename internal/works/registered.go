package works

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"reflect"
	"runtime/debug"
	"time"

	"bittersum/internal/kettle"
	"bittersum/internal/register"
	"bittersum/profiles"
)

// Version is the program's, with the day of its last change where the build knows it.
func Version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	text := info.Main.Version
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 || s.Key == "vcs.time" {
			text += " " + s.Value[:min(len(s.Value), 20)]
		}
	}
	return text
}

// RulesPrint is the SHA-256 of the library that comes with the program: its profiles and rules.
func RulesPrint() string {
	sum := sha256.Sum256(profiles.Packed)
	return hex.EncodeToString(sum[:])
}

// registerPlan adds a plan to the brief's register, if it has one.
func registerPlan(p *kettle.Plan, form *kettle.Record, now time.Time) error {
	if p.Job.RegisterFile == "" {
		return nil
	}
	e := register.Entry{
		What: register.Planned, Batch: form.Batch, At: now.UTC().Truncate(time.Second), Record: form.ID, Brief: p.Job.Name, BriefPrint: p.Job.Fingerprint,
		Program: Version(), Rules: RulesPrint(), Litres: p.Options.Litres, Plan: map[string]float64{},
	}
	for _, l := range p.Lines {
		e.Plan[l.Source.Name] = l.Grams
	}
	_, err := register.Append(p.Job.RegisterFile, &e, func(r *register.Register) error { return another(r, form.Batch, form.ID) })
	return err
}

// another refuses a number that the register has for another record.
func another(r *register.Register, batch, id string) error {
	for _, e := range r.Of(batch) {
		if e.Record != "" && e.Record != id {
			return Usage("%s has batch %s with another record, %s on %s: two batches need two numbers", r.File, batch, e.What, e.At.Format(time.DateOnly))
		}
	}
	return nil
}

// registerMade adds what was made to the brief's register, if it has one and does not say it already.
func registerMade(m *kettle.Made, now time.Time) (string, error) {
	file := m.Job.RegisterFile
	if file == "" {
		return "", nil
	}
	r := m.Record
	e := register.Entry{
		What: register.Made, Batch: r.Batch, At: now.UTC().Truncate(time.Second), Record: r.ID, Brief: m.Job.Name, BriefPrint: m.Job.Fingerprint,
		Program: Version(), Rules: RulesPrint(), Weighed: map[string]float64{}, Measured: map[string]float64{},
		Verdict: string(m.Verdict()), By: r.By, LotCode: r.LotCode, BestBefore: DateText(r.BestBefore), MadeOn: DateText(m.Day()), Lots: map[string]string{},
	}
	for _, l := range m.Lines {
		if l.Grams > 0 {
			e.Weighed[l.Name()] = l.Grams
		}
		if l.LotUsed != "" {
			e.Lots[l.Ingredient] = l.LotUsed
		}
	}
	for _, x := range r.Measured {
		if !math.IsNaN(x.Value) {
			e.Measured[x.Name] = x.Value
		}
	}
	e.Litres, e.Bottles = e.Measured[kettle.MeasureLitres], int(e.Measured[kettle.MeasureBottles])
	for _, f := range m.Findings {
		if f.Class > kettle.Noted {
			e.Findings = append(e.Findings, f.Text)
		}
	}
	kept, err := register.Open(file)
	if err != nil {
		return "", err
	}
	if last := kept.Last(r.Batch, register.Made); last != nil {
		same := *last
		same.At = e.At
		if reflect.DeepEqual(normal(same), normal(e)) {
			return "", nil
		}
	}
	if _, err = register.Append(file, &e, func(k *register.Register) error { return another(k, r.Batch, r.ID) }); err != nil {
		return "", err
	}
	return fmt.Sprintf("Entered in %s: %s.\n", file, e.Verdict), nil
}

// normal makes empty maps and lists the same as none, as they are when they are read back.
func normal(e register.Entry) register.Entry {
	if len(e.Weighed) == 0 {
		e.Weighed = nil
	}
	if len(e.Measured) == 0 {
		e.Measured = nil
	}
	if len(e.Lots) == 0 {
		e.Lots = nil
	}
	if len(e.Findings) == 0 {
		e.Findings = nil
	}
	return e
}

// DateText writes a day as files have it, and nothing for none.
func DateText(day time.Time) string {
	if day.IsZero() {
		return ""
	}
	return day.Format(time.DateOnly)
}
