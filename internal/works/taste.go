package works

import (
	"errors"
	"fmt"
	"math"
	"os"
	"strings"

	"bittersum/internal/report"
	"bittersum/internal/sensory"
	"bittersum/internal/tomlfile"
)

// TestNames are the names of the difference tests.
func TestNames() []string {
	var names []string
	for _, t := range sensory.Tests {
		names = append(names, string(t))
	}
	return names
}

// DifferenceTest finds a difference test by its name.
func DifferenceTest(name string) (sensory.Test, error) {
	for _, t := range sensory.Tests {
		if string(t) == name {
			return t, nil
		}
	}
	return "", Usage("--test %s: there are %s%s", name, strings.Join(TestNames(), ", "), spaced(Hinted(tomlfile.DidYouMean(name, TestNames()))))
}

// share reads a percentage.
func share(flag string, percent float64) (float64, error) {
	if !(percent > 0 && percent < 100) {
		return 0, Usage("%s %v: a percentage above 0 and below 100", flag, percent)
	}
	return percent / 100, noShare(flag, percent, "from 1 on")
}

// noShare refuses a percentage between 0 and 1, which is most likely a share written for it and would be a hundred times
// too little; taken says which percentages are.
func noShare(flag string, percent float64, taken string) error {
	if percent <= 0 || percent >= 1 {
		return nil
	}
	meant := math.Round(percent*1e8) / 1e6 // without the last bits of the multiplication
	return Usage("%s %v: it is in percent, %s: %v for %v percent", flag, percent, taken, meant, meant)
}

// leastPower is the least certainty of finding a difference out, in percent, that a test can be planned for: below it
// the test misses the difference more often than it shows it.
const leastPower = 50

// TastersNeeded says how many tasters a test needs to find out, with so many percent of certainty, that so many
// percent of people can tell.
func TastersNeeded(test sensory.Test, noticePercent, powerPercent float64) (report.Panel, error) {
	p := report.Panel{Test: test, Alpha: sensory.Alpha}
	var err error
	if p.Share, err = share("--notice", noticePercent); err != nil {
		return p, err
	}
	if p.Power, err = share("--power", powerPercent); err != nil {
		return p, err
	}
	if powerPercent < leastPower {
		return p, Usage("--power %v: a certainty of %d percent or more, such as 80 for 80 percent; below it the test would more often miss the difference than show it", powerPercent, leastPower)
	}
	correct := test.Guess() + p.Share*(1-test.Guess())
	p.Difference = test.DPrime(correct)
	if p.Tasters, err = test.Tasters(p.Alpha, p.Power, correct); err != nil {
		return p, Usage("--notice %v: %v", noticePercent, err)
	}
	return p, nil
}

// Servings are the orders and codes of a test's cups.
func Servings(test sensory.Test, tasters int, seed uint64) ([]sensory.Serving, error) {
	servings, err := test.Serve(tasters, seed)
	if err != nil {
		return nil, Usage("--tasters: %v", err)
	}
	return servings, nil
}

// ScoreOf judges the answers of a test; alikePercent of people may tell for two drinks to be called alike.
func ScoreOf(test sensory.Test, right, of int, alikePercent float64) (sensory.Score, error) {
	alike, err := share("--alike", alikePercent)
	if err != nil {
		return sensory.Score{}, err
	}
	score, err := test.Judge(right, of, alike)
	if err != nil {
		return score, Usage("%v", err)
	}
	return score, nil
}

// Changed is the one attribute in which B of a test differs from A; empty for none.
type Changed struct {
	Attribute     string
	Base, Changed float64
}

// KeepAnswers adds the answers of a test to a file.
func KeepAnswers(path string, a sensory.Answers, c Changed) error {
	if c != (Changed{}) {
		if c.Attribute == "" || !(c.Base > 0 && c.Changed > 0) || math.IsInf(c.Base, 0) || math.IsInf(c.Changed, 0) {
			return Usage("--attribute NAME, --base and --changed go together, both above zero")
		}
		a.Attribute, a.Base, a.Changed = c.Attribute, c.Base, c.Changed
	}
	old, err := os.ReadFile(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		old = []byte("# What tasters answered, as bittersum taste score --keep adds it; taste noticed reads it.\n")
	case err != nil:
		return fmt.Errorf("%s: %w", path, err)
	default:
		if _, err := sensory.OpenAnswers(path); err != nil {
			return err
		}
	}
	return WriteFile(path, append(old, a.TOML()...))
}
