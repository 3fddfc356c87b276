package prompt

import (
	"sort"
	"strings"
)

// Text gives the front's own few words by id, with {name} replaced from params.
// A catalogue's lookup fits; nil means the built-in English.
type Text func(id string, params map[string]string) string

// english holds every id that a front looks up.
var english = map[string]string{
	"prompt/hint-choice":  "arrows and Enter, or type its number. ? for help. stop, pause, correct",
	"prompt/hint-gate":    "Enter alone means not yet. Move to an answer to give it. ? for help. stop",
	"prompt/choose":       "type a number from 1 to {count}, or the answer itself: ",
	"prompt/choose-gate":  "type a number or the answer itself; Enter alone means not yet: ",
	"prompt/answer":       "answer: ",
	"prompt/unknown":      "not one of the answers here, nothing taken: {typed}",
	"prompt/move-to":      "a safety question: move to an answer with the arrows. Nothing taken: {typed}",
	"prompt/too-long":     "that line is longer than {limit} characters, nothing taken",
	"prompt/hidden":       "(hidden)",
	"prompt/not-yet":      "(not yet)",
	"prompt/help-heading": "help:",
}

// TextIDs lists the ids that a catalogue must hold to replace the English.
func TextIDs() []string {
	ids := make([]string, 0, len(english))
	for id := range english {
		ids = append(ids, id)
	}
	sort.Strings(ids)
	return ids
}

// English is the built-in Text.
func English(id string, params map[string]string) string {
	text, ok := english[id]
	if !ok {
		return id
	}
	for name, value := range params {
		text = strings.ReplaceAll(text, "{"+name+"}", value)
	}
	return text
}
