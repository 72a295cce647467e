package plan

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"bittersum/internal/brief"
	"bittersum/internal/tomlfile"
)

// mostPeriods bounds the length of a plan.
const mostPeriods = 104

// OpenBrief opens a brief by the name that a plan gives it, from the plan's folder.
type OpenBrief func(name string) (*brief.Job, error)

// Read reads a plan. The error is a tomlfile.Faults for all that the maker can mend.
func Read(doc *tomlfile.Document, open OpenBrief) (*Plan, error) {
	r := &reader{Plan: &Plan{File: doc.Name()}, root: doc.Root(), open: open}
	r.head()
	if len(r.Starts) == 0 {
		r.root.Done()
		return nil, doc.Err() // nothing can be read by periods without them
	}
	if err := r.drinks(); err != nil {
		return nil, err
	}
	if len(r.Drinks) > 0 && len(doc.Faults()) == 0 {
		r.store()
		r.suppliers()
		r.offers()
		r.kettle()
		r.scenarios()
		r.root.Done()
		r.bought()
		r.fadedUse()
		r.beyond()
		r.unbounded()
	}
	if err := append(doc.Faults(), r.faults...).Err(); err != nil {
		return nil, err
	}
	return r.Plan, nil
}

type reader struct {
	*Plan
	root   *tomlfile.Table
	open   OpenBrief
	faults tomlfile.Faults
	rates  map[string]float64
}

func (r *reader) head() {
	t := r.root
	t.Require("name", "start", "periods")
	r.Name, r.Currency = t.String("name"), t.String("currency")
	r.Goal, r.Length = LeastCost, Month
	if goal := t.OneOf("goal", string(LeastCost), string(MostMargin)); goal != "" {
		r.Goal = Goal(goal)
	}
	if length := t.OneOf("period", Month, Week); length != "" {
		r.Length = length
	}
	r.OthersAtList = t.OneOf("others", "not bought", "list price") == "list price"
	r.Effort = t.Whole("effort", 1, 100, 1)
	start, periods := t.Date("start"), t.Whole("periods", 1, mostPeriods, 0)
	if start.IsZero() || periods == 0 {
		return
	}
	if r.Length == Month && start.Day() > 28 {
		t.Fault("start", "is after the 28th, a day that some months lack", "begin on the first of a month")
		return
	}
	for n := range periods + 1 {
		if r.Length == Week {
			r.Starts = append(r.Starts, start.AddDate(0, 0, 7*n))
		} else {
			r.Starts = append(r.Starts, start.AddDate(0, n, 0))
		}
	}
	r.Budget = r.each(t, "budget_per_period", math.Inf(1))
	r.rates = map[string]float64{}
	if rates := t.Table("rates"); rates != nil {
		for _, currency := range rates.Keys() {
			r.rates[currency] = rates.NumberOr(currency, tomlfile.Positive, 1)
		}
		rates.Done()
	}
}

// each reads one number for each period, or absent for all.
func (r *reader) each(t *tomlfile.Table, key string, absent float64) []float64 {
	if v := t.Numbers(key, tomlfile.NonNegative, r.Periods()); v != nil {
		return v
	}
	return slices.Repeat([]float64{absent}, r.Periods())
}

func (r *reader) drinks() error {
	tables := r.root.Tables("drink")
	if len(tables) == 0 {
		r.root.Fault("drink", "is missing: a plan needs at least one [[drink]] with its brief", "")
		r.root.Suggest("drink", "store", "kettle", "supplier", "offer", "item", "scenario")
	}
	for _, t := range tables {
		d := &Drink{Line: t.Line(""), Name: t.String("name"), Goods: map[string]float64{}}
		t.Require("brief")
		file := t.String("brief")
		if file == "" {
			continue
		}
		job, err := r.open(file)
		if err != nil {
			return err
		}
		d.Job = job
		if d.Name == "" {
			d.Name = strings.TrimSuffix(filepath.Base(strings.TrimPrefix(file, "demo:")), ".toml")
		}
		if r.Drink(d.Name) != nil {
			t.Fault("name", fmt.Sprintf("%q stands twice", d.Name), "give each drink a name of its own")
		}
		if len(r.Drinks) > 0 && r.Drinks[0].Blend() != d.Blend() {
			t.Fault("brief", "is of another kind than the first: a plan is of drinks or of blends", "")
		}
		r.demand(t, d)
		r.recipe(t, d)
		t.Done()
		r.Drinks = append(r.Drinks, d)
	}
	if len(r.Drinks) > 0 && r.Currency == "" {
		r.Currency = r.Drinks[0].Job.Currency
	}
	for _, d := range r.Drinks {
		if d.Job.Currency != r.Currency {
			r.faults = append(r.faults, tomlfile.Fault{File: r.File, Line: d.Line, Key: "drink.brief",
				What: fmt.Sprintf("%s counts in %s and the plan in %s", d.Job.File, d.Job.Currency, r.Currency), Hint: "prices of offers may be in other currencies, see rates; a brief's may not"})
		}
	}
	return nil
}

func (r *reader) demand(t *tomlfile.Table, d *Drink) {
	periods := r.Periods()
	unit := "l"
	if d.Blend() {
		unit = "unit"
	}
	if exactly := t.Numbers("demand_"+unit, tomlfile.NonNegative, periods); exactly != nil {
		d.Least, d.Most = exactly, exactly
		for _, key := range []string{"least_" + unit, "most_" + unit} {
			if t.Has(key) {
				t.Numbers(key, tomlfile.NonNegative, periods)
				t.Fault(key, "stands beside demand_"+unit, "demand is what is sold exactly; leave it out to give least and most")
			}
		}
	} else {
		d.Least, d.Most = r.each(t, "least_"+unit, 0), r.each(t, "most_"+unit, math.Inf(1))
		for n := range periods {
			if d.Least[n] > d.Most[n] {
				t.Fault("least_"+unit, fmt.Sprintf("asks for %g in %s, where most_%s is %g", d.Least[n], r.PeriodName(n), unit, d.Most[n]), "")
			}
		}
	}
	d.Price = t.NumberOr("price_per_"+unit, tomlfile.NonNegative, 0)
	d.Short = t.NumberOr("short_per_"+unit, tomlfile.NonNegative, math.NaN())
	d.LitreCost = t.NumberOr("cost_per_"+unit, tomlfile.NonNegative, 0)
	d.Hours = t.NumberOr("hours_per_"+unit, tomlfile.NonNegative, 0)
	d.Waits = t.Whole("waits_periods", 0, mostPeriods, 0)
	d.WaitCost = t.NumberOr("wait_cost_per_"+unit, tomlfile.NonNegative, 0)
	if r.Goal == MostMargin && d.Price == 0 && d.Job.SellsAt == 0 {
		t.Fault("price_per_"+unit, "is missing: the goal is the most margin", "")
	}
	if goods := t.Table("goods_per_" + unit); goods != nil {
		for _, name := range goods.Keys() {
			d.Goods[name] = goods.NumberOr(name, tomlfile.NonNegative, 0)
			if r.Item(name) == nil {
				r.Items = append(r.Items, newItem(name, "pieces", true))
			}
		}
		goods.Done()
	}
}

func (r *reader) recipe(t *tomlfile.Table, d *Drink) {
	d.Changes, d.Drift = mostPeriods, math.Inf(1)
	d.Held = t.OneOf("recipe", "free", "held") == "held"
	for _, key := range []string{"changes", "change_cost", "notice_periods", "drift"} {
		if t.Has(key) && !d.Held {
			t.Fault(key, "goes with recipe = \"held\"", "a free recipe may differ in each period")
		}
	}
	d.Changes = t.Whole("changes", 0, mostPeriods, mostPeriods)
	d.ChangeCost = t.NumberOr("change_cost", tomlfile.NonNegative, 0)
	d.Notice = t.Whole("notice_periods", 0, mostPeriods, 0)
	d.Drift = t.NumberOr("drift", tomlfile.NonNegative, math.Inf(1))
	if file := t.String("now"); file != "" {
		path := file
		if !filepath.IsAbs(file) {
			path = filepath.Join(filepath.Dir(r.File), file)
		}
		now, err := d.Job.OpenRecipe(path)
		if err != nil {
			t.Fault("now", strings.ReplaceAll(err.Error(), "\n", "; "), "")
			return
		}
		d.Now = now
	}
	if d.Notice > 0 && d.Now == nil && d.Held {
		t.Fault("notice_periods", "needs now, the recipe that is made until the first change", "")
	}
}

func newItem(name, unit string, goods bool) *Item {
	return &Item{Name: name, Unit: unit, Goods: goods, Room: math.Inf(1)}
}

// per is the ending of keys that speak of a unit of the item.
func (i *Item) per() string {
	switch {
	case i.Goods:
		return "piece"
	case i.Unit == "kg":
		return "kg"
	}
	return "unit"
}

// many is per for an amount.
func (i *Item) many() string {
	if i.per() == "kg" {
		return "kg"
	}
	return i.per() + "s"
}

// store reads how things are kept. Every ingredient that a brief may use is an item.
func (r *reader) store() {
	for _, d := range r.Drinks {
		for _, s := range d.Job.Sources {
			r.itemsOf(d, s)
		}
	}
	r.Store = Store{math.Inf(1), math.Inf(1)}
	holdAll := 0.0
	if t := r.root.Table("store"); t != nil {
		many, per := "kg", "kg"
		if r.Drinks[0].Blend() {
			many, per = "units", "unit"
		}
		r.Store = Store{t.NumberOr("space_"+many, tomlfile.NonNegative, math.Inf(1)), t.NumberOr("cold_space_"+many, tomlfile.NonNegative, math.Inf(1))}
		holdAll = t.NumberOr("cost_per_"+per, tomlfile.NonNegative, 0)
		t.Done()
	}
	for _, i := range r.Items {
		if !i.Goods {
			i.HoldCost = holdAll
		}
	}
	if all := r.root.Table("item"); all != nil {
		for _, t := range all.Named() {
			item := r.Item(t.Key())
			if item == nil {
				t.Fault("", fmt.Sprintf("no drink of the plan uses %q", t.Key()), tomlfile.DidYouMean(t.Key(), r.itemNames()))
				t = nil
				continue
			}
			r.item(t, item)
		}
	}
}

func (r *reader) itemNames() []string {
	var names []string
	for _, i := range r.Items {
		names = append(names, i.Name)
	}
	return names
}

// itemsOf notes what a source is bought as: itself, its lot, or the parts of a preparation.
func (r *reader) itemsOf(d *Drink, s *brief.Source) {
	if s.Made != nil && s.Lot == nil {
		for _, leaf := range s.Made.Leaves {
			r.itemsOf(d, leaf.Source)
		}
		return
	}
	if s.Water() {
		return
	}
	item := r.Item(s.Ingredient.Name)
	if item == nil {
		unit := "kg"
		if d.Blend() {
			unit = d.Job.Unit
		}
		item = newItem(s.Ingredient.Name, unit, false)
		r.Items = append(r.Items, item)
	}
	if s.Lot != nil && !slices.ContainsFunc(item.Lots, func(l *brief.Lot) bool { return l.Number == s.Lot.Number }) {
		item.Lots = append(item.Lots, s.Lot)
	}
}

func (r *reader) item(t *tomlfile.Table, i *Item) {
	i.KeepsMonths = t.Whole("keeps_months", 1, 1200, 0)
	i.KeepsDays = t.Whole("keeps_days", 1, 36500, 0)
	i.Loss = t.NumberOr("loss_percent", tomlfile.Range{Min: 0, Max: 99}, 0) / 100
	i.Cold = t.Bool("cold")
	i.Safety = t.NumberOr("safety_"+i.many(), tomlfile.NonNegative, 0)
	i.Closing = t.NumberOr("closing_"+i.many(), tomlfile.NonNegative, 0)
	i.Opening = t.NumberOr("opening_"+i.many(), tomlfile.NonNegative, 0)
	i.Room = t.NumberOr("room_"+i.many(), tomlfile.NonNegative, math.Inf(1))
	r.fades(t, i)
	i.HoldCost = t.NumberOr("cost_per_"+i.per(), tomlfile.NonNegative, i.HoldCost)
	if i.Safety > i.Room || i.Closing > i.Room {
		t.Fault("room_"+i.many(), fmt.Sprintf("is %g, less than what must be there", i.Room), "")
	}
	t.Done()
}

func (r *reader) kettle() {
	inf := math.Inf(1)
	none := slices.Repeat([]float64{inf}, r.Periods())
	r.Kettle = Kettle{Litres: inf, PerPeriod: none, Hours: none}
	t := r.root.Table("kettle")
	if t == nil {
		return
	}
	k := &r.Kettle
	k.Litres = t.NumberOr("batch_l", tomlfile.Positive, inf)
	k.LeastLitres = t.NumberOr("least_batch_l", tomlfile.NonNegative, 0)
	k.PerPeriod = r.each(t, "most_l_per_period", inf)
	k.Hours = r.each(t, "hours_per_period", inf)
	k.HoursABatch = t.NumberOr("hours_per_batch", tomlfile.NonNegative, 0)
	k.CleaningHours = t.NumberOr("cleaning_hours", tomlfile.NonNegative, 0)
	k.BatchCost = t.NumberOr("cost_per_batch", tomlfile.NonNegative, 0)
	k.CleaningCost = t.NumberOr("cleaning_cost", tomlfile.NonNegative, 0)
	if k.LeastLitres > k.Litres {
		t.Fault("least_batch_l", fmt.Sprintf("is above batch_l, %g", k.Litres), "")
	}
	if !k.Whole() && (k.HoursABatch > 0 || k.BatchCost > 0 || k.LeastLitres > 0 || k.CleaningHours > 0 || k.CleaningCost > 0) {
		t.Fault("batch_l", "is missing: batches are counted by it", "")
	}
	t.Done()
}
