package assess

import (
	"fmt"
	"math"

	"bittersum/internal/chem"
)

// Preservation says how the drink stands against spoilage. It is a report and no advice: a process
// authority decides.
type Preservation struct {
	// PH is the highest that the drink as served may have, NaN when it cannot be predicted, and Limit the
	// highest of an acid food by Source.
	PH, Limit float64
	Source    string
	// Preservatives are those in the drink.
	Preservatives []Preservative
	// Benzene says that benzoate and ascorbic acid are in it together.
	Benzene bool
}

// Preservative is a weak acid that keeps a drink as far as it is undissociated.
type Preservative struct {
	Name string
	// Total is mg/L as the acid, Share the undissociated part at the drink's pH and Active their product;
	// the last two are NaN when the pH cannot be predicted.
	Total, Share, Active float64
	// Caps are the maxima that hold for it.
	Caps []Cap
}

// keepers are the attributes of preservatives and the acids they stand for.
var keepers = []struct {
	attribute string
	acid      chem.Species
}{{"benzoic-acid", chem.Benzoic}, {"sorbic-acid", chem.Sorbic}}

// preservation collects what there is to say of keeping; caps are added once they are judged.
func (a *Assessment) preservation() {
	p := &Preservation{PH: a.Served.HighestPH, Limit: chem.AcidFoodPH, Source: chem.AcidFoodSource}
	for _, k := range keepers {
		attribute := a.Job.Library.Attributes[k.attribute]
		if attribute == nil || a.value(attribute) <= 0 {
			continue
		}
		kept := Preservative{Name: k.attribute, Total: a.value(attribute), Share: math.NaN(), Active: math.NaN()}
		if !math.IsNaN(p.PH) {
			if share, err := chem.UndissociatedShare(k.acid, p.PH, a.Served.state.Medium); err == nil {
				kept.Share, kept.Active = share, share*kept.Total
			}
		}
		p.Preservatives = append(p.Preservatives, kept)
	}
	p.Benzene = a.carries("benzoic-acid") && (a.carries("ascorbic-acid") || chem.BenzeneRisk(&a.served.Solution))
	a.Preservation = p
}

// preservativeCaps puts the judged caps beside the preservatives.
func (a *Assessment) preservativeCaps() {
	if a.Preservation == nil {
		return
	}
	for n := range a.Preservation.Preservatives {
		p := &a.Preservation.Preservatives[n]
		for _, c := range a.Caps {
			if c.Substance == p.Name {
				p.Caps = append(p.Caps, c)
			}
		}
	}
}

// weakSyrup is the °Bx below which a syrup does not keep by its sugar alone; practice.
const weakSyrup = 65

// Weak reports whether a syrup is too thin to keep by its sugar.
func (p *Prediction) Weak() bool { return p.Solids < weakSyrup }

// keeping returns the cautions about keeping, made specific by what is predicted.
func (a *Assessment) keeping(grave, routine func(from, format string, args ...any)) {
	const authority = "a process set by a qualified process authority"
	where := "the drink"
	judge := func(name string, p *Prediction) {
		switch {
		case math.IsNaN(p.PH) && len(p.Undeclared) > 0:
			grave("practice", "Keeping: no pH can be predicted for %s, since the profiles of %s do not say which acids they bring. Measure the pH of every batch: above pH 4.6 a sealed drink can grow dangerous bacteria and needs %s.", name, names(p.Undeclared), authority)
		case math.IsNaN(p.PH):
			grave("practice", "Keeping: no pH can be predicted for %s. Measure the pH of every batch: above pH 4.6 a sealed drink can grow dangerous bacteria and needs %s.", name, authority)
		case math.IsNaN(p.HighestPH):
			grave("practice", "Keeping: %s is predicted at pH %.2f or above; how far above cannot be said, since the profiles of %s have no figure of their minerals. Measure the pH of every batch: above pH 4.6 a sealed drink can grow dangerous bacteria and needs %s.", name, p.PH, names(p.Unmeasured), authority)
		case p.HighestPH > chem.AcidFoodPH && p.PH <= chem.AcidFoodPH:
			grave(chem.AcidFoodSource, "Keeping: %s may be above pH 4.6: it is predicted at pH %s, as far as the minerals of its plants bind acid. Sealed above 4.6 it can grow dangerous bacteria and needs %s. Measure it before it is sold, and every batch.", name, p.PHText(), authority)
		case p.HighestPH > chem.AcidFoodPH:
			grave(chem.AcidFoodSource, "Keeping: %s is predicted at pH %s, above 4.6: sealed it can grow dangerous bacteria and needs %s before it is sold.", name, p.PHText(), authority)
		case p.HighestPH > chem.AcidFoodPH-nearAcid:
			grave(chem.AcidFoodSource, "Keeping: %s is predicted at pH %s, close under 4.6; the prediction may be off by that much. Measure every batch; above 4.6 it needs %s.", name, p.PHText(), authority)
		default:
			routine(chem.AcidFoodSource, "Keeping: %s is predicted at pH %s, below 4.6. Measure the pH of every batch all the same: above 4.6 a sealed drink can grow dangerous bacteria and needs %s.", name, p.PHText(), authority)
		}
	}
	if a.Syrup != nil {
		where = "the drink as served"
		judge("the syrup", a.Syrup)
		if a.Syrup.Weak() {
			grave("practice", "Keeping: the syrup has %.0f %% of solids; below %d %% sugar alone does not keep it. It needs cold, heat or a preservative, and a test of its shelf life.", a.Syrup.Solids, weakSyrup)
		}
	}
	judge(where, a.Served)
	if a.Preservation.Benzene {
		grave(chem.BenzeneSource, "Benzoate and ascorbic acid are in it together: heat and light can make traces of benzene.")
	}
	if silent := a.Served.Silent; len(silent) > 0 && a.Served.HighestPH-a.Served.PH > tellApart {
		routine("practice", "The pH is a range: minerals bind acid, and no profile says how much acid of their own comes with those of %s. Its upper end counts them all as free alkali.", names(silent))
	}
	if a.Job.AlcoholPercent > 0 || a.served.Alcohol > 0 {
		routine("practice", "With alcohol the pH, the volumes and the density are estimates, and a refractometer cannot be trusted.")
	}
}

// tellApart is the least difference of pH that an instrument shows.
const tellApart = 0.01

// PHText prints the pH, or the range that it lies in.
func (p *Prediction) PHText() string { return PHAt{PH: p.PH, HighestPH: p.HighestPH}.PHText() }

// PHText prints the pH, or the range that it lies in.
func (p PHAt) PHText() string {
	if p.HighestPH-p.PH > tellApart {
		return fmt.Sprintf("%.2f to %.2f", p.PH, p.HighestPH)
	}
	return fmt.Sprintf("%.2f", p.PH)
}

// nearAcid is how close under the limit of acid food a predicted pH calls for more care: measured buffers
// (McIlvaine 1921) differ from the prediction by up to 0.19.
const nearAcid = 0.2
