package tomlfile

import (
	"sort"
	"strings"
)

// Nearest returns the candidate closest to word, or "" when none is close: within a third of the
// word's letters (at least two) by edit distance (Damerau 1964, Levenshtein 1965), case aside, or the
// only one that holds the word as a part.
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

// distance counts the letters to insert, drop, change or swap with their neighbour to turn a into b.
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	d := make([][]int, len(s)+1)
	for i := range d {
		d[i] = make([]int, len(t)+1)
		d[i][0] = i
	}
	for j := range d[0] {
		d[0][j] = j
	}
	for i := 1; i <= len(s); i++ {
		for j := 1; j <= len(t); j++ {
			change := d[i-1][j-1]
			if s[i-1] != t[j-1] {
				change++
			}
			d[i][j] = min(change, d[i-1][j]+1, d[i][j-1]+1)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				d[i][j] = min(d[i][j], d[i-2][j-2]+1)
			}
		}
	}
	return d[len(s)][len(t)]
}
