package kettle

import (
	"cmp"
	"fmt"
	"math"

	"bittersum/internal/brief"
	"bittersum/internal/chem"
	"bittersum/internal/liquor"
	"bittersum/internal/profile"
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
	// Brix is °Bx, Acidity g/L, PH at 25 °C, Density kg/L at 20 °C, Alcohol % by volume.
	Brix, Acidity, PH, Density, Alcohol float64
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

// The stages of the work. Preservatives go in before acids, which would throw them out of solution.
var (
	water     = stage{"Water", "Run the water into the kettle.", (*brief.Source).Water}
	dissolve  = stage{"Dissolve", "Stir in until clear.", kinds("sugar", "syrup", "sweetener", "salt")}
	spirit    = stage{"Spirit", "Measure the strength of each spirit with a hydrometer at 20 °C first: the plan reckons with that of its profile or certificate, and the brief's strength hangs on it. Cold, away from flame and sparks, stir in slowly.", strong}
	steep     = stage{"Steep", "Steep, covered, as the house does; all that evaporates is to be made up with water.", leavesMarc}
	preserve  = stage{"Preservatives", "Dissolve each in a little water first, and stir in before any acid.", kinds("preservative")}
	small     = stage{"Small amounts", "Dissolve each in a little of the liquor first.", kinds("alkaloid", "extract", "tannin", "colouring", "texture", "gas", "")}
	juices    = stage{"Juices", "Cool, then add.", kinds("juice", "fruit")}
	acids     = stage{"Acids", "Add last, stir, wait, then take a sample.", kinds("acid")}
	acidFirst = stage{"Acids", "Stir in now: what is steeped next has to start sour.", kinds("acid")}
	rest      = stage{"The rest", "Add and stir; then take a sample.", func(*brief.Source) bool { return true }}
)

// strong reports whether the source is a spirit: more of it is alcohol than of wine.
func strong(s *brief.Source) bool {
	return s.Ingredient.Kind == "spirit" || s.Expected(brief.Alcohol) >= strongFrom
}

// strongFrom is the share of alcohol by mass, about 25 % by volume, from which a source is handled as a spirit.
const strongFrom = 0.2

// stages returns the stages in the order that the ingredients ask for: acids come before steeping when a
// plant has to start hot or sour, so that it is safe in a kettle without a fire too.
func (p *Plan) stages() []stage {
	for _, l := range p.Lines {
		if l.Source.Ingredient.Start == profile.HotOrSour && leavesMarc(l.Source) {
			return []stage{water, dissolve, preserve, acidFirst, steep, small, juices, spirit, rest}
		}
	}
	return []stage{water, dissolve, steep, preserve, small, juices, spirit, acids, rest}
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
	for _, st := range p.stages() {
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
		if st.name == steep.name {
			step.Do += p.extractions(step.Lines)
		}
		step.Expect = after(p.Job, made)
		steps = append(steps, step)
	}
	last := Step{Name: "Strain", Do: "Nothing is left to strain out; draw off."}
	if y := p.Yield; y.MarcKg > 0 {
		last.Do = fmt.Sprintf("Strain and press; no particle may pass. Expect %.3g kg of spent plants, which hold back %.3g L.", y.MarcKg, y.HeldL)
	}
	last.Do += p.losses()
	expect := *steps[len(steps)-1].Expect
	expect.Litres = p.Yield.Litres
	expect.Kg = expect.Litres * expect.Density
	last.Expect = &expect
	return append(steps, last, p.filling())
}

// extractions says how the plants of a step are extracted, as the recipe reckons it.
func (p *Plan) extractions(lines []int) string {
	text := ""
	for _, at := range lines {
		g := p.Lines[at].Source.Ingredient
		how := p.Job.Extractions[g.Name]
		if method := cmp.Or(how.Method, g.UsualMethod); method != "" {
			text += fmt.Sprintf(" %s: %s.", g.Name, method)
		}
		if how.Times > 1 {
			text += fmt.Sprintf(" %s: steep %d times, each time in fresh liquor from the kettle, strain and join them; so the recipe reckons.", g.Name, how.Times)
		}
		if g.Start == profile.HotOrSour {
			text += fmt.Sprintf(" %s starts hot or sour.", g.Name)
		}
	}
	return text
}

// losses says which step of the process loses what.
func (p *Plan) losses() string {
	if p.Yield.LostL <= 1e-6 {
		return ""
	}
	text, left := "", p.Yield.LiquorL
	for _, l := range p.Job.Losses {
		text += fmt.Sprintf(" %s loses about %.2g L.", l.Step, left*l.Share)
		left *= 1 - l.Share
	}
	return text + fmt.Sprintf(" The process loses %.3g L in all.", p.Yield.LostL)
}

// filling is the last step.
func (p *Plan) filling() Step {
	step := Step{Name: "Fill", Do: "Fill."}
	switch {
	case p.Job.Throw > 0:
		step.Do = fmt.Sprintf("Fill the syrup. To serve, one part and %v parts of %s: %.4g L as drunk.", p.Job.Throw, p.Job.ThrownWith(), p.Yield.ServedL)
	case p.Job.Carbonated:
		step.Do = "Chill, carbonate" + p.gas() + " and fill cold, in bottles and closures rated for the pressure."
	}
	if heat := p.Job.Heat; len(heat) > 0 {
		most := heat[0].Celsius
		for _, h := range heat {
			most = math.Max(most, h.Celsius)
		}
		step.Do += fmt.Sprintf(" Then heat the closed bottles as the brief says: %.3g minutes, up to %.3g °C in the coldest of them; let them cool slowly.", heat[len(heat)-1].Minutes, most)
	}
	if y := p.Yield; y.Bottles > 0 {
		step.Do += fmt.Sprintf(" Expect %d bottles of %v mL, and %.2g L over.", y.Bottles, p.Job.BottleML, y.OverL)
	}
	return step
}

// gas says how much gas goes in, and at which temperature and pressure, where the brief says how much.
func (p *Plan) gas() string {
	c := p.Assessment.Carbonation
	if c == nil || !(c.Grams > 0) {
		return ""
	}
	text := fmt.Sprintf(" to %.3g g/L of carbon dioxide (%.2g volumes)", c.Grams, c.Volumes)
	for _, at := range c.Pressures {
		if at.When == "filled" && !math.IsNaN(at.Gauge) {
			text += fmt.Sprintf(", at %v °C against %.2g bar over the atmosphere,", at.Celsius, at.Gauge)
		}
	}
	return text
}

// after returns what is in the kettle once the parts are, without gas or soda. Water alone has neither
// acidity nor pH worth reading.
func after(j *brief.Job, made *brief.Recipe) *Expected {
	m := liquor.Mix(j, made.Parts)
	e := &Expected{Litres: m.Litres, Kg: m.Kilograms, Density: m.Density(), Brix: math.NaN(), Acidity: math.NaN(), PH: math.NaN(), Alcohol: m.Strength()}
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
