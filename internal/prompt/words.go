package prompt

import (
	"strconv"
	"strings"
)

// commandWords are the words taken at every question. Only the bare word
// counts, so that a remark which begins with one of them stays a remark.
var commandWords = map[string]string{
	"stop":    CommandStop,
	"pause":   CommandPause,
	"show":    CommandShow,
	"correct": CommandCorrect,
	"help":    CommandHelp,
	"?":       CommandHelp,
	"not yet": CommandNotYet,
	"not-yet": CommandNotYet,
}

// commandOf finds the command in a typed line: case, spaces and a trailing
// full stop or exclamation mark do not matter, because a person in a fright
// types "STOP!!".
func commandOf(typed string) (string, bool) {
	word := strings.ToLower(oneLine(typed))
	if trimmed := strings.TrimRight(word, ".!"); trimmed != "" {
		word = trimmed
	}
	c, ok := commandWords[word]
	return c, ok
}

// meaning is what a typed line means at a question.
type meaning int

const (
	isAnswer  meaning = iota // reply holds it
	isHelp                   // show the help and ask again
	isUnknown                // no answer to a choice: say so and ask again
)

// read decides what a typed line means at q. byNumber says whether the number
// of an option and its value are taken: the terminal front asks gates by moving
// to an answer instead, so that nothing typed can open one there.
func (q Question) read(typed string, byNumber bool) (Reply, meaning) {
	line := strings.TrimSpace(typed)
	if q.Gate && line == "" {
		return q.notYet(), isAnswer
	}
	if q.Kind == Choice && byNumber {
		if i, ok := q.byValue(line); ok {
			return q.chosen(i), isAnswer
		}
	}
	if c, ok := commandOf(line); ok && (c != CommandNotYet || q.Gate) {
		if c == CommandHelp {
			return Reply{Raw: line, Command: c, At: q.ID}, isHelp
		}
		if c == CommandNotYet {
			return q.notYet(), isAnswer
		}
		return Reply{Raw: line, Command: c, At: q.ID}, isAnswer
	}
	if q.Kind != Choice {
		return Reply{Raw: typed, At: q.ID}, isAnswer
	}
	if n, err := strconv.Atoi(line); err == nil && byNumber && n >= 1 && n <= len(q.Options) {
		return q.chosen(n - 1), isAnswer
	}
	return Reply{Raw: line, At: q.ID}, isUnknown
}
