package mps

import (
	"fmt"
	"strings"
)

// maxName caps the length of a written name: every reader tried takes 100 bytes.
const maxName = 100

// rename returns for every name one that any reader of MPS takes: no blanks, printable ASCII, at most
// maxName bytes, no two alike. A name that is so already stays as it is. An empty one becomes prefix
// and its number, counted from 1.
func rename(prefix string, names []string) []string {
	taken := make(map[string]bool, len(names))
	count := make(map[string]int, len(names))
	for _, name := range names {
		count[name]++
	}
	for _, name := range names {
		if plain(name, prefix, 0) == name {
			taken[name] = true
		}
	}
	given := make([]string, len(names))
	used := make(map[string]bool, len(names))
	for i, name := range names {
		wanted := plain(name, prefix, i)
		if wanted == name && !used[name] {
			given[i], used[name] = name, true
			continue
		}
		given[i] = distinct(wanted, taken)
		taken[given[i]] = true
	}
	return given
}

// distinct returns wanted, or wanted with the first number after it that is not taken.
func distinct(wanted string, taken map[string]bool) string {
	for n, try := 2, wanted; ; n++ {
		if !taken[try] {
			return try
		}
		try = fmt.Sprintf("%s_%d", wanted, n)
	}
}

// plain returns name with every character that a reader may stumble over made a low line.
func plain(name, prefix string, i int) string {
	if name == "" {
		return fmt.Sprintf("%s%d", prefix, i+1)
	}
	s := strings.Map(func(r rune) rune {
		if r <= ' ' || r > '~' || strings.ContainsRune(`'"<>=:;,+*^/\$&|!`, r) {
			return '_'
		}
		return r
	}, name)
	if len(s) > maxName {
		s = s[:maxName]
	}
	if strings.Trim(s[:1], "-.0123456789[") == "" {
		s = "_" + s[:min(len(s), maxName-1)]
	}
	return s
}
