package label

import (
	"math"
	"strings"

	"bittersum/internal/profile"
)

// Container is the bottle or can that a label is put on, and the label. Zero is not known.
type Container struct {
	// WidthMM and HeightMM are those of the label.
	WidthMM, HeightMM float64
	// DiameterMM and BodyMM are the diameter and height of the cylinder that bears it, without shoulder and neck.
	DiameterMM, BodyMM float64
	// ML is what the bottle holds.
	ML float64
}

// surfaceCM2 is the surface that a cylinder's label may go round, NaN when it is not known.
func (c Container) surfaceCM2() float64 {
	if c.DiameterMM == 0 || c.BodyMM == 0 {
		return math.NaN()
	}
	return math.Pi * c.DiameterMM * c.BodyMM / 100
}

// Height is the least height of a line's letters.
type Height struct {
	// MM is that of a small letter without ascender (x, o), or of figures and capitals.
	MM      float64
	Figures bool
	Rule
	// Note says what was supposed.
	Note string
}

const inch = 25.4 // mm

// HeightOf returns the least height of the letters of a printed line of a label.
func (l *Label) HeightOf(line Line, c Container) Height {
	switch l.Market.Name {
	case "eu", "uk":
		return l.euHeight(line, c)
	case "us":
		return l.usHeight(line, c)
	}
	return Height{MM: 1.2, Rule: Rule{"practice", profile.Seen}, Note: "legible and prominent; no least height is held here"}
}

// NutritionHeight returns the least height of the letters of the panel.
func (l *Label) NutritionHeight(c Container) Height {
	if l.Market.Name == "us" {
		return Height{MM: 8 * inch / 72 * xOfPoint, Rule: recalled("21 CFR 101.9(d)(1)(iii)"),
			Note: "8 point; the heading larger than all but the calories, Calories 16 point and their number 22, the serving size 10, the foot 6"}
	}
	return l.HeightOf(Line{Part: "nutrition"}, c)
}

// xOfPoint is the height of a small x over the size of the type, of common sans-serif faces.
const xOfPoint = 0.519

func (l *Label) euHeight(line Line, c Container) Height {
	rule := seen(food + "Article 13(2) and Annex IV")
	if line.Part == "net quantity" {
		rule = recalled("Directive 76/211/EEC Annex I 3.1")
		if l.Market.Name == "uk" {
			rule = recalled("Weights and Measures (Packaged Goods) Regulations 2006")
		}
		note := ""
		if c.ML == 0 {
			note = "as for more than a litre: the brief gives no bottle_ml"
			c.ML = math.Inf(1)
		}
		return Height{MM: float64(figureHeight(c.ML)), Figures: true, Rule: rule, Note: note}
	}
	h := Height{MM: 1.2, Rule: rule}
	switch surface := c.surfaceCM2(); {
	case surface < 80:
		h.MM, h.Rule = 0.9, seen(food+"Article 13(3)")
	case math.IsNaN(surface):
		h.Note = "0.9 mm where the largest surface is below 80 cm²; none is said"
	}
	if l.Market.Name == "uk" {
		h.Rule = Rule{h.Citation + ", as assimilated", profile.Recalled}
	}
	return h
}

func (l *Label) usHeight(line Line, c Container) Height {
	if line.Part == "declaration" && strings.HasPrefix(line.Text, "GOVERNMENT WARNING") {
		h := Height{MM: 3, Rule: seen("27 CFR 16.22(b)"), Note: "GOVERNMENT WARNING in bold capitals, the rest not bold"}
		switch {
		case c.ML > 0 && c.ML <= 237:
			h.MM = 1
		case c.ML > 0 && c.ML <= 3000:
			h.MM = 2
		}
		return h
	}
	if line.Part != "net quantity" {
		return Height{MM: inch / 16, Rule: seen("21 CFR 101.2(c)")}
	}
	h := Height{Rule: seen("21 CFR 101.105(i), now 101.7(i)"), Note: "bold, within the lowest 30 % of the panel"}
	panel := 0.4 * c.surfaceCM2() / (inch * inch / 100) // square inches, 101.1(b)
	switch {
	case panel <= 5:
		h.MM = inch / 16
	case panel <= 25:
		h.MM = inch / 8
	case panel <= 100:
		h.MM = inch * 3 / 16
	case panel > 100:
		h.MM = inch / 4
	default:
		h.MM = inch * 3 / 16
		h.Note += "; as for a main panel of 25 to 100 square inches: the bottle's size says which it is"
	}
	return h
}
