package kettle

import (
	"fmt"
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/chem"
	"bittersum/internal/liquor"
)

// Step is one step of the work at the kettle.
type Step struct {
	Name, Do string
	// Lines are the plan's lines that go in, by index.
	Lines []int
	// Expect is what instruments should show after it; nil where nothing is to be measured.
	Expect *Expected
}

// Expected is what is in the kettle. A value that cannot be predicted, or that would mean nothing yet, is
// NaN.
type Expected struct {
	Litres, Kg float64
	// Brix is °Bx, Acidity g/L, PH at 25 °C, Density kg/L at 20 °C.
	Brix, Acidity, PH, Density float64
}

// stage is when a source goes in. All is in before straining, because the recipe reckons that the spent
// plants hold back liquor of the finished strength.
type stage struct {
	name, do string
	takes    func(*brief.Source) bool
}

func kinds(names ...string) func(*brief.Source) bool {
	return func(s *brief.Source) bool {
		for _, name := range names {
			if s.Ingredient.Kind == name {
				return true
			}
		}
		return false
	}
}

var stages = []stage{
	{"Water", "Run the water into the kettle.", (*brief.Source).Water},
	{"Dissolve", "Stir in until clear.", kinds("sugar", "syrup", "sweetener", "salt")},
	{"Steep", "Steep, covered, as the house does; all that evaporates is to be made up with water.", leavesMarc},
	{"Small amounts", "Dissolve each in a little of the liquor first, preservatives before acids.", kinds("alkaloid", "extract", "tannin", "colouring", "texture", "preservative", "spirit", "gas", "")},
	{"Juices", "Cool, then add.", kinds("juice", "fruit")},
	{"Acids", "Add last, stir, wait, then take a sample.", kinds("acid")},
	{"The rest", "Add and stir.", func(*brief.Source) bool { return true }},
}

// leavesMarc reports whether part of the source has to be strained out.
func leavesMarc(s *brief.Source) bool {
	return s.Ingredient.HoldUp > 0 || s.Ingredient.SolubleShare < 1
}

// steps puts the lines in the order of work and works out what to expect after each step.
func (p *Plan) steps() []Step {
	var steps []Step
	taken := make([]bool, len(p.Lines))
	made := &brief.Recipe{Name: p.Job.Name, Batch: true}
	for _, st := range stages {
		step := Step{Name: st.name, Do: st.do}
		for n, l := range p.Lines {
			if !taken[n] && st.takes(l.Source) {
				taken[n] = true
				step.Lines = append(step.Lines, n)
				made.Parts = append(made.Parts, brief.Part{Source: l.Source, Amount: l.Grams})
			}
		}
		if len(step.Lines) == 0 {
			continue
		}
		step.Expect = after(p.Job, made)
		steps = append(steps, step)
	}
	last := Step{Name: "Strain", Do: "Nothing is left to strain out; draw off."}
	if y := p.Yield; y.MarcKg > 0 {
		last.Do = fmt.Sprintf("Strain and press; no particle may pass. Expect %.3g kg of spent plants, which hold back %.3g L.", y.MarcKg, y.HeldL)
	}
	if p.Yield.LostL > 1e-6 {
		last.Do += fmt.Sprintf(" The process loses %.3g L more.", p.Yield.LostL)
	}
	expect := *steps[len(steps)-1].Expect
	expect.Litres = p.Yield.Litres
	expect.Kg = expect.Litres * expect.Density
	last.Expect = &expect
	return append(steps, last, p.filling())
}

// filling is the last step.
func (p *Plan) filling() Step {
	step := Step{Name: "Fill", Do: "Fill."}
	switch {
	case p.Job.Throw > 0:
		step.Do = fmt.Sprintf("Fill the syrup. To serve, one part and %v parts of %s: %.4g L as drunk.", p.Job.Throw, p.Job.ThrownWith(), p.Yield.ServedL)
	case p.Job.Carbonated:
		step.Do = "Chill, carbonate and fill cold, in bottles and closures rated for the pressure."
	}
	if y := p.Yield; y.Bottles > 0 {
		step.Do += fmt.Sprintf(" Expect %d bottles of %v mL, and %.2g L over.", y.Bottles, p.Job.BottleML, y.OverL)
	}
	return step
}

// after returns what is in the kettle once the parts are, without gas or soda. Water alone has neither
// acidity nor pH worth reading.
func after(j *brief.Job, made *brief.Recipe) *Expected {
	m := liquor.Mix(j, made.Parts)
	e := &Expected{Litres: m.Litres, Kg: m.Kilograms, Density: m.Density(), Brix: math.NaN(), Acidity: math.NaN(), PH: math.NaN()}
	if m.Solids == 0 {
		return e
	}
	if m.Alcohol == 0 {
		e.Brix = m.Refractometer()
	}
	acidity, err := m.Acidity()
	if err != nil || acidity < leastAcidity {
		return e
	}
	e.Acidity = acidity
	if len(m.Undeclared) == 0 {
		if state, err := chem.PH(&m.Solution); err == nil {
			e.PH = state.PH
		}
	}
	return e
}

// leastAcidity is the acidity in g/L below which there is nothing to buffer, so that a pH would mean
// nothing.
const leastAcidity = 0.2

// Yield is what the kettle gives.
type Yield struct {
	// LiquorL is what is made and Litres what is left of it to fill.
	LiquorL, Litres float64
	// ServedL is what that makes when it is thrown with soda.
	ServedL float64
	// HeldL stays in the spent plants, which weigh MarcKg wet; LostL is what the process loses, and
	// TrimmingsKg were cut off before.
	HeldL, LostL, MarcKg, TrimmingsKg float64
	// Bottles can be filled, 0 when the brief gives no size; OverL is left.
	Bottles int
	OverL   float64
}

func (p *Plan) yield() {
	a := p.Assessment
	y := Yield{LiquorL: a.Liquor, Litres: a.Recovered, ServedL: a.Recovered * p.Job.Dilution()}
	for _, l := range p.Lines {
		g := l.Source.Ingredient
		y.HeldL += g.HoldUp * l.Grams
		y.MarcKg += (1 - g.SolubleShare) * l.Grams / 1000
		y.TrimmingsKg += (l.TakeG - l.Grams) / 1000
	}
	y.LostL = math.Max(0, y.LiquorL-y.Litres-y.HeldL)
	y.MarcKg += y.HeldL * a.MassKg / a.Liquor
	if p.Job.BottleML > 0 {
		y.Bottles = int(math.Floor(y.Litres*1000/p.Job.BottleML + 1e-9))
		y.OverL = math.Max(0, y.Litres-float64(y.Bottles)*p.Job.BottleML/1000)
	}
	p.Yield = y
}
