package solver

import (
	"context"
	"math"
)

// A search near a point begins at nearAfter nodes, and again at nearAgain times as many; it takes as many nodes as went
// before it, divided by nearShare. Each whole value may be nearReach further than the whole numbers about the point's.
const (
	nearAfter = 400
	nearAgain = 3
	nearShare = 2
	nearReach = 1
)

// near looks for a better answer among whole values close to those of the best answer, or of the relaxation at the
// root, in turn, by a search of its own (after Danna, Rothberg and Le Pape, "Exploring relaxation induced
// neighborhoods to improve MIP solutions", Mathematical Programming 102 (2005), 71-90).
func (s *search) near(ctx context.Context) error {
	s.nearAt = s.nodes * nearAgain
	centre := s.rootX
	if s.nearTimes++; s.best != nil && s.nearTimes%2 == 0 {
		centre = s.best
	}
	allowed := s.nodes / nearShare
	if s.opt.Nodes > 0 {
		allowed = min(allowed, s.opt.Nodes-s.nodes)
	}
	if allowed <= 0 {
		return nil
	}
	p := s.p.Clone()
	whole, narrower := 0, 0
	for j := range p.Columns {
		if c := &p.Columns[j]; c.Kind == Integer {
			c.Lower = math.Max(s.lp.rootLower[j], math.Floor(centre[j]+integrality)-nearReach)
			c.Upper = math.Min(s.lp.rootUpper[j], math.Ceil(centre[j]-integrality)+nearReach)
			whole++
			if c.Lower > s.lp.rootLower[j] || c.Upper < s.lp.rootUpper[j] {
				narrower++
			}
		}
	}
	if 2*narrower < whole {
		return nil // that is the whole search again
	}
	part, err := newSearch(p, Options{Nodes: allowed, Feasibility: s.opt.Feasibility, Optimality: s.opt.Optimality})
	if err != nil {
		return err
	}
	part.nearAt = -1
	part.best, part.bestValue, part.bestSize = s.best, s.bestValue, s.bestSize
	settled, err := part.root(ctx)
	if err == nil && settled == nil {
		err = part.run(ctx)
	}
	s.nodes += part.nodes
	s.iterations += part.iterations
	if part.bestValue < s.bestValue {
		s.best, s.bestValue, s.bestSize = part.best, part.bestValue, part.bestSize
		s.tighten()
	}
	return err
}
