// Package pages holds what there is to read: a page for each who uses the program, and one
// on where every number comes from. Pages are content (pages/en/*.md), a small part of
// Markdown; the page on numbers is filled from the files that hold them.
package pages

import (
	"fmt"
	"strings"

	"wanderlead/internal/content"
)

// Numbers is the page on where every number comes from.
const Numbers = "numbers"

// Names are the pages in the order of a list.
func Names() []string { return []string{"apprentice", "assessor", "learner", "trainer", Numbers} }

// Page is one page as Markdown, the page on numbers filled with those of the library in
// hand. The error says that the page is not there, or what is wrong with a file of numbers.
func Page(lib *content.Library, language, name string, say Say) (string, error) {
	data, err := lib.Read("pages/" + language + "/" + name + ".md")
	if language != content.English && content.NotFound(err) {
		data, err = lib.Read("pages/" + content.English + "/" + name + ".md")
	}
	if err != nil {
		return "", err
	}
	page := strings.ToValidUTF8(string(data), "\ufffd")
	if name != Numbers {
		return page, nil
	}
	before, rest, ok := strings.Cut(page, Begin)
	_, after, ok2 := strings.Cut(rest, End)
	if !ok || !ok2 {
		return "", fmt.Errorf("the page %s has no place for the numbers: %q and %q mark it", name, strings.TrimSpace(Begin), strings.TrimSpace(End))
	}
	tables, err := tables(lib, say)
	if err != nil {
		return "", err
	}
	return before + Begin + tables + End + after, nil
}

// Title is a page's first heading.
func Title(page string) string {
	for line := range strings.Lines(page) {
		if t, ok := strings.CutPrefix(line, "# "); ok {
			return strings.TrimSpace(t)
		}
	}
	return ""
}
