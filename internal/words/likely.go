package words

import (
	"slices"
	"strings"
	"unicode"
)

// Candidate is something that a word may mean, with what else it is called.
type Candidate struct {
	Name string
	Also []string
}

// likely is the likeness from which a candidate is listed.
const likely = 0.4

// Likely returns the candidates that a text may mean, the likeliest first, at most so many. They are only ever
// offered.
func Likely(text string, candidates []Candidate, most int) []string {
	type scored struct {
		name string
		like float64
	}
	var all []scored
	for _, c := range candidates {
		best := likeness(text, c.Name)
		for _, other := range c.Also {
			best = max(best, likeness(text, other))
		}
		if best >= likely {
			all = append(all, scored{c.Name, best})
		}
	}
	slices.SortStableFunc(all, func(a, b scored) int {
		if a.like != b.like {
			if a.like > b.like {
				return -1
			}
			return 1
		}
		return strings.Compare(a.name, b.name)
	})
	var names []string
	for _, s := range all[:min(most, len(all))] {
		names = append(names, s.name)
	}
	return names
}

// likeness is the greater of two shares: of pairs of neighbouring letters that two texts have in common (the
// coefficient of Dice 1945 and Sørensen 1948), and of the letters of both, those in words that both have.
func likeness(a, b string) float64 {
	a, b = Folded(a), Folded(b)
	if a == b {
		return 1
	}
	return max(dice(pairs(a), pairs(b)), 0.95*shared(strings.Fields(a), strings.Fields(b)))
}

// Folded turns a text into small letters without marks, words parted by one space.
func Folded(text string) string {
	text = strings.NewReplacer("ä", "a", "ö", "o", "ü", "u", "ß", "ss", "é", "e", "è", "e", "ê", "e", "á", "a", "à", "a", "â", "a", "ó", "o", "ò", "o", "ô", "o",
		"í", "i", "ì", "i", "î", "i", "ú", "u", "ù", "u", "û", "u", "ñ", "n", "ç", "c", "å", "a", "ø", "o", "č", "c", "š", "s", "ž", "z", "ě", "e", "ř", "r", "ł", "l", "ý", "y",
		"€", " eur ", "$", " usd ", "£", " gbp ").Replace(strings.ToLower(text))
	return strings.Join(strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '%' }), " ")
}

func pairs(text string) map[string]int {
	found := map[string]int{}
	for _, word := range strings.Fields(text) {
		letters := []rune(word)
		for n := range len(letters) - 1 {
			found[string(letters[n:n+2])]++
		}
	}
	return found
}

func dice(a, b map[string]int) float64 {
	both, all := 0, 0
	for pair, n := range a {
		both += min(n, b[pair])
		all += n
	}
	for _, n := range b {
		all += n
	}
	if all == 0 {
		return 0
	}
	return 2 * float64(both) / float64(all)
}

func shared(a, b []string) float64 {
	found, letters, further := 0, 0, 0
	for _, word := range a {
		letters += len(word)
		if slices.Contains(b, word) {
			found += len(word)
		}
	}
	for _, word := range b {
		further += len(word)
	}
	if letters == 0 {
		return 0
	}
	return (float64(found)/float64(letters) + float64(found)/float64(further)) / 2
}
