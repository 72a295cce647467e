package profile

import (
	"bytes"
	"encoding/gob"
	"fmt"
	"sync"

	"bittersum/profiles"
)

// packed is the form in which the library is kept in profiles/library.gob: reading it takes a tenth of
// the time that parsing the TOML files takes, which every command would spend.
type packed struct {
	Attributes  []*Attribute
	Ingredients []packedIngredient
	Markets     []*Market

	Preparations []*Preparation
	Botany       *Botany
}

// packedIngredient is an ingredient without the map of what is absent, which would be most of it: its
// names are indices of attributes, and each profile has one provenance for all of them.
type packedIngredient struct {
	*Ingredient
	Absent []int
	From   Provenance
}

// Embedded returns the library that comes with the program, read once. It says the same as the TOML files
// in profiles, which a test makes sure of.
var Embedded = sync.OnceValues(func() (*Library, error) { return unpack(profiles.Packed) })

func unpack(data []byte) (*Library, error) {
	var p packed
	if err := gob.NewDecoder(bytes.NewReader(data)).Decode(&p); err != nil {
		return nil, fmt.Errorf("profile: embedded library: %w", err)
	}
	l := newLibrary()
	for _, a := range p.Attributes {
		l.Attributes[a.Name] = a
	}
	l.Botany = p.Botany
	for _, packed := range p.Ingredients {
		g := packed.Ingredient
		if len(packed.Absent) > 0 {
			g.Absent = make(map[string]Provenance, len(packed.Absent))
		}
		for _, n := range packed.Absent {
			g.Absent[p.Attributes[n].Name] = packed.From
		}
		g.settle(l.Attributes)
		l.Botany.Apply(g, l.Attributes)
		l.Ingredients[g.Name] = g
	}
	for _, m := range p.Markets {
		l.Markets[m.Name] = m
	}
	for _, prepared := range p.Preparations {
		l.add(prepared)
	}
	return l, nil
}
