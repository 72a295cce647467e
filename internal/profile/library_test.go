package profile

import (
	"bytes"
	"encoding/gob"
	"flag"
	"os"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bittersum/profiles"
)

var update = flag.Bool("update", false, "write profiles/library.gob anew from the TOML files")

func embedded(t testing.TB) *Library {
	t.Helper()
	read := Embedded
	if *update { // what is packed is of the files as they were
		read = filesOnce
	}
	l, err := read()
	require.NoError(t, err)
	return l
}

var filesOnce = sync.OnceValues(fromFiles)

// fromFiles reads the library from its TOML files.
func fromFiles() (*Library, error) {
	return newLibrary().overlay(profiles.FS, func(name string) string { return "profiles/" + name })
}

func pack(l *Library) ([]byte, error) {
	var p packed
	for _, name := range l.AttributeNames() {
		p.Attributes = append(p.Attributes, l.Attributes[name])
	}
	for _, name := range l.IngredientNames() {
		g := *l.Ingredients[name]
		one := packedIngredient{Ingredient: &g}
		for n, attribute := range l.AttributeNames() {
			if from, absent := g.Absent[attribute]; absent && !from.ByBotany() {
				one.Absent, one.From = append(one.Absent, n), from
			}
		}
		g.Absent = nil
		p.Ingredients = append(p.Ingredients, one)
	}
	for _, name := range l.MarketNames() {
		p.Markets = append(p.Markets, l.Markets[name])
	}
	for _, name := range names(l.Preparations) {
		p.Preparations = append(p.Preparations, l.Preparations[name])
	}
	p.Botany = l.Botany
	var out bytes.Buffer
	err := gob.NewEncoder(&out).Encode(p)
	return out.Bytes(), err
}

func TestPackedLibraryEqualsTheFiles(t *testing.T) {
	parsed, err := fromFiles()
	require.NoError(t, err)
	current, err := unpack(profiles.Packed)
	if *update && (err != nil || !assert.ObjectsAreEqual(parsed, current)) {
		data, err := pack(parsed)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile("../../profiles/library.gob", data, 0o644))
		current, err = unpack(data)
		require.NoError(t, err)
	} else {
		require.NoError(t, err)
	}
	require.Equal(t, parsed, current, "profiles/library.gob is out of date: go test ./internal/profile -update")
}

func TestEmbeddedLibraryIsWhole(t *testing.T) {
	l := embedded(t)
	assert.GreaterOrEqual(t, len(l.Ingredients), 50)
	assert.Equal(t, []string{"au-nz", "eu", "uk", "us"}, l.MarketNames())
	assert.Empty(t, l.Check(), "attributes that an ingredient neither gives, nor calls absent or unknown")
}

func BenchmarkEmbedded(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := unpack(profiles.Packed); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFiles(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := fromFiles(); err != nil {
			b.Fatal(err)
		}
	}
}
