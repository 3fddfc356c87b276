package journal

import (
	"crypto/pbkdf2"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
)

// HiddenPart is the last part of a question id whose answer is always a hidden
// code, for example "supervisor/code". Header.Hidden adds to it.
const HiddenPart = "code"

// A short code can be guessed from its hash by trying all; the rounds make each
// try take milliseconds instead of nanoseconds. They do not make a four-digit
// code strong (common practice, no source).
const (
	secretRounds = 100_000
	secretPrefix = "code:pbkdf2-sha256:100000:"
)

// Secret holds a code as typed. It prints, formats and encodes as "(hidden)",
// so it cannot reach a record, a log or a screen by accident.
type Secret struct{ text string }

// NewSecret wraps a code straight after it was typed.
func NewSecret(raw string) Secret { return Secret{text: raw} }

const hiddenText = "(hidden)"

// String returns "(hidden)".
func (s Secret) String() string { return hiddenText }

// GoString returns "(hidden)".
func (s Secret) GoString() string { return hiddenText }

// Format prints "(hidden)" whatever the verb.
func (s Secret) Format(f fmt.State, _ rune) { _, _ = f.Write([]byte(hiddenText)) }

// MarshalText returns "(hidden)"; encoding/json and yaml use it.
func (s Secret) MarshalText() ([]byte, error) { return []byte(hiddenText), nil }

// Empty reports whether nothing was typed.
func (s Secret) Empty() bool { return s.text == "" }

// Hash hashes the code with PBKDF2 (RFC 8018) over HMAC-SHA-256. The salt is
// the session id: equal codes hash equal within a session, so a later code can
// be compared with the first, and differ between sessions.
func (s Secret) Hash(session string) (Hashed, error) {
	key, err := pbkdf2.Key(sha256.New, s.text, []byte(session), secretRounds, sha256.Size)
	if err != nil {
		return Hashed{}, fmt.Errorf("the code cannot be hashed: %w", err)
	}
	return Hashed{text: secretPrefix + hex.EncodeToString(key)}, nil
}

// Hashed is a hashed code. It can be made by Secret.Hash and ParseHashed only;
// two of one session are equal (==) if the codes were.
type Hashed struct{ text string }

// String returns the text that stands in a record.
func (h Hashed) String() string { return h.text }

// ParseHashed reads a hashed code back from a record.
func ParseHashed(text string) (Hashed, error) {
	digits, ok := strings.CutPrefix(text, secretPrefix)
	if b, err := hex.DecodeString(digits); !ok || err != nil || len(b) != sha256.Size || strings.ToLower(digits) != digits {
		return Hashed{}, fmt.Errorf("not a hashed code: it would begin with %s and end in 64 hexadecimal digits", secretPrefix)
	}
	return Hashed{text: text}, nil
}

// IsHidden reports whether the answer to a question is a hidden code: its id,
// or the last part of its id, is HiddenPart or one of hidden.
func IsHidden(at string, hidden []string) bool {
	last := at[strings.LastIndex(at, "/")+1:]
	if last == HiddenPart {
		return true
	}
	for _, h := range hidden {
		if h != "" && (at == h || last == h) {
			return true
		}
	}
	return false
}

// bareSecret names the value of an event that ought to be a hashed code and is
// not, or returns "". A hidden question can also be left by a command, whose
// word is no secret.
func bareSecret(e *Event, hidden []string) string {
	if IsHidden(e.At, hidden) && !isCommand(e) {
		if _, err := ParseHashed(e.Raw); err != nil {
			return "raw"
		}
	}
	for k, v := range e.Params {
		if IsHidden(k, hidden) {
			if _, err := ParseHashed(v); err != nil {
				return "params " + k
			}
		}
	}
	return ""
}

// isCommand reports whether an event holds no answer but a word that leaves or
// puts off the question.
func isCommand(e *Event) bool {
	switch e.Raw {
	case "", "not-yet", "help":
		return true
	case TypeStop, TypePause, TypeResume:
		return e.Type == e.Raw
	}
	return false
}
