package brief

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path"
	"path/filepath"
	"strings"
	"time"

	"bittersum/internal/profile"
	"bittersum/internal/tomlfile"
)

// source is where a brief and the files beside it come from: a folder on disk or an embedded one.
type source struct {
	fsys    fs.FS
	dir     string // folder of the brief within fsys, or on disk when fsys is nil
	display string // how the folder is shown in faults
	// instead is the brief's text where it does not stand in a file yet.
	instead *string
}

func (s source) open(name string) (*tomlfile.Document, error) {
	if s.instead != nil {
		return tomlfile.Parse(s.path(name), []byte(*s.instead))
	}
	if s.fsys != nil {
		return tomlfile.OpenFS(s.fsys, path.Join(s.dir, name), s.display+name)
	}
	return tomlfile.Open(s.path(name))
}

func (s source) text(name string) (text, shown string, err error) {
	if s.fsys != nil {
		data, err := fs.ReadFile(s.fsys, path.Join(s.dir, name))
		return string(data), s.display + name, err
	}
	text, err = readAny(s.path(name))
	return text, s.path(name), err
}

func (s source) path(name string) string {
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(s.dir, name)
}

// Setting changes a brief before its names are looked up, for one run.
type Setting func(*Brief)

// Litres sets the litres of a batch, in the place of the brief's batch_l.
func Litres(litres float64) Setting { return func(b *Brief) { b.BatchL = litres } }

// OnDay leaves out lots that are past their date on that day.
func OnDay(day time.Time) Setting { return func(b *Brief) { b.Day = day } }

// WithEveryLot keeps lots that may not be used, for judging a batch that has been made.
func WithEveryLot() Setting { return func(b *Brief) { b.EveryLot = true } }

// LeavingOut leaves lots out by their numbers, as if they were held.
func LeavingOut(numbers ...string) Setting { return func(b *Brief) { b.WithoutLots = numbers } }

// Thrown sets the parts of soda, in the place of the brief's throw.
func Thrown(soda float64) Setting { return func(b *Brief) { b.Throw = soda } }

// OnScales sets what is weighed with, in the place of the brief's scales.
func OnScales(scales []Scale) Setting { return func(b *Brief) { b.Scales = scales } }

// Open reads the brief at path with the lots and price list it names, and everything it refers to in
// lib or in the maker's own profiles. The error is a tomlfile.Faults for all that the maker can mend.
func Open(path string, lib *profile.Library, settings ...Setting) (*Job, error) {
	return read(source{dir: filepath.Dir(path)}, filepath.Base(path), lib, settings)
}

// OpenText is Open for a brief whose file would have that text; what it names lies beside the file.
func OpenText(path, text string, lib *profile.Library, settings ...Setting) (*Job, error) {
	return read(source{dir: filepath.Dir(path), instead: &text}, filepath.Base(path), lib, settings)
}

// OpenFS is Open for a brief in a file system; display is put before its name in faults.
func OpenFS(fsys fs.FS, name, display string, lib *profile.Library, settings ...Setting) (*Job, error) {
	return read(source{fsys: fsys, dir: path.Dir(name), display: display}, path.Base(name), lib, settings)
}

func read(src source, name string, lib *profile.Library, settings []Setting) (*Job, error) {
	doc, err := src.open(name)
	if err != nil {
		return nil, err
	}
	root := doc.Root()
	b := &Brief{File: doc.Name(), Titration: usualTitration, Fingerprint: doc.Fingerprint()}
	var beside tomlfile.Faults
	lib, err = b.overlay(src, root, lib)
	if err != nil && (lib == nil || !errors.As(err, &beside)) {
		return nil, err
	}
	incomplete := err != nil
	b.readHead(root)
	if b.Kind == "" {
		return nil, doc.Err() // without its kind the rest of the brief cannot be read rightly
	}
	for _, set := range settings {
		set(b)
	}
	b.readOwn(root, lib)
	b.readWants(root)
	b.readWeighing(root)
	if b.Kind == Drink {
		b.readInstruments(root, lib)
		if err := b.readHeat(src, root); errors.As(err, new(tomlfile.Faults)) {
			beside = append(beside, err.(tomlfile.Faults)...)
		} else if err != nil {
			return nil, err
		}
	}
	for _, file := range []struct {
		name string
		read func(source, string) error
	}{{root.String("prices"), b.readPrices}, {root.String("lots"), b.readLots}} {
		if file.name == "" {
			continue
		}
		if err := file.read(src, file.name); errors.As(err, new(tomlfile.Faults)) {
			beside = append(beside, err.(tomlfile.Faults)...)
		} else if err != nil {
			return nil, err
		}
	}
	switch {
	case src.fsys != nil: // nothing is written beside an embedded brief, and nothing was made by it
		b.RegisterFile, b.Today = "", ""
	case b.RegisterFile != "":
		b.RegisterFile = src.path(b.RegisterFile)
	}
	if b.Today != "" {
		b.Today = src.path(b.Today)
	}
	root.Done()
	if incomplete && len(doc.Faults()) == 0 {
		beside = append(beside, missing(b, lib)...)
	}
	if err := append(doc.Faults(), beside...).Err(); err != nil {
		return nil, err
	}
	return resolve(b, lib)
}

// overlay puts the maker's own folder of profiles, if the brief names one, over lib.
func (b *Brief) overlay(src source, root *tomlfile.Table, lib *profile.Library) (*profile.Library, error) {
	name := root.String("profiles")
	if name == "" {
		return lib, nil
	}
	if src.fsys != nil {
		return nil, fmt.Errorf("brief: %s: an embedded brief has no profiles folder", b.File)
	}
	dir := src.path(name)
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		root.Fault("profiles", fmt.Sprintf("there is no folder %s", dir), "")
		return lib, nil
	}
	return lib.Overlay(dir)
}

func (b *Brief) readHead(root *tomlfile.Table) {
	root.Require("name")
	b.Name = root.String("name")
	b.Kind = Kind(root.OneOf("kind", string(Drink), string(Blend)))
	if !root.Has("kind") {
		b.Kind = Drink
	}
	if b.Kind == "" {
		return
	}
	b.Currency = root.String("currency")
	if b.Currency == "" {
		b.Currency = profile.Currency
	}
	b.readExchange(root)
	b.Use = refs(root, "use")
	if !root.Has("use") && len(root.Tables("ingredient")) == 0 {
		root.Fault("use", "is missing: list the ingredients that may be used", "")
	}
	if b.Kind == Blend {
		b.Unit = root.String("unit")
		if b.Unit == "" {
			b.Unit = "units"
		}
		b.SellsAt = root.NumberOr("sells_at_per_unit", tomlfile.NonNegative, 0)
		b.Total = Unbounded()
		if total := root.Table("total"); total != nil {
			b.Total = readRange(total, "min", "max", tomlfile.NonNegative)
			b.totalLine = total.Line("")
			total.Done()
		}
		root.Suggest("markets", "alcohol_percent", "spirit_drink", "energy_reduced", "carbonated", "throw", "losses", "extraction", "water", "heat")
		return
	}
	b.Markets = refs(root, "markets")
	if len(b.Markets) == 0 {
		root.Require("markets")
		if root.Has("markets") {
			root.Fault("markets", "is empty: name at least one place of sale, for its caps", "")
		}
	}
	b.AlcoholPercent = root.NumberOr("alcohol_percent", tomlfile.Range{Min: 0, Max: 96}, 0)
	b.strengthLine = root.Line("alcohol_percent")
	b.readSpirit(root)
	b.EnergyReduced = root.Bool("energy_reduced")
	b.Carbonated = root.Bool("carbonated")
	b.Assurance = root.NumberOr("assurance", tomlfile.Range{Min: 0.5, Max: 0.9999}, 0.95)
	b.BottleML = root.NumberOr("bottle_ml", tomlfile.Positive, 0)
	b.BatchL = root.NumberOr("batch_l", tomlfile.Positive, 0)
	b.KeepsMonths = root.Whole("keeps_months", 1, 120, 0)
	b.RegisterFile = root.String("register")
	b.Today = root.String("today")
	b.readServing(root)
	b.readLosses(root)
	b.readWater(root)
	b.readExtractions(root)
}

// readSpirit reads whether the drink is a spirit drink.
func (b *Brief) readSpirit(root *tomlfile.Table) {
	const key = "spirit_drink"
	b.spiritAsked = root.Has(key)
	b.SpiritDrink = root.Bool(key)
	if b.SpiritDrink && b.AlcoholPercent < profile.SpiritFrom {
		root.Fault(key, fmt.Sprintf("is true, but the drink has %v %% alcohol; a spirit drink has at least %d", b.AlcoholPercent, profile.SpiritFrom), "")
	}
}

// readOwn reads attributes and ingredients that the brief itself defines.
func (b *Brief) readOwn(root *tomlfile.Table, lib *profile.Library) {
	attributes := make(map[string]*profile.Attribute, len(lib.Attributes))
	for name, a := range lib.Attributes {
		attributes[name] = a
	}
	if own := root.Table("attributes"); own != nil {
		for _, t := range own.Named() {
			a := profile.ReadAttribute(t)
			attributes[a.Name] = a
			b.ownAttributes = append(b.ownAttributes, a)
		}
	}
	seen := map[string]int{}
	var plants []string
	for _, t := range root.Tables("ingredient") {
		g := profile.ReadIngredient(t, attributes)
		if b.Kind == Drink {
			if plants == nil {
				plants = lib.PlantNames()
			}
			profile.CheckPlants(t, g, plants)
		}
		lib.Botany.Apply(g, attributes)
		if line, ok := seen[g.Name]; ok && g.Name != "" {
			t.Fault("name", fmt.Sprintf("%q is defined twice, first on line %d", g.Name, line), "")
		}
		seen[g.Name] = t.Line("name")
		b.ownIngredients = append(b.ownIngredients, g)
		if !root.Has("use") {
			b.Use = append(b.Use, Ref{g.Name, t.Line("name")})
		}
	}
	for _, t := range root.Tables("preparation") {
		p := profile.ReadPreparation(t, attributes)
		if line, ok := seen[p.Name]; ok && p.Name != "" {
			t.Fault("name", fmt.Sprintf("%q is defined twice, first on line %d", p.Name, line), "")
		}
		seen[p.Name] = t.Line("name")
		b.ownPreparations = append(b.ownPreparations, p)
	}
	if b.Kind == Blend && len(b.ownPreparations) > 0 {
		root.Fault("preparation", "stands in a blend, which has no litres to make it by", "")
	}
}

func (b *Brief) readWants(root *tomlfile.Table) {
	if targets := root.Table("targets"); targets != nil {
		for _, t := range targets.Named() {
			b.readTarget(t)
		}
	}
	b.strength(root)
	if ratios := root.Table("ratios"); ratios != nil {
		for _, t := range ratios.Named() {
			t.Require("of", "over")
			r := Ratio{Name: t.Key(), Of: t.String("of"), Over: t.String("over"), Line: t.Line("")}
			r.Range = readRange(t, "min", "max", tomlfile.NonNegative)
			if !t.Has("min") && !t.Has("max") {
				t.Fault("", "asks for nothing: give min, max or both", "")
			}
			t.Done()
			b.Ratios = append(b.Ratios, r)
		}
	}
	least, most, fixed := "min_g_per_l", "max_g_per_l", "fixed_g_per_l"
	if b.Kind == Blend {
		least, most, fixed = "min", "max", "fixed"
	}
	b.Limits = map[string]Limit{}
	if limits := root.Table("limits"); limits != nil {
		for _, t := range limits.Named() {
			b.Limits[t.Key()] = b.readLimit(t, least, most, fixed)
		}
	}
	if groups := root.Table("groups"); groups != nil {
		for _, t := range groups.Named() {
			t.Require("members")
			g := Group{Name: t.Key(), Members: refs(t, "members"), Line: t.Line("")}
			g.Range = readRange(t, least, most, tomlfile.NonNegative)
			if !t.Has(least) && !t.Has(most) {
				t.Fault("", fmt.Sprintf("asks for nothing: give %s, %s or both", least, most), "")
			}
			t.Done()
			b.Groups = append(b.Groups, g)
		}
	}
	for _, t := range root.Tables("accept") {
		t.Require("ingredient", "substance", "reason")
		b.Accepts = append(b.Accepts, Accept{
			Ingredient: t.String("ingredient"), Substance: t.String("substance"), Reason: t.String("reason"), Line: t.Line(""),
		})
		t.Done()
	}
}

func (b *Brief) readLimit(t *tomlfile.Table, least, most, fixed string) Limit {
	limit := Limit{Ingredient: t.Key(), Line: t.Line(""), SupplyKg: math.Inf(1), PricePerKg: math.NaN()}
	limit.Range = readRange(t, least, most, tomlfile.NonNegative)
	if x, ok := t.Number(fixed, tomlfile.NonNegative); ok {
		if t.Has(least) || t.Has(most) {
			t.Fault(fixed, fmt.Sprintf("stands beside %s or %s; give the one or the other", least, most), "")
		}
		limit.Range = Range{x, x}
	}
	if b.Kind == Drink {
		if x, ok := t.Number("supply_kg", tomlfile.NonNegative); ok {
			limit.SupplyKg = x
			if b.BatchL == 0 {
				t.Fault("supply_kg", "needs batch_l at the top of the brief, to know how far it goes", "")
			}
		}
		if x, ok := t.Number("price_per_kg", tomlfile.NonNegative); ok {
			limit.PricePerKg = x
		}
		if limit.PriceSD = t.NumberOr("price_sd_per_kg", tomlfile.NonNegative, 0); limit.PriceSD > 0 {
			limit.priceSDLine = t.Line("price_sd_per_kg")
		}
		limit.StockOnly = t.Bool("stock_only")
	}
	t.Done()
	return limit
}

// readRange reads a pair of bounds; an absent side is infinite and a crossed pair is a fault.
func readRange(t *tomlfile.Table, least, most string, allowed tomlfile.Range) Range {
	r := Range{t.NumberOr(least, allowed, math.Inf(-1)), t.NumberOr(most, allowed, math.Inf(1))}
	if r.Min > r.Max {
		t.Fault(least, fmt.Sprintf("%v is above %s %v: the range is empty", r.Min, most, r.Max), "")
	}
	return r
}

func refs(t *tomlfile.Table, key string) []Ref {
	names := t.Strings(key)
	out := make([]Ref, len(names))
	for n, name := range names {
		out[n] = Ref{name, t.ElementLine(key, n)}
	}
	return out
}

// IsDemo returns the name of the embedded brief that arg asks for ("demo:NAME").
func IsDemo(arg string) (name string, ok bool) { return strings.CutPrefix(arg, "demo:") }
