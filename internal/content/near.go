package content

import (
	"fmt"
	"strings"
)

// DidYouMean is a hint for word: the nearest of known when one is near enough to be a slip, else the list of them.
func DidYouMean(word string, known []string) string {
	best, bestDistance := "", 1+max(1, len(word)/3)
	for _, k := range known {
		if d := distance(strings.ToLower(word), strings.ToLower(k)); d < bestDistance {
			best, bestDistance = k, d
		}
	}
	if best != "" {
		return fmt.Sprintf("did you mean %q?", best)
	}
	if len(known) == 0 {
		return ""
	}
	return "known here: " + strings.Join(known, ", ")
}

// distance counts the single-character insertions, deletions, replacements and swaps of neighbours that lead from a to
// b (restricted Damerau-Levenshtein). Long words are not compared: a slip is short.
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	if len(s) > 64 || len(t) > 64 {
		return max(len(s), len(t))
	}
	var before []int
	row := make([]int, len(t)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(s); i++ {
		next := make([]int, len(t)+1)
		next[0] = i
		for j := 1; j <= len(t); j++ {
			cost := 1
			if s[i-1] == t[j-1] {
				cost = 0
			}
			next[j] = min(row[j]+1, next[j-1]+1, row[j-1]+cost)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				next[j] = min(next[j], before[j-2]+1)
			}
		}
		before, row = row, next
	}
	return row[len(t)]
}
