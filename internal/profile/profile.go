// Package profile holds what is known of ingredients, of the attributes a drink is judged by, and of
// the markets it is sold in, and reads all three from TOML.
//
// A content is an amount per gram of ingredient as weighed in; the same attribute in the drink is that
// amount per litre, per kilogram or per 100 g. What is not stated is unknown, never zero: a profile says
// that an attribute is absent, or that the ingredient is a pure substance.
package profile

import (
	"fmt"
	"slices"
	"strings"

	"bittersum/internal/tomlfile"
)

// Currency is what the library's prices are in.
const Currency = "EUR"

// Basis says how far a figure can be trusted.
type Basis string

const (
	// Published figures were read in the source named beside them.
	Published Basis = "published"
	// Derived figures were worked out from published ones by a rule; their source names both.
	Derived Basis = "derived"
	// Practice is common knowledge of the trade.
	Practice Basis = "practice"
	// Memory is recalled and unchecked.
	Memory Basis = "memory"
	// Invented figures serve the demonstration only.
	Invented Basis = "invented"
	// Measured figures come from the maker's own laboratory or a lot's certificate.
	Measured Basis = "measured"
)

var bases = []string{string(Published), string(Derived), string(Practice), string(Memory), string(Invented), string(Measured)}

// Provenance says where a figure comes from. A published or derived figure always
// names its source.
type Provenance struct {
	Basis  Basis
	Source string
}

// Per is what an attribute's amount is counted on in the finished drink.
type Per string

const (
	// PerLitre counts on a litre at 20 °C.
	PerLitre Per = "litre"
	// PerKilogram counts on a kilogram.
	PerKilogram Per = "kilogram"
	// Per100g counts on 100 g.
	Per100g Per = "100g"
	// PerBatch counts the total.
	PerBatch Per = "batch"
	// PerUnit counts on one unit of a blend that is no drink.
	PerUnit Per = "unit"
)

var pers = []string{string(PerLitre), string(PerKilogram), string(Per100g), string(PerBatch), string(PerUnit)}

// readProvenance reads the keys prefix+"basis" and prefix+"source"; without them fallback holds. It
// notes a fault when there is no basis at all, or a published figure has no source.
func readProvenance(t *tomlfile.Table, prefix string, fallback Provenance) Provenance {
	basisKey, sourceKey := prefix+"basis", prefix+"source"
	p := Provenance{Basis: Basis(t.OneOf(basisKey, bases...)), Source: t.String(sourceKey)}
	if p.Basis == "" && !t.Has(basisKey) {
		if p.Source != "" && fallback.Basis != "" {
			p.Basis = fallback.Basis
			return p
		}
		p = fallback
		if p.Basis == "" {
			t.Fault(basisKey, "is missing: say where the figures come from", "one of "+strings.Join(bases, ", "))
		}
		return p
	}
	if (p.Basis == Published || p.Basis == Derived) && p.Source == "" && !t.Has(sourceKey) {
		t.Fault(basisKey, fmt.Sprintf("is %q, but no source is named", p.Basis), "give "+sourceKey)
	}
	return p
}

// readName reads the kebab-case name that others refer to.
func readName(t *tomlfile.Table, key string) string {
	t.Require(key)
	name := t.String(key)
	checkName(t, key, name)
	return name
}

func checkName(t *tomlfile.Table, key, name string) {
	if name != "" && !kebab(name) {
		t.Fault(key, fmt.Sprintf("%q is no name: use small letters, digits and single hyphens", name), "")
	}
}

func kebab(name string) bool {
	previous := byte('-')
	for i := 0; i < len(name); i++ {
		c := name[i]
		switch {
		case c >= 'a' && c <= 'z' || c >= '0' && c <= '9':
		case c == '-' && previous != '-':
		default:
			return false
		}
		previous = c
	}
	return previous != '-'
}

// Bases lists the words that a basis may be.
func Bases() []string { return slices.Clone(bases) }
