package chem

import (
	"errors"
	"fmt"
	"strings"
)

// Compound is a pure substance as bought, with the species that one mole of it brings.
type Compound struct {
	Name    string
	Formula string
	// MolarMass is in g/mol, with the water of crystallisation.
	MolarMass float64
	Brings    []Portion
}

// Portion is an amount of a species.
type Portion struct {
	Species Species
	Moles   float64
}

// compounds holds molar masses from the IUPAC standard atomic weights (2021, abridged). An ion that
// becomes carbon dioxide in an acid drink counts as Carbonic until it escapes.
var compounds = []Compound{
	{"citric acid", "C6H8O7", 192.123, []Portion{{Citric, 1}}},
	{"citric acid monohydrate", "C6H8O7(H2O)", 210.138, []Portion{{Citric, 1}}},
	{"trisodium citrate dihydrate", "Na3C6H5O7(H2O)2", 294.099, []Portion{{Citric, 1}, {Sodium, 3}}},
	{"tripotassium citrate monohydrate", "K3C6H5O7(H2O)", 324.408, []Portion{{Citric, 1}, {Potassium, 3}}},
	{"monosodium citrate", "NaC6H7O7", 214.105, []Portion{{Citric, 1}, {Sodium, 1}}},
	{"malic acid", "C4H6O5", 134.087, []Portion{{Malic, 1}}},
	{"tartaric acid", "C4H6O6", 150.086, []Portion{{Tartaric, 1}}},
	{"potassium hydrogen tartrate", "KC4H5O6", 188.176, []Portion{{Tartaric, 1}, {Potassium, 1}}},
	{"potassium sodium tartrate tetrahydrate", "KNaC4H4O6(H2O)4", 282.218, []Portion{{Tartaric, 1}, {Potassium, 1}, {Sodium, 1}}},
	{"ascorbic acid", "C6H8O6", 176.124, []Portion{{Ascorbic, 1}}},
	{"sodium ascorbate", "NaC6H7O6", 198.106, []Portion{{Ascorbic, 1}, {Sodium, 1}}},
	{"phosphoric acid", "H3PO4", 97.994, []Portion{{Phosphoric, 1}}},
	{"monopotassium phosphate", "KH2PO4", 136.084, []Portion{{Phosphoric, 1}, {Potassium, 1}}},
	{"disodium phosphate", "Na2HPO4", 141.957, []Portion{{Phosphoric, 1}, {Sodium, 2}}},
	{"lactic acid", "C3H6O3", 90.078, []Portion{{Lactic, 1}}},
	{"calcium lactate pentahydrate", "Ca(C3H5O3)2(H2O)5", 308.293, []Portion{{Lactic, 2}, {Calcium, 1}}},
	{"acetic acid", "C2H4O2", 60.052, []Portion{{Acetic, 1}}},
	{"sodium acetate", "NaC2H3O2", 82.034, []Portion{{Acetic, 1}, {Sodium, 1}}},
	{"benzoic acid", "C7H6O2", 122.123, []Portion{{Benzoic, 1}}},
	{"sodium benzoate", "NaC7H5O2", 144.105, []Portion{{Benzoic, 1}, {Sodium, 1}}},
	{"sorbic acid", "C6H8O2", 112.128, []Portion{{Sorbic, 1}}},
	{"potassium sorbate", "KC6H7O2", 150.218, []Portion{{Sorbic, 1}, {Potassium, 1}}},
	{"carbon dioxide", "CO2", 44.009, []Portion{{Carbonic, 1}}},
	{"sodium bicarbonate", "NaHCO3", 84.006, []Portion{{Carbonic, 1}, {Sodium, 1}}},
	{"potassium bicarbonate", "KHCO3", 100.114, []Portion{{Carbonic, 1}, {Potassium, 1}}},
	{"potassium carbonate", "K2CO3", 138.204, []Portion{{Carbonic, 1}, {Potassium, 2}}},
	{"calcium carbonate", "CaCO3", 100.086, []Portion{{Carbonic, 1}, {Calcium, 1}}},
	{"quinine", "C20H24N2O2", 324.424, []Portion{{Quinine, 1}}},
	{"quinine hydrochloride dihydrate", "C20H24N2O2HCl(H2O)2", 396.912, []Portion{{Quinine, 1}, {Chloride, 1}}},
	{"quinine sulfate dihydrate", "(C20H24N2O2)2H2SO4(H2O)2", 782.95, []Portion{{Quinine, 2}, {Sulfate, 1}}},
	{"sodium chloride", "NaCl", 58.44, []Portion{{Sodium, 1}, {Chloride, 1}}},
	{"potassium chloride", "KCl", 74.548, []Portion{{Potassium, 1}, {Chloride, 1}}},
	{"calcium chloride dihydrate", "CaCl2(H2O)2", 147.008, []Portion{{Calcium, 1}, {Chloride, 2}}},
	{"magnesium sulfate heptahydrate", "MgSO4(H2O)7", 246.466, []Portion{{Magnesium, 1}, {Sulfate, 1}}},
	{"sodium hydroxide", "NaOH", 39.997, []Portion{{Sodium, 1}}},
	{"hydrogen chloride", "HCl", 36.458, []Portion{{Chloride, 1}}},
}

// ErrUnknownCompound is wrapped by the errors about a compound that is not in the table.
var ErrUnknownCompound = errors.New("chem: unknown compound")

// FindCompound finds a compound by its name. An unknown name gives an error that wraps
// ErrUnknownCompound and lists the known names.
func FindCompound(name string) (Compound, error) {
	for i := range compounds {
		if compounds[i].Name == name {
			c := compounds[i]
			c.Brings = append([]Portion(nil), c.Brings...)
			return c, nil
		}
	}
	return Compound{}, fmt.Errorf("%w %q; the known ones are %s", ErrUnknownCompound, name, strings.Join(CompoundNames(), ", "))
}

// CompoundNames lists the names that FindCompound knows.
func CompoundNames() []string {
	names := make([]string, len(compounds))
	for i := range compounds {
		names[i] = compounds[i].Name
	}
	return names
}

// Share returns the mass of a species per mass of the compound, the species weighed as the formula
// in its Constants: quinine hydrochloride dihydrate is 0.817 quinine.
func (c Compound) Share(s Species) float64 {
	var moles float64
	for _, p := range c.Brings {
		if p.Species == s {
			moles += p.Moles
		}
	}
	return moles * s.Constants().MolarMass / c.MolarMass
}
