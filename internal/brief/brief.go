// Package brief reads what a maker asks for: the brief itself, the lots on the shelf, price lists and
// recipes, and looks up every name in them against the profiles.
package brief

import (
	"math"
	"time"

	"bittersum/internal/profile"
)

// Kind says what a brief is for.
type Kind string

const (
	// Drink is a recipe in grams per litre of finished drink, under the caps of its markets.
	Drink Kind = "drink"
	// Blend is any other mixture: amounts in a unit of the maker's choice, totals per batch, no
	// volume and no caps.
	Blend Kind = "blend"
)

// Brief is a maker's file as read: names are not looked up yet, see Resolve.
type Brief struct {
	File string
	Name string
	Kind Kind

	// Markets are the places of sale, whose caps all hold at once.
	Markets []Ref
	// Currency is the code that money is printed with.
	Currency string
	// Exchange is what one of another currency costs in the brief's, by code.
	Exchange map[string]float64
	// AlcoholPercent is the strength of the finished drink in % by volume.
	AlcoholPercent float64
	// Carbonated says that the drink is sold with dissolved carbon dioxide.
	Carbonated bool
	// SpiritDrink says that it is a spirit drink in the sense of the law, and EnergyReduced that it has at
	// least 30 % less energy than a drink of its kind.
	SpiritDrink, EnergyReduced bool
	// Assurance is the probability with which a content stays below the value that the caps are
	// judged with.
	Assurance float64
	// BottleML and BatchL scale the costs shown; zero when not given.
	BottleML, BatchL float64

	// Use are the ingredients that may be used.
	Use []Ref
	// Serving, Titration and Losses say how the drink is served, how its acidity is measured, and what
	// the process loses.
	Serving
	Titration Titration
	Losses    []Loss
	// Water is the analysis of the water, or nil where it counts as pure.
	Water *Water
	// Extractions says how ingredients are extracted, by name.
	Extractions map[string]Extraction

	// Targets, Readings, Ratios, Limits and Groups are what the drink must be.
	Targets  []Target
	Readings []ReadingTarget
	Ratios   []Ratio
	Limits   map[string]Limit
	Groups   []Group
	// Accepts are the unknown contents the maker takes upon himself, one by one.
	Accepts []Accept

	// Unit is the unit of amounts in a Blend; Total bounds their sum; SellsAt is the price that one
	// unit of the blend fetches, so that the cost less the sale is minimised.
	Unit    string
	Total   Range
	SellsAt float64

	// Near is set by what-ifs that stay close to a recipe; no file asks for it.
	Near *Near
	// Guard is set by what-ifs that keep limits although lots vary; no file asks for it.
	Guard Guard

	// BeyondCustom lets recipes take more of an ingredient than drinks are customarily made with.
	BeyondCustom bool

	// SensibleAt are bounds by custom that a what-if moves, by attribute.
	SensibleAt map[string]float64
	// Reaching is the attribute that a what-if pushes: its bound by custom holds whatever value is tried.
	Reaching string

	// MostLiquor bounds the litres of liquor made for each litre recovered, for what-ifs that push a drink
	// to its ends; zero when nothing bounds them.
	MostLiquor float64

	// Prices and Lots are what the price list and the lots file say; LotsFile is where that is, or empty.
	Prices   map[string]Price
	Lots     []Lot
	LotsFile string
	// Today is the file of the recipe that is made today, or empty.
	Today string
	// RegisterFile is the register of batches, or empty. KeepsMonths is how long a bottle keeps, 0 when not said.
	RegisterFile string
	KeepsMonths  int
	// Fingerprint is the SHA-256 of the brief's text, in hexadecimal.
	Fingerprint string
	// Day is the day on which lots must not be past their date; zero when that is not asked.
	Day time.Time
	// EveryLot keeps lots that may not be used.
	EveryLot bool
	// WithoutLots are numbers of lots that are left out for this once.
	WithoutLots []string

	// Instruments are errors of measurements other than the usual ones, by name.
	Instruments map[string]Instrument

	// Scales are what the maker weighs with and Packs how ingredients are bought, by name.
	Scales []Scale
	Packs  map[string]Pack

	// own holds attributes and ingredients defined in the brief itself.
	ownAttributes  []*profile.Attribute
	ownIngredients []*profile.Ingredient
	// ownPreparations are those defined in the brief itself.
	ownPreparations []*profile.Preparation
	totalLine       int
	// strengthLine is the line of alcohol_percent, and spiritAsked says that the brief answers whether the
	// drink is a spirit drink.
	strengthLine int
	spiritAsked  bool
	// endPointLine is the line of an end point that is not the usual one, or 0.
	endPointLine int
}

// BestBefore is the day that bottles of a batch made on that day bear; zero when the brief does not say how
// long they keep.
func (b *Brief) BestBefore(made time.Time) time.Time {
	if b.KeepsMonths == 0 || made.IsZero() {
		return time.Time{}
	}
	return made.AddDate(0, b.KeepsMonths, 0)
}

// Ref is a name in a brief and the line it stands on.
type Ref struct {
	Name string
	Line int
}

// Range is an interval; an absent side is infinite.
type Range struct{ Min, Max float64 }

// Unbounded is the range that asks for nothing.
func Unbounded() Range { return Range{math.Inf(-1), math.Inf(1)} }

// Target is the range of an attribute that the brief asks for, in the attribute's unit.
type Target struct {
	Attribute string
	Range
	Line int
}

// Ratio bounds one attribute over another.
type Ratio struct {
	Name     string
	Of, Over string
	Range
	Line int
}

// Limit bounds the use of one ingredient, in g/L (in the blend's unit for a Blend).
type Limit struct {
	Ingredient string
	Range
	// SupplyKg is what can be had for the batch, as bought, trimmings and lots included; infinite when not given.
	SupplyKg float64
	// PricePerKg replaces the profile's price; NaN when not given.
	PricePerKg float64
	// PriceSD is the standard deviation of the price per kg from one purchase to the next, 0 where it counts as certain.
	PriceSD float64
	// StockOnly allows lots on the shelf only.
	StockOnly bool
	Line      int

	priceSDLine int
}

// Group bounds the sum of several ingredients, in g/L (in the blend's unit for a Blend).
type Group struct {
	Name    string
	Members []Ref
	Range
	Line int
}

// Accept is an unknown content that the maker accepts by name.
type Accept struct {
	Ingredient, Substance, Reason string
	Line                          int
}

// Price is one line of a price list.
type Price struct {
	PerKg float64
	File  string
	Line  int
	// Loose says that it is left out where nothing is known of its ingredient.
	Loose bool
	// at names its sheet and cell, empty for CSV.
	at string
}
