package seal

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

func someKey(t *testing.T, salt string) *Key {
	t.Helper()
	return &Key{Session: "s1", Paper: "ring-dead", Setting: "alone", Salt: salt, Seed: 7,
		Draw: []Planted{{Name: "open-cpc", Kind: "F01", Circuit: "ring-1"}}, Answers: []Answer{{ID: "ring-1/ends/r1", Raw: "0.39", Sound: "0.39"}}}
}

func TestSealedPartOpensWithItsPassphraseOnly(t *testing.T) {
	salt, err := NewSalt(strings.NewReader(strings.Repeat("k", 32)))
	if err != nil {
		t.Fatal(err)
	}
	k := someKey(t, salt)
	sealed, err := Seal(k, "grey heron", 8)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(sealed, "grey herons"); !errors.Is(err, ErrPassphrase) {
		t.Errorf("another passphrase: %v", err)
	}
	got, err := Open(sealed, "grey heron")
	if err != nil {
		t.Fatal(err)
	}
	c, err := k.Commitment()
	if err != nil {
		t.Fatal(err)
	}
	if !got.Holds(c) {
		t.Error("the key that was sealed does not hold its commitment")
	}
	got.Draw[0].Kind = "F02"
	if got.Holds(c) {
		t.Error("another draw holds the same commitment")
	}
	for i := range sealed {
		if i > 300 && i%4099 != 0 { // the payload is one authenticated block after another
			continue
		}
		bad := bytes.Clone(sealed)
		bad[i] ^= 1
		if _, err := Open(bad, "grey heron"); err == nil {
			t.Fatalf("byte %d changed and the sealed part opened", i)
		}
	}
}

func TestLengthTellsNothing(t *testing.T) {
	salt := strings.Repeat("ab", 32)
	one, two := someKey(t, salt), someKey(t, salt)
	two.Draw = append(two.Draw, Planted{Name: "loose-neutral", Plant: strings.Repeat("behind the wall ", 60)})
	two.Answers = append(two.Answers, Answer{ID: "ring-1/ends/r2", Raw: ">1999"})
	a, err := Seal(one, "x", 8)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Seal(two, "x", 8)
	if err != nil {
		t.Fatal(err)
	}
	if len(a) != len(b) {
		t.Errorf("%d and %d bytes", len(a), len(b))
	}
}

// The format is that of OpenSSH (PROTOCOL.sshsig); ssh-keygen is the reference.
func TestSignatureIsOneThatOpenSSHVerifies(t *testing.T) {
	private, public, err := NewSigningKey("assessor", "tide table")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := ParseSigner(private, "wrong"); !errors.Is(err, ErrKeyLocked) {
		t.Errorf("wrong passphrase: %v", err)
	}
	signer, err := ParseSigner(private, "tide table")
	if err != nil {
		t.Fatal(err)
	}
	message := []byte("one line\nand another\n")
	sig, err := Sign(signer, message)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Verify(message, sig, public); err != nil {
		t.Error(err)
	}
	_, other, err := NewSigningKey("somebody", "")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Verify(message, sig, other); !errors.Is(err, ErrSignature) {
		t.Errorf("another assessor's key: %v", err)
	}
	for i := range sig {
		bad := bytes.Clone(sig)
		bad[i] ^= 1
		if _, err := Verify(message, bad, public); err == nil {
			t.Fatalf("byte %d of the signature changed and it still holds", i)
		}
	}
	tool, err := exec.LookPath("ssh-keygen")
	if err != nil {
		t.Skip("no ssh-keygen here; the rest was checked")
	}
	dir := t.TempDir()
	write := func(name string, data []byte) string {
		p := filepath.Join(dir, name)
		if err := os.WriteFile(p, data, 0o600); err != nil {
			t.Fatal(err)
		}
		return p
	}
	allowed, s := write("allowed", []byte("assessor "+public)), write("m.sig", sig)
	verify := func(message []byte) error {
		cmd := exec.Command(tool, "-Y", "verify", "-f", allowed, "-I", "assessor", "-n", Namespace, "-s", s)
		cmd.Stdin = bytes.NewReader(message)
		return cmd.Run()
	}
	if err := verify(message); err != nil {
		t.Errorf("ssh-keygen -Y verify refuses it: %v", err)
	}
	if err := verify(append(message, 'x')); err == nil {
		t.Error("ssh-keygen -Y verify takes a changed message")
	}
}
