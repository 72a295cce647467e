package profile

import (
	"fmt"
	"slices"
	"strings"

	"bittersum/internal/chance"
	"bittersum/internal/tomlfile"

	"gonum.org/v1/gonum/mat"
)

// Correlations say how contents of one ingredient go together from lot to lot: those of their logarithms, by the
// names of two attributes in order.
type Correlations struct {
	Of map[string]map[string]float64
	Provenance
}

// Between returns how two contents go together; 0 where nothing is said.
func (c *Correlations) Between(a, b string) float64 {
	switch {
	case a == b:
		return 1
	case c == nil:
		return 0
	case a > b:
		a, b = b, a
	}
	return c.Of[a][b]
}

// readCorrelations reads the table of correlations: for an attribute those with others,
//
//	correlations.quinine = { cinchona-alkaloids = 0.9, bitterness = 0.9 }
//
// with basis and source as everywhere. What no contents can be like is refused, and the nearest that can be offered.
func readCorrelations(t *tomlfile.Table, g *Ingredient, attributes map[string]*Attribute, own Provenance) {
	known := func(of *tomlfile.Table, name string) bool {
		if attributes[name] == nil {
			of.Fault(name, noAttribute(name), tomlfile.DidYouMean(name, names(attributes)))
			return false
		}
		if _, has := g.Contents[name]; !has {
			of.Fault(name, fmt.Sprintf("%s has no content of %s that could vary", g.Name, name), tomlfile.DidYouMean(name, names(g.Contents)))
			return false
		}
		return true
	}
	if c := ReadCorrelations(t, own, known); c != nil {
		g.Correlations = c
	}
}

// ReadCorrelations reads the table of correlations of what t describes, as profiles and lots have it; nil where there is
// none. known says whether a content may be named, and notes it where not.
func ReadCorrelations(t *tomlfile.Table, own Provenance, known func(of *tomlfile.Table, name string) bool) *Correlations {
	table := t.Table("correlations")
	if table == nil {
		return nil
	}
	c := &Correlations{Of: map[string]map[string]float64{}, Provenance: readProvenance(table, "", own)}
	var involved []string
	for _, name := range table.Keys() {
		if name == "basis" || name == "source" {
			continue
		}
		of := table.Table(name)
		if of == nil {
			continue
		}
		mine := known(table, name)
		for _, with := range of.Keys() {
			r := of.NumberOr(with, tomlfile.Range{Min: -1, Max: 1}, 0)
			if !known(of, with) || !mine {
				continue
			}
			a, b := name, with
			if a > b {
				a, b = b, a
			}
			if _, twice := c.Of[a][b]; twice || a == b {
				of.Fault(with, fmt.Sprintf("says twice how %s and %s go together", a, b), "")
				continue
			}
			if c.Of[a] == nil {
				c.Of[a] = map[string]float64{}
			}
			c.Of[a][b] = r
			for _, name := range []string{a, b} {
				if !slices.Contains(involved, name) {
					involved = append(involved, name)
				}
			}
		}
		of.Done()
	}
	table.Done()
	slices.Sort(involved)
	if len(involved) > 0 {
		c.check(table, involved)
	}
	return c
}

// check notes correlations that no contents can have.
func (c *Correlations) check(t *tomlfile.Table, involved []string) {
	r := c.Matrix(involved)
	var factored mat.Cholesky
	if factored.Factorize(r) {
		return
	}
	near := chance.Nearest(r)
	var offers []string
	for i, a := range involved {
		for k := i + 1; k < len(involved); k++ {
			if b := involved[k]; r.At(i, k) != 0 || near.At(i, k) > 0.005 || near.At(i, k) < -0.005 {
				offers = append(offers, fmt.Sprintf("%s and %s %.2f", a, b, near.At(i, k)))
			}
		}
	}
	t.Fault("", "no contents can go together so", "the nearest that can be: "+strings.Join(offers, ", "))
}

// Matrix returns the correlations of contents as a matrix.
func (c *Correlations) Matrix(of []string) *mat.SymDense {
	r := mat.NewSymDense(len(of), nil)
	for i, a := range of {
		for k := i; k < len(of); k++ {
			r.SetSym(i, k, c.Between(a, of[k]))
		}
	}
	return r
}
