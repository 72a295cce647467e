package plan

import (
	"fmt"
	"slices"

	"bittersum/internal/brief"
	"bittersum/internal/tomlfile"
)

// mostFading is the most of a content that may be lost in a month: some of it stays.
var mostFading = tomlfile.Range{Min: 0, Max: 99}

// fades reads how contents of an item fade: a percentage a month for all that may fade, or one for each attribute.
func (r *reader) fades(t *tomlfile.Table, i *Item) {
	const key = "fades_percent"
	i.OpeningCame = t.Date("opening_received")
	if !i.OpeningCame.IsZero() && i.Opening == 0 {
		t.Fault("opening_received", "goes with opening_"+i.many(), "")
	}
	if i.OpeningCame.After(r.Starts[0]) {
		t.Fault("opening_received", "is after the plan's start", "what comes later is an [[offer]]")
	}
	if !t.Has(key) || i.Goods {
		return
	}
	may := r.mayFade(i)
	i.Fades = map[string]float64{}
	if !t.IsTable(key) {
		if percent, ok := t.Number(key, mostFading); ok && percent > 0 {
			for _, attribute := range may {
				i.Fades[attribute] = percent / 100
			}
			if len(may) == 0 {
				t.Fault(key, fmt.Sprintf("nothing of %s may fade", i.Name), fadesHint)
			}
		}
	} else if contents := t.Table(key); contents != nil {
		for _, attribute := range contents.Keys() {
			percent := contents.NumberOr(attribute, mostFading, 0)
			switch {
			case !slices.Contains(may, attribute):
				r.mayNot(contents, i, attribute, may)
			case percent > 0:
				i.Fades[attribute] = percent / 100
			}
		}
		contents.Done()
	}
	if i.fading() && i.Opening > 0 && i.OpeningCame.IsZero() {
		t.Fault(key, "needs opening_received: the day from which the contents of what is there have faded", "")
	}
}

const fadesHint = "taste but for acidity and sugars, aroma, colour and ascorbic-acid may; what is restricted, preserves or is dissolved counts in full at any age"

func (r *reader) mayNot(t *tomlfile.Table, i *Item, attribute string, may []string) {
	known := slices.ContainsFunc(r.Drinks, func(d *Drink) bool { return d.Job.Library.Attributes[attribute] != nil })
	switch {
	case !known:
		t.Fault(attribute, fmt.Sprintf("there is no attribute %q", attribute), tomlfile.DidYouMean(attribute, may))
	case !slices.ContainsFunc(r.Drinks, func(d *Drink) bool { return d.Job.MayFade(attribute) }):
		t.Fault(attribute, "may not fade", fadesHint)
	default:
		t.Fault(attribute, fmt.Sprintf("%s brings none of it", i.Name), "")
	}
}

// mayFade lists what an item brings that may fade, by name.
func (r *reader) mayFade(i *Item) []string {
	var out []string
	for _, d := range r.Drinks {
		for _, s := range d.Job.Sources {
			if s.Ingredient.Name != i.Name {
				continue
			}
			for attribute := range d.Job.Library.Attributes {
				if c, _ := s.Content(attribute); c.PerGram > 0 && d.Job.MayFade(attribute) && !slices.Contains(out, attribute) {
					out = append(out, attribute)
				}
			}
		}
	}
	slices.Sort(out)
	return out
}

// fadedUse notes where what fades is used in a way that its age cannot be followed.
func (r *reader) fadedUse() {
	note := func(line int, key, what, hint string) {
		r.faults = append(r.faults, tomlfile.Fault{File: r.File, Line: line, Key: key, What: what, Hint: hint})
	}
	for _, d := range r.Drinks {
		if d.Held && r.Plan.fades(d) {
			note(d.Line, "drink.recipe", fmt.Sprintf("%s is held and may take what fades, so that its recipe would have to change with age", d.Name), "let its recipe be free, or leave fades_percent out")
		}
		for _, s := range d.Job.Sources {
			r.fadedIn(d, s, note)
		}
	}
	for _, i := range r.Items {
		for _, lot := range i.Lots {
			switch {
			case !i.fading():
			case lot.Received.IsZero():
				note(0, "item."+i.Name+".fades_percent", fmt.Sprintf("lot %s does not say when it was received", lot.Number), "give its received in the lots file: its contents have faded since then")
			case lot.Number == "opening":
				note(0, "item."+i.Name+".fades_percent", "a lot is numbered \"opening\", as what is there at the start is called", "")
			}
		}
	}
}

// fadedIn notes a preparation that fades, or of parts that do.
func (r *reader) fadedIn(d *Drink, s *brief.Source, note func(line int, key, what, hint string)) {
	if s.Made == nil {
		return
	}
	fades := func(name string) bool { i := r.Item(name); return i != nil && i.fading() }
	if s.Lot != nil && fades(s.Ingredient.Name) {
		note(0, "item."+s.Ingredient.Name+".fades_percent", "is a preparation, and what of it fades cannot be followed", "")
	}
	if s.Lot != nil {
		return
	}
	for _, leaf := range s.Made.Leaves {
		if fades(leaf.Source.Ingredient.Name) {
			note(0, "item."+leaf.Source.Ingredient.Name+".fades_percent", fmt.Sprintf("%s takes it by way of %s, in which its age cannot be followed", d.Name, s.Ingredient.Name), "leave the preparation out of the brief's use, or fades_percent out")
		}
	}
}
