// Package seal keeps an exam's secrets and its evidence.
//
// Three things are kept apart. The key of a record (seed, draw, reference answers) is
// encrypted to the assessor's passphrase in the age format (age-encryption.org/v1,
// scrypt recipient), so that the age program opens it too. The open record holds only a
// commitment to that key: SHA-256 over 32 random bytes and the key. The random bytes lie
// inside the sealed part, so that trying every possible draw against the commitment
// tells nothing. A closed record is signed in the format of OpenSSH (PROTOCOL.sshsig),
// so that `ssh-keygen -Y verify` checks it without this program.
package seal

import (
	"bytes"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"filippo.io/age"
)

// Answer is the reference reading of one part, as an instrument would show it.
type Answer struct {
	ID    string `json:"id"`
	Raw   string `json:"raw"`
	Sound string `json:"sound"` // what the rig without its faults would show
}

// Verdict is what the reference readings of one group come to.
type Verdict struct {
	ID      string `json:"id"`
	Verdict string `json:"verdict"` // pass, doubt, fail
	Why     string `json:"why"`
}

// Planted is one fault of the draw, with how to plant and how to clear it.
type Planted struct {
	Name    string `json:"name"`
	Kind    string `json:"kind"`
	Circuit string `json:"circuit"`
	Plant   string `json:"plant"`
	Clear   string `json:"clear"`
	// NeverEnergise: this circuit may not be made live before the fault is cleared.
	NeverEnergise bool `json:"never_energise"`
}

// Key is what the sealed part holds.
type Key struct {
	Format   string    `json:"format"`
	Session  string    `json:"session"` // of the record it belongs to
	Paper    string    `json:"paper"`
	Setting  string    `json:"setting"`
	Salt     string    `json:"salt"` // 32 random bytes in hex
	Seed     uint64    `json:"seed"`
	Draw     []Planted `json:"draw"`
	Answers  []Answer  `json:"answers"`
	Verdicts []Verdict `json:"verdicts"`
}

const keyFormat = "wanderlead-exam-key-1"

// saltLen is the length of the salt in bytes: as long as the hash, so that guessing it
// is no easier than finding a collision.
const saltLen = 32

// NewSalt reads a salt from a source of random bytes.
func NewSalt(random io.Reader) (string, error) {
	b := make([]byte, saltLen)
	if _, err := io.ReadFull(random, b); err != nil {
		return "", fmt.Errorf("no random bytes for the salt: %w", err)
	}
	return hex.EncodeToString(b), nil
}

// canonical is the one text of a key that the commitment is made over.
func (k *Key) canonical() ([]byte, error) {
	c := *k
	c.Format = keyFormat
	return json.Marshal(&c)
}

// Commitment is SHA-256 (FIPS 180-4) over the key's text, salt included, in hex.
func (k *Key) Commitment() (string, error) {
	if b, err := hex.DecodeString(k.Salt); err != nil || len(b) != saltLen {
		return "", errors.New("the key has no salt of 32 bytes")
	}
	text, err := k.canonical()
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:]), nil
}

// Holds reports whether a commitment was made to this key.
func (k *Key) Holds(commitment string) bool {
	own, err := k.Commitment()
	return err == nil && subtle.ConstantTimeCompare([]byte(own), []byte(commitment)) == 1
}

// padTo is what sealed keys are filled up to, in bytes, so that the length of the
// sealed part does not tell one draw from another.
const padTo = 64 << 10

// DefaultWork is the scrypt work factor, as a power of two: about a second a try and 256 MiB of memory (RFC 7914: 128 × r ×
// N bytes, r is 8). Nothing that asks for more is opened: a sealed part that somebody put there could take all memory.
const DefaultWork = 18

// Seal encrypts a key to a passphrase. work is the scrypt work factor, see
// [DefaultWork].
func Seal(k *Key, passphrase string, work int) ([]byte, error) {
	text, err := k.canonical()
	if err != nil {
		return nil, err
	}
	text = append(text, '\n')
	if n := len(text) % padTo; n > 0 {
		text = append(text, bytes.Repeat([]byte{' '}, padTo-n)...)
	}
	to, err := age.NewScryptRecipient(passphrase)
	if err != nil {
		return nil, err
	}
	to.SetWorkFactor(work)
	var out bytes.Buffer
	w, err := age.Encrypt(&out, to)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(text); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// ErrPassphrase: the sealed part does not open with this passphrase.
var ErrPassphrase = errors.New("the sealed part does not open with this passphrase")

// maxSealed bounds what is read of a sealed part, in bytes.
const maxSealed = 4 << 20

// Open decrypts a sealed key. A wrong passphrase is [ErrPassphrase]; a sealed part that is damaged, or that asks for more
// work than [DefaultWork], is refused.
func Open(sealed []byte, passphrase string) (*Key, error) {
	id, err := age.NewScryptIdentity(passphrase)
	if err != nil {
		return nil, err
	}
	id.SetMaxWorkFactor(DefaultWork)
	r, err := age.Decrypt(bytes.NewReader(sealed), id)
	var wrong *age.NoIdentityMatchError
	switch {
	case errors.As(err, &wrong):
		return nil, ErrPassphrase
	case err != nil:
		return nil, fmt.Errorf("the sealed part is damaged: %w", err)
	}
	text, err := io.ReadAll(io.LimitReader(r, maxSealed))
	if err != nil {
		return nil, fmt.Errorf("the sealed part is damaged: %w", err)
	}
	return ParseKey(text)
}

// ParseKey reads a key in clear, as [Key.Clear] writes it.
func ParseKey(text []byte) (*Key, error) {
	d := json.NewDecoder(bytes.NewReader(bytes.TrimSpace(text)))
	d.DisallowUnknownFields()
	var k Key
	if err := d.Decode(&k); err != nil {
		return nil, fmt.Errorf("the key does not parse: %w", err)
	}
	if k.Format != keyFormat {
		return nil, fmt.Errorf("the key has the format %q, and %q would be right", k.Format, keyFormat)
	}
	return &k, nil
}

// Clear is the key in clear, for whoever marks again once the record is closed.
func (k *Key) Clear() ([]byte, error) {
	text, err := k.canonical()
	return append(text, '\n'), err
}
