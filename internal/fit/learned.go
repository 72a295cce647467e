package fit

import (
	"math"
	"slices"

	"bittersum/internal/brief"
	"bittersum/internal/profile"
	"bittersum/internal/regress"

	"gonum.org/v1/gonum/mat"
)

// learned makes the result of the last equations.
func (f *fitting) learned(x []float64, fit *regress.Fit) (*Result, error) {
	r := f.result
	r.Condition = fit.Condition
	for i := range f.rows {
		row := f.rows[i]
		row.Off = fit.Apart[i]
		row.Outlier = math.Abs(row.Off) > apartFrom
		r.Rows = append(r.Rows, row)
	}
	for k, u := range f.unknowns {
		if u.lot == "" || !f.shared(u) {
			r.Learned = append(r.Learned, f.subject(k, x, fit))
		}
	}
	f.together(fit)
	return r, nil
}

// shared reports whether an unknown of one lot stands beside one of all lots of the same content.
func (f *fitting) shared(u unknown) bool {
	return slices.ContainsFunc(f.unknowns, func(o unknown) bool { return o.Subject == u.Subject && o.lot == "" })
}

// subject says what was learned of unknown k: of all lots, or of one lot with a certificate.
func (f *fitting) subject(k int, x []float64, fit *regress.Fit) Learned {
	u := f.unknowns[k]
	content, _ := u.source.Content(u.Attribute)
	reaches := content.PerGram * content.Recovery
	l := Learned{Subject: u.Subject, Lot: u.lot, Assumed: u.assumed, source: u.source, cv: u.cv, Unit: f.unit(u.Attribute)}
	l.Factor, l.FactorSD = math.Max(leastFactor, 1+x[k]), fit.SD(k)
	between := u.cv / math.Sqrt2
	before := u.sd
	if u.lot != "" {
		between = 0
	}
	l.Before, l.BeforeSD = reaches, reaches*u.sd
	l.After, l.AfterSD = reaches*l.Factor, reaches*l.FactorSD
	l.LotSD = reaches * math.Hypot(l.FactorSD, between)
	l.Told = l.FactorSD <= toldBelow*before
	l.Conflict = math.Abs(l.Factor-1) > conflictFrom*u.cv
	l.Times = 1
	for b := range f.batches {
		batch := &f.batches[b]
		for n := range batch.Recipe.Parts {
			if u.concerns(batch, n) {
				l.Times = max(1, batch.Job.Extractions[u.Ingredient].Times)
			}
			if u.concerns(batch, n) && f.measures(b, u.Attribute) && !slices.Contains(l.Batches, batch.Name) {
				l.Batches = append(l.Batches, batch.Name)
			}
		}
	}
	return l
}

// measures reports whether a row of a batch tells of an attribute.
func (f *fitting) measures(b int, attribute string) bool {
	for i, row := range f.rows {
		if f.at[i] == b && subjectOf(row.Name) == attribute {
			return true
		}
	}
	return false
}

func (f *fitting) unit(attribute string) string {
	if a := f.batches[0].Job.Library.Attributes[attribute]; a != nil {
		return a.Unit
	}
	return ""
}

// together lists the contents that the measurements tell apart badly: those of the lots in use.
func (f *fitting) together(fit *regress.Fit) {
	n := len(f.unknowns)
	var forms []*mat.VecDense // the content of the first lot of each subject
	var of []Subject
	for k, u := range f.unknowns {
		if u.lot == "" || slices.Contains(of, u.Subject) {
			continue
		}
		form := mat.NewVecDense(n, nil)
		form.SetVec(k, 1)
		for i, o := range f.unknowns {
			if o.Subject == u.Subject && o.lot == "" {
				form.SetVec(i, 1)
			}
		}
		forms, of = append(forms, form), append(of, u.Subject)
	}
	for i, a := range forms {
		for k := i + 1; k < len(forms); k++ {
			b := forms[k]
			c := mat.Inner(a, fit.Cov, b) / math.Sqrt(mat.Inner(a, fit.Cov, a)*mat.Inner(b, fit.Cov, b))
			if math.Abs(c) > togetherFrom {
				f.result.Together = append(f.result.Together, Together{of[i], of[k], c})
			}
		}
	}
}

// Content returns what an overlay should say of a subject's content in profile g: a gram's content, its deviation
// from lot to lot and the share that one extraction brings into the liquor. Where a profile says that only a share
// does, the share takes what was learned and the content stays, and of what some market caps its deviation too, so
// that what caps are judged by never falls for a kettle that drew little; only what passes the whole content raises
// it.
func (l Learned) Content(g *profile.Ingredient, capped bool) (perGram, sd, recovery float64) {
	content := g.Contents[l.Attribute]
	share := content.Recovery
	if own, ok := g.Methods[l.Method].Recovery[l.Attribute]; ok {
		share = own
	}
	sd = content.SD
	if sd == 0 {
		sd = l.cv * content.PerGram
	}
	if !capped {
		sd = l.lotCV() / l.Factor * content.PerGram
	}
	if share == 1 {
		return l.Factor * content.PerGram, content.PerGram * l.lotCV(), 1
	}
	total := l.Factor * brief.Recovered(share, l.Times)
	if total >= 1 {
		return total * content.PerGram, math.Max(sd, total*content.PerGram*l.lotCV()), 1
	}
	return content.PerGram, sd, 1 - math.Pow(1-total, 1/float64(l.Times))
}

// lotCV is the deviation of a lot that is not known yet, as a share of the profile's mean.
func (l Learned) lotCV() float64 { return l.LotSD / l.Before }

// Written reports whether an overlay can hold what was learned: of all lots, and told by the measurements.
func (l Learned) Written() bool { return l.Told && l.Lot == "" }

// Outliers are the measurements that lie apart.
func (r *Result) Outliers() (out []Row) {
	for _, row := range r.Rows {
		if row.Outlier {
			out = append(out, row)
		}
	}
	return out
}

// IllConditioned reports whether small errors of the measurements make large ones of what was learned.
func (r *Result) IllConditioned() bool { return r.Condition > 1e4 }

// errorOf is the error of a measurement, one standard deviation: the brief's instrument's.
func errorOf(j *brief.Job, name string, value float64) float64 { return j.Instrument(name).Off(value) }
