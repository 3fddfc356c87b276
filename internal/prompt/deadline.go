package prompt

import (
	"fmt"
	"time"
)

// CommandTime: the time for the answer ran out while it was being typed. Reply.Raw is what had been typed by then, empty for a
// Secret.
const CommandTime = "time"

// look is how often, at most, the question's clock is looked at: it is the caller's, and may be set while somebody types.
const look = time.Second

// timeOver leaves a question because its time has run out.
type timeOver struct{ typed string }

func (t *timeOver) Error() string { return fmt.Sprintf("the time ran out with %q typed", t.typed) }

// typedLine follows what a line holds while it is typed, by the keys that change it.
type typedLine struct {
	text []rune
	at   int
}

func (l *typedLine) String() string { return string(l.text) }

// key takes one key into account.
func (l *typedLine) key(t token) {
	switch {
	case t.kind == character:
		r := []rune(t.text)
		l.text = append(l.text[:l.at:l.at], append(r, l.text[l.at:]...)...)
		l.at += len(r)
	case t.kind == backspace && l.at > 0:
		l.at--
		l.text = append(l.text[:l.at:l.at], l.text[l.at+1:]...)
	case t.kind == enter:
		*l = typedLine{}
	case t.kind == movement:
		l.move(t.text)
	}
}

func (l *typedLine) move(seq string) {
	switch seq {
	case seqLeft:
		l.at = max(0, l.at-1)
	case seqRight:
		l.at = min(len(l.text), l.at+1)
	case seqHome:
		l.at = 0
	case seqEnd:
		l.at = len(l.text)
	case seqDelete:
		if l.at < len(l.text) {
			l.text = append(l.text[:l.at:l.at], l.text[l.at+1:]...)
		}
	}
}
