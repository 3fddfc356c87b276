package prompt

import (
	"fmt"
	"strings"
)

// CommandSwitch: another candidate of the same desk, Reply.Raw says which, counted from
// 1. Two keys give it at a question with seats: Tab, then the number.
const CommandSwitch = "switch"

// Key is one key that answers, with what it means.
type Key struct {
	Key   rune
	Value string
	Label string
}

// KeyQuestion is answered by one key, without Enter. Where a front has no single keys
// (plain lines, an answers file) the value, the key or the label is a line.
type KeyQuestion struct {
	ID    string
	Lines []string
	Ask   string
	Keys  []Key
	Seats int // see Question.Seats
}

// KeyFront is a front that can ask for a single key.
type KeyFront interface {
	AskKey(q KeyQuestion) (Reply, error)
}

// AskKey asks for a single key where the front has them, else for a line.
func AskKey(f Front, q KeyQuestion) (Reply, error) {
	if k, ok := f.(KeyFront); ok {
		return k.AskKey(q)
	}
	c := Question{ID: q.ID, Lines: q.Lines, Ask: q.Ask + " " + q.legend(), Kind: Line, Seats: q.Seats}
	for {
		r, err := f.Ask(c)
		if err != nil || r.Command != "" {
			return r, err
		}
		if k, ok := q.find(strings.TrimSpace(r.Raw)); ok {
			return Reply{Raw: k.Value, At: q.ID}, nil
		}
		c.Lines = []string{q.legend()}
	}
}

func (q KeyQuestion) legend() string {
	parts := make([]string, len(q.Keys))
	for i, k := range q.Keys {
		parts[i] = fmt.Sprintf("%c %s", k.Key, k.Label)
	}
	return strings.Join(parts, " · ")
}

func (q KeyQuestion) find(typed string) (Key, bool) {
	for _, k := range q.Keys {
		if typed == string(k.Key) || typed != "" && (strings.EqualFold(typed, k.Value) || strings.EqualFold(typed, k.Label)) {
			return k, true
		}
	}
	return Key{}, false
}

// switchKeys leaves a question because another seat was asked for.
type switchKeys struct{ seat string }

func (s *switchKeys) Error() string { return "switch to " + s.seat }

// seatTyped is the line form of the two keys, for fronts without single keys: "=2".
func seatTyped(line string, seats int) (string, bool) {
	line = strings.TrimSpace(line)
	if seats < 2 || len(line) != 2 || line[0] != '=' || line[1] < '1' || int(line[1]-'0') > seats {
		return "", false
	}
	return line[1:], true
}

// NextAt is the question that the next answer of a script is for, empty when there is
// none.
func (s *Script) NextAt() string {
	if s.next < len(s.answers) {
		return s.answers[s.next].at
	}
	return ""
}
