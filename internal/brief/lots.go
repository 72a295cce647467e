package brief

import (
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"bittersum/internal/profile"
	"bittersum/internal/sheet"
	"bittersum/internal/tomlfile"
)

// Lot is one delivery of an ingredient.
type Lot struct {
	Number     string
	Ingredient string
	// QuantityKg is what was delivered; see LeftKg for what is on the shelf.
	QuantityKg float64
	// PricePerKg is what was paid; NaN when not given.
	PricePerKg           float64
	Received, BestBefore time.Time
	// State is accepted, held or refused; only accepted lots are used.
	State string
	// Reason says why a lot is held or refused.
	Reason string
	// Supplier is who delivered it and DeliveryNote that paper's number: one step up in tracing.
	Supplier, DeliveryNote string
	// PackKg is the size of the packs it came in, 0 when not given.
	PackKg float64
	// Moisture is the share of water that the certificate states, 0 when it does not. The profile's
	// contents are then those of this lot's dry substance.
	Moisture float64
	// Contents are the certificate's values, which replace the profile's.
	Contents map[string]profile.Content
	// Sure are the maker's reasons for certificate values that are far from the profile, by attribute.
	Sure map[string]string
	// Correlations say how its contents go together, in place of the profile's; nil where it says nothing.
	Correlations *profile.Correlations
	// Draws are what batches took from the lot.
	Draws []Draw
	// Changes are what was done to the lot otherwise, the last one last.
	Changes []Change
	File    string
	Line    int
	Lines   map[string]int // line of each certificate value, by attribute, and of correlations.ATTRIBUTE
}

// Draw is what one batch took from a lot. A later draw for the same batch corrects an earlier one, so its
// amount may be below zero.
type Draw struct {
	Batch string
	// Record is the identity of the batch's record, empty in files of before there were any.
	Record string
	Kg     float64
	On     time.Time
	Line   int
}

// Change is what was done to a lot on the shelf: its state was changed, or its amount.
type Change struct {
	// What is hold, release, refuse, write-off or adjust.
	What string
	// Kg is added to what is left, below zero for what is gone; 0 for a change of state.
	Kg         float64
	Reason, By string
	On         time.Time
	Line       int
}

// Words for changes of a lot.
const (
	Hold     = "hold"
	Release  = "release"
	Refuse   = "refuse"
	WriteOff = "write-off"
	Adjust   = "adjust"
)

// changeWords are all of them, with the state that they leave the lot in.
var changeWords = map[string]string{Hold: Held, Release: Accepted, Refuse: Refused, WriteOff: "", Adjust: ""}

// apply makes a change count.
func (l *Lot) apply(c Change) {
	l.Changes = append(l.Changes, c)
	if state := changeWords[c.What]; state != "" {
		l.State, l.Reason = state, c.Reason
		if state == Accepted {
			l.Reason = ""
		}
	}
}

// check says what is wrong with a change, or is empty.
func (c Change) check() string {
	switch {
	case c.Reason == "":
		return "a change needs a reason"
	case changeWords[c.What] != "" && c.Kg != 0:
		return fmt.Sprintf("%q changes no amount", c.What)
	case c.What == WriteOff && c.Kg >= 0:
		return "what is written off is below zero"
	case c.What == Adjust && c.Kg == 0:
		return "an adjustment of nothing changes nothing"
	}
	return ""
}

// Words for a lot's state.
const (
	Accepted = "accepted"
	Held     = "held"
	Refused  = "refused"
)

// overdrawn is how many kg a lot may be drawn below nothing before it counts as wrong: less than any
// scale shows.
const overdrawn = 1e-9

// DrawnKg is what batches took from the lot in all.
func (l *Lot) DrawnKg() float64 {
	sum := 0.0
	for _, d := range l.Draws {
		sum += d.Kg
	}
	return sum
}

// ChangedKg is what was added to the lot otherwise, below zero for what was written off.
func (l *Lot) ChangedKg() float64 {
	sum := 0.0
	for _, c := range l.Changes {
		sum += c.Kg
	}
	return sum
}

// LeftKg is what is on the shelf.
func (l *Lot) LeftKg() float64 { return max(0, l.QuantityKg+l.ChangedKg()-l.DrawnKg()) }

// Expired reports whether the lot is past its date on that day; a zero day is before every date.
func (l *Lot) Expired(day time.Time) bool {
	return !l.BestBefore.IsZero() && l.BestBefore.Before(day)
}

// WhyNot says why the lot may not go into a batch on that day, or "" when it may.
func (l *Lot) WhyNot(day time.Time) string {
	because := func(what string) string {
		if l.Reason != "" {
			what += " (" + l.Reason + ")"
		}
		return what
	}
	switch {
	case l.State == Refused:
		return because("is refused")
	case l.State == Held:
		return because("is held")
	case l.LeftKg() <= overdrawn:
		return "is used up"
	case l.Expired(day):
		return "expired on " + l.BestBefore.Format(time.DateOnly)
	}
	return ""
}

// Usable reports whether the lot may go into a batch, whatever the day.
func (l *Lot) Usable() bool { return l.WhyNot(time.Time{}) == "" }

// Lots are what a lots file says.
type Lots struct {
	File string
	Lots []Lot
}

// Find returns the lot of that number, or nil.
func (l *Lots) Find(number string) *Lot {
	for n := range l.Lots {
		if l.Lots[n].Number == number {
			return &l.Lots[n]
		}
	}
	return nil
}

// OpenLots reads a lots file on its own; see ParseLots.
func OpenLots(path string) (*Lots, error) {
	text, err := readAny(path)
	if err != nil {
		return nil, err
	}
	return ParseLots(path, text)
}

// IsCSV reports whether a file's name says that it is CSV.
func IsCSV(name string) bool { return strings.EqualFold(filepath.Ext(name), ".csv") }

// ParseLots reads lots: TOML with [[lot]] tables, certificate values in [lot.contents.ATTRIBUTE] and what
// batches took in [[draw]] tables; or, when file ends in .csv or .xlsx, a table (see lotsTable). The error is a
// tomlfile.Faults. Names of ingredients and attributes are not looked up, see CheckLots.
func ParseLots(file, text string) (*Lots, error) { return parseLots(file, text, Money{}) }

// parseLots is ParseLots with the money that prices are to be in, if any.
func parseLots(file, text string, money Money) (*Lots, error) {
	if sheet.IsTable(file) {
		return parseLotsTable(file, text, money)
	}
	doc, err := tomlfile.Parse(file, []byte(text))
	if err != nil {
		return nil, err
	}
	lots := &Lots{File: file}
	root := doc.Root()
	seen := map[string]int{}
	for _, t := range root.Tables("lot") {
		lot := readLot(t)
		if line := seen[lot.Number]; line > 0 && lot.Number != "" {
			t.Fault("number", fmt.Sprintf("%q stands twice, first on line %d", lot.Number, line), "")
		}
		seen[lot.Number] = t.Line("number")
		lots.Lots = append(lots.Lots, lot)
	}
	for _, t := range root.Tables("draw") {
		lots.readDraw(t)
	}
	for _, t := range root.Tables("change") {
		lots.readChange(t)
	}
	root.Done()
	if err := doc.Err(); err != nil {
		return nil, err
	}
	return lots, lots.overdrawn().Err()
}

func (l *Lots) readDraw(t *tomlfile.Table) {
	t.Require("lot", "batch", "kg")
	number := t.String("lot")
	d := Draw{Batch: t.String("batch"), Record: t.String("record"), Kg: t.NumberOr("kg", tomlfile.Any, 0), On: t.Date("on"), Line: t.Line("kg")}
	t.Done()
	if number == "" {
		return
	}
	lot := l.Find(number)
	if lot == nil {
		t.Fault("lot", fmt.Sprintf("there is no lot %q", number), tomlfile.DidYouMean(number, l.numbers()))
		return
	}
	lot.Draws = append(lot.Draws, d)
}

func (l *Lots) readChange(t *tomlfile.Table) {
	t.Require("lot", "what", "reason")
	number := t.String("lot")
	c := Change{
		What: t.OneOf("what", Hold, Release, Refuse, WriteOff, Adjust), Kg: t.NumberOr("kg", tomlfile.Any, 0),
		Reason: t.String("reason"), By: t.String("by"), On: t.Date("on"), Line: t.Line(""),
	}
	t.Done()
	lot := l.Find(number)
	if lot == nil && number != "" {
		t.Fault("lot", fmt.Sprintf("there is no lot %q", number), tomlfile.DidYouMean(number, l.numbers()))
	}
	if lot == nil || c.What == "" {
		return
	}
	if wrong := c.check(); wrong != "" && c.Reason != "" {
		t.Fault("", wrong, "")
	}
	lot.apply(c)
}

func (l *Lots) numbers() []string {
	var names []string
	for _, lot := range l.Lots {
		names = append(names, lot.Number)
	}
	return names
}

// overdrawn notes lots of which batches took more than there was, at the draw that first did.
func (l *Lots) overdrawn() tomlfile.Faults {
	var faults tomlfile.Faults
	for _, lot := range l.Lots {
		left := lot.QuantityKg + lot.ChangedKg()
		if left < -overdrawn {
			faults = append(faults, tomlfile.Fault{File: l.File, Line: lot.Changes[len(lot.Changes)-1].Line,
				What: fmt.Sprintf("more of lot %q is written off than was delivered", lot.Number)})
			continue
		}
		for _, d := range lot.Draws {
			if left-d.Kg < -overdrawn {
				faults = append(faults, tomlfile.Fault{File: l.File, Line: d.Line,
					What: fmt.Sprintf("batch %q draws %.6g kg of lot %q, which has %.6g kg left", d.Batch, d.Kg, lot.Number, max(0, left))})
				break
			}
			left -= d.Kg
		}
	}
	return faults
}

// readLots reads the lots file that the brief names.
func (b *Brief) readLots(src source, file string) error {
	text, shown, err := src.text(file)
	if err != nil {
		return err
	}
	lots, err := parseLots(shown, text, b.Money())
	if err == nil {
		b.Lots, b.LotsFile = lots.Lots, shown
	}
	return err
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
		State:      t.OneOf("state", Accepted, Held, Refused),
		Moisture:   t.NumberOr("moisture_share", tomlfile.Range{Min: 0, Max: 0.99, Open: true}, 0),
		Reason:     t.String("reason"),
		PackKg:     t.NumberOr("pack_kg", tomlfile.Positive, 0),
		Supplier:   t.String("supplier"), DeliveryNote: t.String("delivery_note"),
		File:     t.File(),
		Line:     t.Line(""),
		Contents: map[string]profile.Content{},
		Sure:     map[string]string{},
		Lines:    map[string]int{},
	}
	lot.check(func(key, what string) { t.Fault(key, what, "") })
	if contents := t.Table("contents"); contents != nil {
		for _, c := range contents.Named() {
			c.Require("per_g")
			content := profile.Content{
				PerGram:     c.NumberOr("per_g", tomlfile.NonNegative, 0),
				Recovery:    c.NumberOr("recovery", tomlfile.Share, nan),
				SD:          c.NumberOr("sd", tomlfile.NonNegative, 0),
				CapRecovery: c.NumberOr("cap_recovery", tomlfile.Share, nan),
				Provenance:  lot.certificate(),
			}
			if sure := c.String("sure"); sure != "" {
				lot.Sure[c.Key()] = sure
			}
			c.Done()
			lot.Contents[c.Key()] = content
			lot.Lines[c.Key()] = c.Line("")
		}
	}
	lot.Correlations = profile.ReadCorrelations(t, lot.certificate(), func(of *tomlfile.Table, name string) bool {
		if key := correlationKey(name); lot.Lines[key] == 0 {
			lot.Lines[key] = of.Line(name)
		}
		return true // names are looked up by strangersIn
	})
	t.Done()
	return lot
}

// correlationKey is where a lot's table says how a content goes together with others.
func correlationKey(attribute string) string { return "correlations." + attribute }

func (l *Lot) certificate() profile.Provenance {
	return profile.Provenance{Basis: profile.Measured, Source: "certificate of lot " + l.Number}
}

// check notes what contradicts itself in a lot, and fills in the state of one that has none.
func (l *Lot) check(fault func(key, what string)) {
	if strings.ContainsFunc(l.Number, func(r rune) bool { return r < ' ' || r == 0x7f }) || strings.TrimSpace(l.Number) != l.Number {
		fault("number", fmt.Sprintf("%q begins or ends with a space, or holds a control character", l.Number))
	}
	if l.State == "" {
		l.State = Accepted
	}
	if l.State == Refused && l.Reason == "" {
		fault("state", "a refused lot needs a reason")
	}
	if !l.Received.IsZero() && !l.BestBefore.IsZero() && l.BestBefore.Before(l.Received) {
		fault("best_before", "is before the lot was received")
	}
}

// CheckLots looks up the names that lots use. The error is a tomlfile.Faults.
func CheckLots(lots *Lots, lib *profile.Library) error {
	var faults tomlfile.Faults
	callLots(lots.Lots, lib)
	for n := range lots.Lots {
		faults = append(faults, strangersIn(&lots.Lots[n], lib)...)
	}
	return faults.Err()
}

// callLots gives lots the names that the library has for what they write as its titles do.
func callLots(lots []Lot, lib *profile.Library) {
	for n := range lots {
		if name := lib.Called(lots[n].Ingredient); name != "" {
			lots[n].Ingredient = name
		}
	}
}

func strangersIn(lot *Lot, lib *profile.Library) tomlfile.Faults {
	var faults tomlfile.Faults
	note := func(line int, key, what, hint string) {
		faults = append(faults, tomlfile.Fault{File: lot.File, Line: line, Key: key, What: what, Hint: hint})
	}
	if lib.Ingredients[lot.Ingredient] == nil {
		note(lot.Line, "ingredient", fmt.Sprintf("there is no ingredient %q", lot.Ingredient), tomlfile.DidYouMean(lot.Ingredient, lib.IngredientNames()))
	} else if lot.Moisture > 0 && lib.Ingredients[lot.Ingredient].Moisture == 0 {
		note(lot.Line, "moisture_share", fmt.Sprintf("the profile of %q states no moisture_share to compare it with", lot.Ingredient), "")
	}
	for _, name := range slices.Sorted(maps.Keys(lot.Contents)) {
		if lib.Attributes[name] == nil {
			note(lot.Lines[name], "contents."+name, fmt.Sprintf("there is no attribute %q", name), tomlfile.DidYouMean(name, lib.AttributeNames()))
		}
	}
	faults = append(faults, strangersTogether(lot, lib)...)
	for _, d := range Doubts(lot, lib) {
		if d.Impossible || lot.Sure[d.Attribute] == "" {
			note(lot.Lines[d.Attribute], "contents."+d.Attribute, d.What, d.Hint)
		}
	}
	return faults
}

// strangersTogether notes what a lot's correlations name that is no attribute, or no content of the lot.
func strangersTogether(lot *Lot, lib *profile.Library) tomlfile.Faults {
	var faults tomlfile.Faults
	if lot.Correlations == nil {
		return nil
	}
	contents := maps.Clone(lot.Contents)
	if g := lib.Ingredients[lot.Ingredient]; g != nil {
		maps.Copy(contents, g.Contents)
	}
	for _, key := range slices.Sorted(maps.Keys(lot.Lines)) {
		name, together := strings.CutPrefix(key, correlationKey(""))
		if !together {
			continue
		}
		what, near := "", slices.Sorted(maps.Keys(contents))
		if lib.Attributes[name] == nil {
			what, near = fmt.Sprintf("there is no attribute %q", name), lib.AttributeNames()
		} else if _, has := contents[name]; !has {
			what = fmt.Sprintf("lot %q has no content of %s that could vary", lot.Number, name)
		}
		if what != "" {
			faults = append(faults, tomlfile.Fault{File: lot.File, Line: lot.Lines[key], Key: key, What: what, Hint: tomlfile.DidYouMean(name, near)})
		}
	}
	return faults
}

// Sooner orders lots as they are to be used: first expiring first, those without a date last, then first
// received.
func Sooner(a, b *Lot) int {
	far := func(day time.Time) time.Time {
		if day.IsZero() {
			return time.Unix(1<<40, 0)
		}
		return day
	}
	if c := far(a.BestBefore).Compare(far(b.BestBefore)); c != 0 {
		return c
	}
	return far(a.Received).Compare(far(b.Received))
}
