package chem

import (
	"errors"
	"fmt"
	"strings"
)

// Species is a dissolved acid, base or ion, counted in total: Citric stands for citric acid and all
// its anions together.
type Species uint8

// The species with constants. Carbonic is dissolved carbon dioxide with carbonic acid, bicarbonate
// and carbonate; Quinine is the base and its salts' cations; Sulfate includes bisulfate;
// Sulfurous is dissolved sulphur dioxide with bisulphite and sulphite. Phthalic
// serves pH standards and is no ingredient.
const (
	Citric Species = iota
	Malic
	Tartaric
	Ascorbic
	Phosphoric
	Lactic
	Acetic
	Benzoic
	Sorbic
	Quinic
	Carbonic
	Quinine
	Sodium
	Potassium
	Calcium
	Magnesium
	Chloride
	Sulfate
	Sulfurous
	Phthalic

	// NumSpecies is the number of species.
	NumSpecies = iota
)

// lastIngredient is the last species that a drink may name.
const lastIngredient = Sulfurous

// maxSteps is the largest number of protons that a species gives off.
const maxSteps = 3

// Basis words say how far a figure can be trusted.
const (
	Published = "published" // read in the named source
	Recalled  = "memory"    // recalled from the named source and not checked against it
)

// Constants describe a species.
type Constants struct {
	Name string
	// Formula is the composition that MolarMass belongs to.
	Formula string
	// MolarMass is in g/mol.
	MolarMass float64
	// Charge is that of the form with all its protons.
	Charge int
	// Steps is the number of protons given off one after the other; it is 0 for a strong ion.
	Steps int
	// PKa holds the thermodynamic -log10 of the acid constants of the steps, at 25 °C and zero ionic
	// strength.
	PKa [maxSteps]float64
	// Equivalents is the number of protons that a titration counts when acidity is expressed as this
	// acid; it is 0 when it is not customary.
	Equivalents int
	// Basis is Published or Recalled; Source names where the constants come from.
	Basis, Source string
}

const (
	nist46 = "NIST Standard Reference Database 46, critically selected stability constants, as carried in MINTEQA2 v4"
	strong = "fully dissociated; needs no constant"
)

var species = [NumSpecies]Constants{
	Citric:     {"citric", "C6H8O7", 192.123, 0, 3, [maxSteps]float64{3.128, 4.761, 6.396}, 3, Published, nist46},
	Malic:      {"malic", "C4H6O5", 134.087, 0, 2, [maxSteps]float64{3.459, 5.097}, 2, Recalled, "Goldberg, Kishore, Lennen, J. Phys. Chem. Ref. Data 31 (2002) 231; hydrochemistry tables print 3.40, 5.20"},
	Tartaric:   {"tartaric", "C4H6O6", 150.086, 0, 2, [maxSteps]float64{3.036, 4.366}, 2, Published, nist46},
	Ascorbic:   {"ascorbic", "C6H8O6", 176.124, 0, 2, [maxSteps]float64{4.10, 11.80}, 0, Published, "textbook table, Ka 8.0e-5 and 1.6e-12; the CRC Handbook has 4.04, 11.7 (memory)"},
	Phosphoric: {"phosphoric", "H3PO4", 97.994, 0, 3, [maxSteps]float64{2.148, 7.198, 12.375}, 0, Published, nist46},
	Lactic:     {"lactic", "C3H6O3", 90.078, 0, 1, [maxSteps]float64{3.86}, 1, Published, "table of organic acids of the hydrochemistry program aqion"},
	Acetic:     {"acetic", "C2H4O2", 60.052, 0, 1, [maxSteps]float64{4.757}, 1, Published, "Martell, Smith, Critical Stability Constants (1976); " + nist46},
	Benzoic:    {"benzoic", "C7H6O2", 122.123, 0, 1, [maxSteps]float64{4.202}, 0, Published, nist46},
	Sorbic:     {"sorbic", "C6H8O2", 112.128, 0, 1, [maxSteps]float64{4.76}, 0, Recalled, "CRC Handbook of Chemistry and Physics, dissociation constants of organic acids"},
	Quinic:     {"quinic", "C7H12O6", 192.167, 0, 1, [maxSteps]float64{3.4}, 0, Recalled, "handbook value"},
	Carbonic:   {"carbonic", "CO2", 44.009, 0, 2, [maxSteps]float64{6.352, 10.329}, 0, Published, "PHREEQC databases phreeqc.dat and minteq.v4.dat; first step counts CO2 and H2CO3 together"},
	Quinine:    {"quinine", "C20H24N2O2", 324.424, 2, 2, [maxSteps]float64{4.3, 8.9}, 0, Published, "textbook pKb 5.1, 9.7; the CRC Handbook has 4.13, 8.52 (memory)"},
	Sodium:     {"sodium", "Na", 22.990, 1, 0, [maxSteps]float64{}, 0, Published, strong},
	Potassium:  {"potassium", "K", 39.098, 1, 0, [maxSteps]float64{}, 0, Published, strong},
	Calcium:    {"calcium", "Ca", 40.078, 2, 0, [maxSteps]float64{}, 0, Published, strong},
	Magnesium:  {"magnesium", "Mg", 24.305, 2, 0, [maxSteps]float64{}, 0, Published, strong},
	Chloride:   {"chloride", "Cl", 35.45, -1, 0, [maxSteps]float64{}, 0, Published, strong},
	Sulfate:    {"sulfate", "SO4", 96.056, -1, 1, [maxSteps]float64{1.99}, 0, Recalled, "second step of sulfuric acid, CRC Handbook of Chemistry and Physics"},
	Sulfurous:  {"sulfurous", "SO2", 64.058, 0, 2, [maxSteps]float64{1.86, 7.19}, 0, Recalled, "sulfurous acid, counting SO2 and H2SO3 together, CRC Handbook of Chemistry and Physics"},
	Phthalic:   {"phthalic", "C8H6O4", 166.132, 0, 2, [maxSteps]float64{2.950, 5.408}, 0, Published, nist46},
}

// ErrUnknownSpecies is wrapped by the errors about a name that has no constants.
var ErrUnknownSpecies = errors.New("chem: unknown species")

// ParseSpecies finds the species of a drink by its name. An unknown name gives an error that wraps
// ErrUnknownSpecies and lists the known names.
func ParseSpecies(name string) (Species, error) {
	for s := range lastIngredient + 1 {
		if species[s].Name == name {
			return s, nil
		}
	}
	return 0, fmt.Errorf("%w %q; those with constants are %s", ErrUnknownSpecies, name, strings.Join(SpeciesNames(), ", "))
}

// SpeciesNames lists the names that ParseSpecies knows, acids first.
func SpeciesNames() []string {
	names := make([]string, 0, lastIngredient+1)
	for s := range lastIngredient + 1 {
		names = append(names, species[s].Name)
	}
	return names
}

// Valid reports whether the species is one of the package's constants.
func (s Species) Valid() bool { return s < NumSpecies }

// Constants returns what is known of the species; the zero value if it is not valid.
func (s Species) Constants() Constants {
	if !s.Valid() {
		return Constants{}
	}
	return species[s]
}

// String returns the name that ParseSpecies knows.
func (s Species) String() string {
	if !s.Valid() {
		return fmt.Sprintf("species(%d)", uint8(s))
	}
	return species[s].Name
}
