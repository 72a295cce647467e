package fit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bittersum/internal/assess"
	"bittersum/internal/brief"
	"bittersum/internal/kettle"
	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
)

// shown is what a measurement should show of an assessed mixture.
func shown(a *assess.Assessment, name string) float64 { return kettle.Foretell(a, name).Value }

// FromRecord returns the batch of a record. The job must have been opened with every lot. The error is a
// tomlfile.Faults: a record of another drink, of an ingredient that the brief does not know, without an amount, or
// with a measurement that means nothing.
func FromRecord(j *brief.Job, r *kettle.Record) (Batch, error) {
	if r.Brief != "" && r.Brief != j.Name {
		return Batch{}, tomlfile.Faults{{File: r.File, Key: "brief", What: fmt.Sprintf("is a record of %q, and the brief %s is %q", r.Brief, j.File, j.Name), Hint: "give its own brief"}}
	}
	made, err := kettle.Judge(j, r)
	if err != nil {
		return Batch{}, err
	}
	b := Batch{Name: r.Batch, Job: made.Job, Recipe: &brief.Recipe{Name: r.Batch, Batch: true}}
	var faults tomlfile.Faults
	for _, l := range made.Lines {
		if math.IsNaN(l.Grams) {
			faults = append(faults, tomlfile.Fault{File: r.File, Line: l.Line, Key: "weighed", What: fmt.Sprintf("%s has no grams", l.Name()), Hint: "what was not weighed tells nothing: write it down, or leave the record out"})
			continue
		}
		lot := l.Lot
		if lot == "" {
			lot = l.LotUsed
		}
		b.add(l.Source, l.Grams, lot, j.Extractions[l.Ingredient].Method)
	}
	names := r.Measures(j)
	for _, m := range r.Measured {
		if math.IsNaN(m.Value) {
			continue
		}
		if !slices.Contains(names, m.Name) || !meaningful(j, m.Name) {
			faults = append(faults, tomlfile.Fault{File: r.File, Line: m.Line, Key: "measured." + m.Name, What: "is no measurement that means anything here", Hint: tomlfile.DidYouMean(m.Name, names)})
			continue
		}
		b.Measured = append(b.Measured, Measurement{m.Name, m.Value, errorOf(j, m.Name, m.Value)})
	}
	return b, faults.Err()
}

func meaningful(j *brief.Job, name string) bool {
	return slices.Contains(brief.KettleMeasures, name) || j.Library.Attributes[name] != nil
}

func (b *Batch) add(s *brief.Source, grams float64, lot, method string) {
	b.Recipe.Parts = append(b.Recipe.Parts, brief.Part{Source: s, Amount: grams})
	b.Lots, b.Methods = append(b.Lots, lot), append(b.Methods, method)
}

// ReadInfusions reads a file of bench infusions:
//
//	[[infusion]]
//	name = "gentian at 80 degrees"
//	ingredient = "gentian-root"
//	lot = "GE-88"
//	grams = 5
//	water_g = 500
//	minutes = 30
//	method = "hot-infusion"
//	measured = { bitterness = 940, ph = 5.1 }
//
// Values are those of the infusion, as records have them. The error is a tomlfile.Faults.
func ReadInfusions(path string, j *brief.Job) ([]Batch, error) {
	doc, err := tomlfile.Open(path)
	if err != nil {
		return nil, err
	}
	root := doc.Root()
	root.Require("infusion")
	var batches []Batch
	seen := map[string]bool{}
	for n, t := range root.Tables("infusion") {
		t.Require("ingredient", "grams", "water_g", "measured")
		name := t.String("name")
		if name == "" {
			name = fmt.Sprintf("infusion %d", n+1)
		}
		if seen[name] {
			t.Fault("name", fmt.Sprintf("%q stands here twice", name), "give each infusion a name of its own")
		}
		seen[name] = true
		ingredient, lot, method := t.String("ingredient"), t.String("lot"), t.String("method")
		grams, water := t.NumberOr("grams", tomlfile.Positive, math.NaN()), t.NumberOr("water_g", tomlfile.Positive, math.NaN())
		t.NumberOr("minutes", tomlfile.Positive, 0)
		t.NumberOr("celsius", tomlfile.Range{Min: 0, Max: 130}, 0)
		var measured []Measurement
		if values := t.Table("measured"); values != nil {
			for _, key := range values.Keys() {
				v, ok := values.Number(key, tomlfile.Any)
				if !meaningful(j, key) {
					values.Fault(key, "is no measurement that means anything here", tomlfile.DidYouMean(key, append(slices.Clone(brief.KettleMeasures), j.Library.AttributeNames()...)))
				} else if ok {
					measured = append(measured, Measurement{key, v, errorOf(j, key, v)})
				}
			}
		}
		t.Done()
		g := j.Library.Ingredients[ingredient]
		if g == nil {
			if t.Has("ingredient") {
				t.Fault("ingredient", fmt.Sprintf("there is no ingredient %q", ingredient), tomlfile.DidYouMean(ingredient, j.Library.IngredientNames()))
			}
			continue
		}
		if _, known := g.Methods[method]; method != "" && !known {
			t.Fault("method", fmt.Sprintf("the profile of %q knows no method %q", ingredient, method), "leave it out for the usual way")
			continue
		}
		bench, err := benchJob(j, ingredient, method)
		if err != nil {
			t.Fault("ingredient", err.Error(), "")
			continue
		}
		b := Batch{Name: name, Job: bench, Recipe: &brief.Recipe{Name: name, Batch: true}, Measured: measured}
		source := bench.Source(ingredient + "/" + lot)
		if source == nil {
			source = bench.Source(ingredient)
		}
		waters := slices.IndexFunc(bench.Sources, (*brief.Source).Water)
		if source == nil || waters < 0 || math.IsNaN(grams) || math.IsNaN(water) {
			if source == nil {
				t.Fault("ingredient", fmt.Sprintf("%q can only be had as lots, and %q is none of them", ingredient, lot), "")
			}
			continue
		}
		b.add(source, grams, lot, method)
		b.add(bench.Sources[waters], water, "", "")
		batches = append(batches, b)
	}
	root.Done()
	return batches, doc.Err()
}

// benchJob returns a job in which one ingredient is drawn with water by a method, and nothing is asked for.
func benchJob(j *brief.Job, ingredient, method string) (*brief.Job, error) {
	return j.Changed(func(b *brief.Brief) {
		b.Use = []brief.Ref{{Name: "water"}, {Name: ingredient}}
		b.Markets, b.Targets, b.Readings, b.Ratios, b.Groups, b.Limits = nil, nil, nil, nil, nil, map[string]brief.Limit{}
		b.Throw, b.CarbonDioxide, b.Carbonated, b.Losses, b.AlcoholPercent = 0, math.NaN(), false, nil, 0
		b.Accepts, b.Packs, b.Scales = nil, nil, nil
		b.Lots = slices.DeleteFunc(b.Lots, func(l brief.Lot) bool { return l.Ingredient != ingredient })
		b.Extractions = map[string]brief.Extraction{}
		if method != "" {
			b.Extractions[ingredient] = brief.Extraction{Method: method, Times: 1}
		}
	})
}

// CountedTwice names the figures that rest already on one of the batches: counted once more they would seem surer
// than they are.
func CountedTwice(batches []Batch) (found []string) {
	for _, b := range batches {
		for _, p := range b.Recipe.Parts {
			for attribute, c := range p.Source.Ingredient.Contents {
				if c.Basis != profile.Measured {
					continue
				}
				for _, other := range batches {
					what := fmt.Sprintf("%s of %s (%s)", attribute, p.Source.Ingredient.Name, c.Source)
					if names(c.Source, other.Name) && !slices.Contains(found, what) {
						found = append(found, what)
					}
				}
			}
		}
	}
	slices.Sort(found)
	return found
}

// names reports whether a text names a batch, and not only one whose name begins or ends like it.
func names(text, batch string) bool {
	for from := 0; ; {
		at := strings.Index(text[from:], batch)
		if at < 0 {
			return false
		}
		at += from
		end := at + len(batch)
		if (at == 0 || !inName(text[at-1])) && (end == len(text) || !inName(text[end])) {
			return true
		}
		from = at + 1
	}
}

func inName(c byte) bool {
	return c == '-' || c == '_' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= 0x80
}
