package prompt

import (
	"strconv"
	"sync"

	"wanderlead/internal/content"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

// Text gives the front's own few words by id (those that begin with "prompt."),
// with {name} replaced from params. words.Catalogue.Text is one; nil means the
// embedded English.
type Text func(id string, params map[string]string) string

var embedded = sync.OnceValue(func() Text {
	bare := func(id string, _ map[string]string) string { return id }
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		return bare
	}
	defer lib.Close()
	c, err := words.Open(lib, "en")
	if err != nil {
		return bare
	}
	return c.Text
})

func orEmbedded(text Text) Text {
	if text == nil {
		return embedded()
	}
	return text
}

// typedParam holds what was typed, in quotes: it may be empty or blank.
func typedParam(typed string) map[string]string {
	return map[string]string{"typed": strconv.Quote(typed)}
}
