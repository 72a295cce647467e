package sensory

import (
	"fmt"
	"math/rand/v2"
)

// Williams returns serving orders of n samples, numbered from 0, in which every sample stands in every place
// equally often and follows every other equally often (Williams 1949, Aust. J. Sci. Res. A 2: 149): n orders
// for an even n, 2n for an odd one.
func Williams(n int) [][]int {
	first := make([]int, n)
	for place := range first {
		if place%2 == 1 {
			first[place] = (place + 1) / 2
		} else if place > 0 {
			first[place] = n - place/2
		}
	}
	var rows [][]int
	for shift := range n {
		row := make([]int, n)
		for place, sample := range first {
			row[place] = (sample + shift) % n
		}
		rows = append(rows, row)
	}
	if n%2 == 1 {
		for _, row := range rows[:n] {
			reversed := make([]int, n)
			for place, sample := range row {
				reversed[n-1-place] = sample
			}
			rows = append(rows, reversed)
		}
	}
	return rows
}

// Serving is what one taster gets: cups from left to right, each with its blind code and whether it holds A
// or B. A reference of a duo-trio comes first.
type Serving struct {
	Taster int
	Cups   []Cup
	// Right are the codes of the right answer.
	Right []string
}

// Cup is one sample.
type Cup struct{ Code, Holds string }

// sequences are the orders of cups that each test balances, and the right answers in them; the reference of
// a duo-trio is the first letter. In the tests for more of something, B is the one that should have more.
var sequences = map[Test][]string{
	Triangle: {"ABB", "BAA", "AAB", "BBA", "ABA", "BAB"},
	DuoTrio:  {"AAB", "ABA", "BAB", "BBA"},
	Paired:   {"AB", "BA"},
	ThreeAFC: {"AAB", "ABA", "BAA"},
	Tetrad:   {"AABB", "ABAB", "ABBA", "BBAA", "BABA", "BAAB"},
}

// Serve returns servings for so many tasters: every order of cups as often as any other, or nearly, dealt at
// random, and a three-digit code for each cup that no other cup has. The same seed gives the same sheet.
func (t Test) Serve(tasters int, seed uint64) ([]Serving, error) {
	cups := t.Samples() * tasters
	if tasters < 1 || cups > 900 {
		return nil, fmt.Errorf("%d tasters: from 1 to %d have codes of three digits", tasters, 900/t.Samples())
	}
	random := rand.New(rand.NewPCG(seed, 1))
	var orders []string
	for len(orders) < tasters {
		for _, n := range random.Perm(len(sequences[t])) {
			orders = append(orders, sequences[t][n])
		}
	}
	codes := random.Perm(900)
	var servings []Serving
	for n, order := range orders[:tasters] {
		s := Serving{Taster: n + 1}
		for place, holds := range order {
			s.Cups = append(s.Cups, Cup{fmt.Sprint(100 + codes[n*t.Samples()+place]), string(holds)})
		}
		s.Right = t.right(s.Cups)
		servings = append(servings, s)
	}
	return servings, nil
}

// right returns the codes of the right answer: the odd one, the one like the reference, the one with more,
// or the first pair of two alike.
func (t Test) right(cups []Cup) []string {
	count := map[string]int{}
	for _, c := range cups {
		count[c.Holds]++
	}
	var codes []string
	for place, c := range cups {
		switch t {
		case Triangle:
			if count[c.Holds] == 1 {
				codes = append(codes, c.Code)
			}
		case DuoTrio:
			if place > 0 && c.Holds == cups[0].Holds {
				codes = append(codes, c.Code)
			}
		case Tetrad:
			if c.Holds == cups[0].Holds {
				codes = append(codes, c.Code)
			}
		default:
			if c.Holds == "B" {
				codes = append(codes, c.Code)
			}
		}
	}
	return codes
}
