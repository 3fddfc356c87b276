package content

import (
	"fmt"
	"strings"

	"wanderlead/internal/slip"
)

// DidYouMean is a hint for word: the nearest of known when one is near enough to be a slip, else the list of them.
func DidYouMean(word string, known []string) string {
	if near := slip.Nearest(word, known); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	if len(known) == 0 {
		return ""
	}
	return "known here: " + strings.Join(known, ", ")
}
