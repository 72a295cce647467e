package tomlfile

import (
	"sort"
	"strings"
)

// Nearest returns the candidate closest to word, or "" when none is close: within a third of the
// word's letters (at least two) by edit distance (Levenshtein 1965), case aside, or the only one that
// holds the word as a part.
func Nearest(word string, candidates []string) string {
	sorted := append([]string(nil), candidates...)
	sort.Strings(sorted)
	lower := strings.ToLower(word)
	best, bestDistance := "", max(2, len([]rune(word))/3)+1
	for _, c := range sorted {
		if d := distance(lower, strings.ToLower(c)); d < bestDistance {
			best, bestDistance = c, d
		}
	}
	if best != "" || len(word) < 3 {
		return best
	}
	for _, c := range sorted {
		if strings.Contains(strings.ToLower(c), lower) {
			if best != "" {
				return ""
			}
			best = c
		}
	}
	return best
}

// DidYouMean returns `did you mean "x"?` for the nearest candidate, or "".
func DidYouMean(word string, candidates []string) string {
	if n := Nearest(word, candidates); n != "" {
		return `did you mean "` + n + `"?`
	}
	return ""
}

func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	row := make([]int, len(t)+1)
	for j := range row {
		row[j] = j
	}
	for i, x := range s {
		diagonal := row[0]
		row[0] = i + 1
		for j, y := range t {
			substitute := diagonal
			if x != y {
				substitute++
			}
			diagonal = row[j+1]
			row[j+1] = min(substitute, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(t)]
}
