package fit

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"bittersum/internal/assess"
	"bittersum/internal/profile"
	"bittersum/internal/sensory"
	"bittersum/internal/tomlfile"
)

// Answered is what kept answers of difference tests say.
type Answered struct {
	Tests []JudgedAnswers
	// Found are the just noticeable differences of attributes that were changed alone, and Before what the library
	// says of the same, 0 for nothing.
	Found  []sensory.Noticed
	Before []float64
	// Untold says of other attributes why nothing is found.
	Untold []string
}

// JudgedAnswers are the answers of one test with what they say.
type JudgedAnswers struct {
	sensory.Answers
	Score sensory.Score
}

// alikeShare is the share of people who may tell two drinks apart that are called alike.
const alikeShare = 0.3

// OfAnswers judges kept answers. The error is a tomlfile.Faults for attributes that the library does not know.
func OfAnswers(file string, all []sensory.Answers, lib *profile.Library) (*Answered, error) {
	out := &Answered{}
	var faults tomlfile.Faults
	for _, a := range all {
		if a.Attribute != "" && lib.Attributes[a.Attribute] == nil {
			faults = append(faults, tomlfile.Fault{File: file, Line: a.Line, Key: "test.attribute", What: fmt.Sprintf("there is no attribute %q", a.Attribute), Hint: tomlfile.DidYouMean(a.Attribute, lib.AttributeNames())})
			continue
		}
		score, err := a.Test.Judge(a.Right, a.Of, alikeShare)
		if err != nil {
			faults = append(faults, tomlfile.Fault{File: file, Line: a.Line, Key: "test", What: err.Error()})
			continue
		}
		out.Tests = append(out.Tests, JudgedAnswers{a, score})
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	groups := sensory.ByAttribute(all)
	for _, name := range slices.Sorted(maps.Keys(groups)) {
		a := lib.Attributes[name]
		share := a.JND == 0
		n, err := sensory.JustNoticeable(groups[name], share)
		if errors.Is(err, sensory.ErrNoticed) {
			out.Untold = append(out.Untold, fmt.Sprintf("%s: %v", name, err))
			continue
		}
		if err != nil {
			return nil, err
		}
		out.Found = append(out.Found, n)
		out.Before = append(out.Before, math.Max(a.JND, a.JNDShare))
	}
	return out, nil
}

// Seeming is how strong an attribute of a drink would seem on the house's line.
type Seeming struct {
	Drink, Unit      string
	Strength         float64
	Score, Low, High float64
	// Beyond says that the strength lies outside the references', and Unknown that some ingredient's content is not
	// known, so that the strength is at least so much.
	Beyond  bool
	Unknown []string
}

// SeemsOf returns how strong a panel's attribute of an assessed drink would seem. The panel has a scale.
func SeemsOf(r *sensory.PanelResult, a *assess.Assessment) (*Seeming, error) {
	for _, v := range a.Attributes {
		if v.Name != r.Attribute {
			continue
		}
		s := &Seeming{Drink: a.Job.Name, Unit: v.Unit + "/L", Strength: v.Value, Unknown: v.Unknown}
		s.Score, s.Low, s.High, s.Beyond = r.Power.Score(v.Value)
		return s, nil
	}
	return &Seeming{Drink: a.Job.Name}, nil // it has none of it
}
