package seal

import (
	"bytes"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha512"
	"encoding/base64"
	"encoding/pem"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/crypto/ssh"
)

// Namespace says in every signature what it is for, so that one made for something else
// does not pass here.
const Namespace = "wanderlead-exam"

const (
	sigMagic   = "SSHSIG"
	sigVersion = 1
	sigHash    = "sha512"
	armorBegin = "-----BEGIN SSH SIGNATURE-----\n"
	armorEnd   = "-----END SSH SIGNATURE-----\n"
	armorWidth = 70
)

// sigBlob is the signature's binary form after the magic bytes (OpenSSH,
// PROTOCOL.sshsig).
type sigBlob struct {
	Version                                         uint32
	PublicKey, Namespace, Reserved, Hash, Signature string
}

// signedData is what is signed, after the magic bytes.
type signedData struct{ Namespace, Reserved, Hash, Digest string }

func toSign(message []byte) []byte {
	sum := sha512.Sum512(message)
	return append([]byte(sigMagic), ssh.Marshal(signedData{Namespace, "", sigHash, string(sum[:])})...)
}

// NewSigningKey makes an Ed25519 key for an assessor: the private part encrypted to the
// passphrase (in clear when it is empty) in OpenSSH's format, the public part as one line.
func NewSigningKey(comment, passphrase string) (private []byte, public string, err error) {
	pub, key, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		return nil, "", err
	}
	var block *pem.Block
	if passphrase == "" {
		block, err = ssh.MarshalPrivateKey(key, comment)
	} else {
		block, err = ssh.MarshalPrivateKeyWithPassphrase(key, comment, []byte(passphrase))
	}
	if err != nil {
		return nil, "", err
	}
	sshPub, err := ssh.NewPublicKey(pub)
	if err != nil {
		return nil, "", err
	}
	line := strings.TrimSpace(string(ssh.MarshalAuthorizedKey(sshPub)))
	return pem.EncodeToMemory(block), line + " " + comment + "\n", nil
}

// ErrKeyLocked: the signing key is encrypted and the passphrase does not open it.
var ErrKeyLocked = errors.New("the signing key does not open with this passphrase")

// ParseSigner reads a private Ed25519 key in OpenSSH's format.
func ParseSigner(private []byte, passphrase string) (ssh.Signer, error) {
	raw, err := ssh.ParseRawPrivateKey(private)
	var missing *ssh.PassphraseMissingError
	if errors.As(err, &missing) {
		raw, err = ssh.ParseRawPrivateKeyWithPassphrase(private, []byte(passphrase))
		if err != nil {
			return nil, ErrKeyLocked
		}
	}
	if err != nil {
		return nil, fmt.Errorf("the signing key does not parse: %w", err)
	}
	if _, ok := raw.(*ed25519.PrivateKey); !ok {
		return nil, errors.New("the signing key is no Ed25519 key; ssh-keygen -t ed25519 makes one")
	}
	return ssh.NewSignerFromKey(raw)
}

// Sign signs a message and returns the armoured signature.
func Sign(signer ssh.Signer, message []byte) ([]byte, error) {
	sig, err := signer.Sign(rand.Reader, toSign(message))
	if err != nil {
		return nil, err
	}
	blob := append([]byte(sigMagic), ssh.Marshal(sigBlob{sigVersion, string(signer.PublicKey().Marshal()), Namespace, "", sigHash, string(ssh.Marshal(sig))})...)
	return armor(blob), nil
}

func armor(blob []byte) []byte {
	var b bytes.Buffer
	b.WriteString(armorBegin)
	text := base64.StdEncoding.EncodeToString(blob)
	for len(text) > armorWidth {
		b.WriteString(text[:armorWidth] + "\n")
		text = text[armorWidth:]
	}
	b.WriteString(text + "\n" + armorEnd)
	return b.Bytes()
}

// ErrSignature: the signature is not one of this key over this message.
var ErrSignature = errors.New("the signature does not hold")

// Verify checks an armoured signature over a message. public is the assessor's public
// key as one line; empty accepts any key. It returns the line of the key that signed.
func Verify(message, signature []byte, public string) (signedBy string, err error) {
	text, ok := strings.CutPrefix(string(signature), armorBegin)
	if ok {
		text, ok = strings.CutSuffix(text, armorEnd)
	}
	if !ok {
		return "", fmt.Errorf("%w: it is not in the form that is written here", ErrSignature)
	}
	blob, err := base64.StdEncoding.DecodeString(strings.ReplaceAll(text, "\n", ""))
	if err != nil || !bytes.Equal(armor(blob), signature) || !bytes.HasPrefix(blob, []byte(sigMagic)) {
		return "", fmt.Errorf("%w: it is not in the form that is written here", ErrSignature)
	}
	var b sigBlob
	if err := ssh.Unmarshal(blob[len(sigMagic):], &b); err != nil {
		return "", fmt.Errorf("%w: %v", ErrSignature, err)
	}
	key, err := ssh.ParsePublicKey([]byte(b.PublicKey))
	if err != nil {
		return "", fmt.Errorf("%w: %v", ErrSignature, err)
	}
	var sig ssh.Signature
	if err := ssh.Unmarshal([]byte(b.Signature), &sig); err != nil {
		return "", fmt.Errorf("%w: %v", ErrSignature, err)
	}
	if b.Version != sigVersion || b.Namespace != Namespace || b.Reserved != "" || b.Hash != sigHash || key.Type() != ssh.KeyAlgoED25519 {
		return "", fmt.Errorf("%w: it is of another kind or for another purpose", ErrSignature)
	}
	if err := key.Verify(toSign(message), &sig); err != nil {
		return "", ErrSignature
	}
	signedBy = strings.TrimSpace(string(ssh.MarshalAuthorizedKey(key)))
	if public != "" && !sameKey(public, key) {
		return signedBy, fmt.Errorf("%w: another key than the assessor's signed it", ErrSignature)
	}
	return signedBy, nil
}

func sameKey(line string, key ssh.PublicKey) bool {
	k, _, _, _, err := ssh.ParseAuthorizedKey([]byte(line))
	return err == nil && bytes.Equal(k.Marshal(), key.Marshal())
}
