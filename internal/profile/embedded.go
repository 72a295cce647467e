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
	Ingredients []*Ingredient
	Markets     []*Market
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
	for _, g := range p.Ingredients {
		l.Ingredients[g.Name] = g
	}
	for _, m := range p.Markets {
		l.Markets[m.Name] = m
	}
	return l, nil
}
