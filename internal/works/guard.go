package works

import (
	"strings"

	"bittersum/internal/study"
)

// Assurance is how sure a recipe is to be, as a command or the page asks for it.
type Assurance struct {
	// Risk is the share of batches that may break a limit, nil where none is said.
	Risk *float64
	// Targets asks for the targets too; Each allows the risk to each limit by itself, Drawn to the batches that break
	// any, as drawn; neither adds the chances up.
	Targets, Each, Drawn bool
	// Method is what is supposed of lots, independent when empty; Bad, not nil, is how many stray at once.
	Method string
	Bad    *float64
	// Assumed is the variation in percent of what has no deviation, Draws about how many batches are drawn, nil for
	// as many as is usual, and Seed chooses them.
	Assumed float64
	Draws   *int
	Seed    uint64
}

// DrawsOfOne is about how many batches are drawn for one chance, if nothing else is asked for.
const DrawsOfOne = 1 << 16

// Options checks what is asked for. A curve of assurances needs no risk.
func (a *Assurance) Options(curve bool) (study.GuardOptions, error) {
	o := study.GuardOptions{Targets: a.Targets, Counting: study.Sum, Method: study.GuardMethod(a.Method)}
	switch {
	case a.Risk == nil && !curve:
		return o, Usage("guard needs --risk, such as --risk 0.01 for one batch in a hundred, or --curve")
	case a.Risk != nil && !(*a.Risk > 0 && *a.Risk < 1):
		return o, Usage("--risk %v: a risk lies above 0 and below 1; 0.01 is one batch in a hundred", *a.Risk)
	case a.Risk != nil && *a.Risk < 1e-6:
		return o, Usage("--risk %v: below one in a million nobody knows the tails", *a.Risk)
	case a.Each && a.Drawn:
		return o, Usage("--each and --drawn exclude each other")
	}
	if a.Risk != nil {
		o.Risk = *a.Risk
	}
	if a.Each {
		o.Counting = study.EachAlone
	} else if a.Drawn {
		o.Counting = study.Drawn
	}
	switch o.Method {
	case "":
		o.Method = study.Independent
	case study.Independent, study.AnyShape, study.FewBad:
	default:
		var names []string
		for _, m := range []study.GuardMethod{study.Independent, study.AnyShape, study.FewBad} {
			names = append(names, string(m))
		}
		return o, Usage("--method %q is none of %s", a.Method, strings.Join(names, ", "))
	}
	if a.Bad != nil {
		if o.Method != study.FewBad {
			return o, Usage("--bad goes with --method few-bad")
		}
		if !(*a.Bad > 0 && *a.Bad <= 100) {
			return o, Usage("--bad %v: above 0 and at most 100 lots", *a.Bad)
		}
		o.Bad = *a.Bad
	}
	draws := DrawsOfOne
	if a.Drawn {
		draws *= 4 // no weights help where any of several may break
	}
	if a.Draws != nil {
		draws = *a.Draws
	}
	var err error
	o.StressOptions, err = Drawing(a.Assumed, draws, a.Seed)
	return o, err
}

// Drawing checks how lots are drawn.
func Drawing(assumedPercent float64, draws int, seed uint64) (study.StressOptions, error) {
	o := study.StressOptions{Assumed: assumedPercent / 100, Draws: draws, Seed: seed}
	if !(assumedPercent >= 0 && assumedPercent <= 200) {
		return o, Usage("--assume %v: a variation is 0 to 200 percent", assumedPercent)
	}
	if err := noShare("--assume", assumedPercent, "0 or from 1 on"); err != nil {
		return o, err
	}
	if draws < 1000 || draws > 100_000_000 {
		return o, Usage("--draws %d: 1000 to 100000000 of them", draws)
	}
	if seed == 0 {
		return o, Usage("--seed 0: a seed is 1 or more")
	}
	return o, nil
}
