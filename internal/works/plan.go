package works

import (
	"context"
	"io"
	"slices"
	"strings"

	"bittersum/internal/plan"
	"bittersum/internal/report"
	"bittersum/internal/tomlfile"
)

// Planning is a plan with what is asked of it.
type Planning struct {
	Plan *plan.Plan
	// If is a scenario of the plan by its name; Fails, Price and Demand are events besides. All happen together.
	If                   string
	Fails, Price, Demand []string
	// Hedge asks for first orders that are right for all scenarios.
	Hedge bool
}

// Planned is what came of it.
type Planned struct {
	Answer *plan.Answer
	// Before is the plan where nothing happens, when a scenario was asked for and there is a plan without it.
	Before *plan.Answer
	// Increase is what announced increases cost; nil with a scenario.
	Increase *plan.Increase
	hedged   bool
}

// Write says it in words.
func (p *Planned) Write(w io.Writer, extent report.Extent) {
	switch {
	case p.Before != nil:
		report.PlanDifference(w, plan.Compare(p.Before, p.Answer))
	case p.hedged:
		report.PlanHedged(w, p.Answer, extent)
	default:
		report.Plan(w, p.Answer, p.Increase, extent)
	}
}

// Scenario makes a scenario of what is to happen; nil when nothing is.
func (p *Planning) Scenario() (*plan.Scenario, error) {
	s := &plan.Scenario{Probability: 1}
	var parts []string
	if p.If != "" {
		at := slices.IndexFunc(p.Plan.Scenarios, func(o *plan.Scenario) bool { return o.Name == p.If })
		if at < 0 {
			var known []string
			for _, o := range p.Plan.Scenarios {
				known = append(known, o.Name)
			}
			return nil, Usage("--if: there is no scenario %q in the plan%s", p.If, spaced(Hinted(tomlfile.DidYouMean(p.If, known))))
		}
		s.Events = append(s.Events, p.Plan.Scenarios[at].Events...)
		parts = append(parts, p.If)
	}
	for _, events := range []struct {
		kind  string
		texts []string
	}{{"fails", p.Fails}, {"price", p.Price}, {"demand", p.Demand}} {
		for _, text := range events.texts {
			e, wrong := p.Plan.ParseEvent(events.kind, text)
			if wrong != "" {
				return nil, Usage("--%s %s: %s", events.kind, text, wrong)
			}
			s.Events = append(s.Events, e)
			parts = append(parts, events.kind+" "+text)
		}
	}
	s.Name = strings.Join(parts, ", ")
	if len(s.Events) == 0 {
		return nil, nil
	}
	return s, nil
}

// Decide plans, and plans again where a scenario is asked for.
func (p *Planning) Decide(ctx context.Context) (*Planned, error) {
	scenario, err := p.Scenario()
	if err != nil {
		return nil, err
	}
	switch {
	case p.Hedge && scenario != nil:
		return nil, Usage("--hedge takes all scenarios of the plan; leave out --if, --fails, --price and --demand")
	case p.Hedge && len(p.Plan.Scenarios) == 0:
		return nil, Usage("--hedge needs scenarios: give [[scenario]] in the plan")
	case p.Hedge:
		answer, err := plan.Hedged(ctx, p.Plan)
		return &Planned{Answer: answer, hedged: true}, err
	}
	answer, err := plan.Decide(ctx, p.Plan)
	if err != nil {
		return nil, err
	}
	if scenario != nil && answer.Ledger != nil {
		then, err := plan.If(ctx, p.Plan, scenario)
		return &Planned{Answer: then, Before: answer}, err
	}
	increase, err := answer.Increases(ctx)
	return &Planned{Answer: answer, Increase: increase}, err
}

func spaced(text string) string {
	if text == "" {
		return ""
	}
	return " " + text
}
