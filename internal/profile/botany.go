package profile

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"bittersum/internal/tomlfile"
)

// Restricted is the family of attributes that the law caps or forbids in plants.
const Restricted = "restricted"

// Botany says in which plants restricted substances occur.
type Botany struct {
	// Plants are by the key that profiles and markets name them with.
	Plants map[string]Plant
	// Occurrences are by restricted substance.
	Occurrences map[string]Occurrence
}

// Plant is a plant, or a part of one, as the rules of markets name it.
type Plant struct{ Species, Genus, Family string }

// Occurrence says where a substance is known or may be expected: in genera, and in single plants.
type Occurrence struct {
	Genera, Plants []string
	Provenance
}

// byBotany begins the source of a content that is zero because the plant is none that carries it.
const byBotany = "by botany: "

// readBotany reads the table of plants and occurrences of a folder, if it has one.
func readBotany(fsys fs.FS, display func(string) string, attributes map[string]*Attribute, faults *tomlfile.Faults) *Botany {
	const file = "botany.toml"
	if _, err := fs.Stat(fsys, file); err != nil {
		return nil
	}
	b := &Botany{Plants: map[string]Plant{}, Occurrences: map[string]Occurrence{}}
	for _, doc := range openAll(fsys, []string{file}, display, faults) {
		root := doc.Root()
		if plants := root.Table("plants"); plants != nil {
			for _, t := range plants.Named() {
				t.Require("species")
				b.Plants[t.Key()] = Plant{t.String("species"), t.String("genus"), t.String("family")}
				t.Done()
			}
		}
		if occurrences := root.Table("occurrences"); occurrences != nil {
			for _, t := range occurrences.Named() {
				if a := attributes[t.Key()]; a == nil || a.Family != Restricted {
					t.Fault("", fmt.Sprintf("%q is no restricted attribute", t.Key()), tomlfile.DidYouMean(t.Key(), names(attributes)))
				}
				o := Occurrence{Genera: t.Strings("genera"), Plants: t.Strings("plants"), Provenance: readProvenance(t, "", Provenance{})}
				for n, key := range o.Plants {
					if _, known := b.Plants[key]; !known {
						t.ElementFault("plants", n, fmt.Sprintf("%q is no plant of this table", key), tomlfile.DidYouMean(key, names(b.Plants)))
					}
				}
				t.Require("source")
				b.Occurrences[t.Key()] = o
				t.Done()
			}
		}
		root.Done()
		*faults = append(*faults, doc.Faults()...)
	}
	return b
}

// composition is the family of what labels ask for: a profile that is silent of it does not know it.
const composition = "composition"

// Apply says of each restricted attribute that a plant's profile is silent of whether botany rules it out: it
// is absent when none of the plants may carry it, and unknown else. An ingredient without plants, or of a plant
// that the table does not have, stays as it is. What labels ask for is unknown where the profile is silent.
func (b *Botany) Apply(g *Ingredient, attributes map[string]*Attribute) {
	if g.Pure {
		return
	}
	for _, name := range names(attributes) {
		if _, known := g.Content(name); attributes[name].Family == composition && !known && !slices.Contains(g.Unknown, name) {
			g.Unknown = append(g.Unknown, name)
		}
	}
	if b == nil || !g.Botanical() {
		return
	}
	for _, name := range names(attributes) {
		if attributes[name].Family != Restricted || attributes[name].Additive() || slices.Contains(g.Unknown, name) {
			continue
		}
		_, given := g.Contents[name]
		_, absent := g.Absent[name]
		if given || absent {
			continue
		}
		if from, none := b.rulesOut(name, g.Plants); none && len(g.OtherPlants) == 0 {
			if g.Absent == nil {
				g.Absent = map[string]Provenance{}
			}
			g.Absent[name] = from
		} else {
			g.Unknown = append(g.Unknown, name)
		}
	}
}

// rulesOut reports whether a substance occurs in none of the plants, and on what ground.
func (b *Botany) rulesOut(substance string, plants []string) (Provenance, bool) {
	occurs, told := b.Occurrences[substance]
	if !told {
		return Provenance{}, false
	}
	var species []string
	for _, key := range plants {
		plant, known := b.Plants[key]
		if !known || slices.Contains(occurs.Plants, key) || slices.Contains(occurs.Genera, plant.Genus) {
			return Provenance{}, false
		}
		species = append(species, plant.Species)
	}
	return Provenance{Basis: occurs.Basis, Source: byBotany + strings.Join(species, ", ") + " is no plant that it is reported from (" + occurs.Source + ")"}, true
}

// ByBotany reports whether a zero rests on the table of plants.
func (p Provenance) ByBotany() bool { return strings.HasPrefix(p.Source, byBotany) }
