// Package slip finds the word that was probably meant when a name is mistyped.
package slip

import "strings"

// longest is how many letters a word may have to be compared: a slip is short, and what is typed can be anything.
const longest = 64

// Nearest is the candidate that the fewest single changes lead to, capitals apart, "" when none is so near that it can be a
// slip of the fingers: one change, or one in three letters of a long word. Of candidates as near the first is taken.
func Nearest(word string, candidates []string) string {
	best, at := "", 1+max(1, len(word)/3)
	for _, c := range candidates {
		if d := Changes(strings.ToLower(word), strings.ToLower(c)); d < at {
			best, at = c, d
		}
	}
	return best
}

// Changes counts the insertions, deletions and exchanges of single letters, and the exchanges of two neighbours, that lead
// from one word to the other: the restricted edit distance after Damerau, Communications of the ACM 7, 1964 (from memory).
// Of words longer than 64 letters it says only that they are far apart.
func Changes(a, b string) int {
	s, t := []rune(a), []rune(b)
	if len(s) > longest || len(t) > longest {
		return max(len(s), len(t))
	}
	var before []int
	row := make([]int, len(t)+1)
	for j := range row {
		row[j] = j
	}
	for i := range s {
		next := make([]int, len(t)+1)
		next[0] = i + 1
		for j := range t {
			same := row[j]
			if s[i] != t[j] {
				same++
			}
			next[j+1] = min(same, next[j]+1, row[j+1]+1)
			if i > 0 && j > 0 && s[i] == t[j-1] && s[i-1] == t[j] {
				next[j+1] = min(next[j+1], before[j-1]+1)
			}
		}
		before, row = row, next
	}
	return row[len(t)]
}
