package app

import (
	"bytes"
	"fmt"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"wanderlead/internal/assess/exam"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/journal"
)

// differing is what differs between two candidates whatever is drawn: ids, random names,
// hashes of codes and of lines, times.
var differing = regexp.MustCompile(`C-[0-9]+|[0-9a-f]{16,64}|"crc":"[0-9a-f]{8}"|20[0-9-]{8}T[0-9:]+Z`)

func withoutOwn(b *bay, s string) string {
	return differing.ReplaceAllString(strings.ReplaceAll(s, b.dir, ""), "#")
}

// The candidate's side tells nothing of the draw: with the same answers, right or wrong,
// two candidates with different faults see the same screens, refusals, exit status and
// JSON, and leave the same open record.
func TestTheCandidatesSideRevealsNothing(t *testing.T) {
	d := day{passphrase: "tide tables and herons", code: "heron-77"}
	for _, setting := range paper.Settings {
		for _, say := range []map[string][]string{
			nil,
			{"safety/board/indicator": {"pen"}, "ring-1/ends": {"many", "0.40 0.40", "0.40 0.40 >99.9"}, "state/ring-1/ends": {"fail"}, "ring-1/insulation/voltage": {"250 V"}},
		} {
			b := newBay(t)
			pass := b.write("pass", d.passphrase+"\n")
			var seen []string
			draws := map[string]bool{}
			for n := 1; len(seen) < 2 && n < 9; n++ {
				id := fmt.Sprintf("C-%02d", n)
				b.must("assess", "prepare", "ring-dead", "--candidates", id, "--setting", string(setting), "--dir", b.path("day"), "--passphrase-file", pass, "--rehearsal", "--seal-work", "6")
				k := b.key("day/"+id+".jsonl", d.passphrase)
				if draws[fmt.Sprint(k.Draw)] {
					continue
				}
				draws[fmt.Sprint(k.Draw)] = true
				seen = append(seen, b.side(id, setting, say, d, pass))
			}
			if len(seen) < 2 {
				t.Fatal("no two draws differ")
			}
			if seen[0] != seen[1] {
				t.Errorf("%s: two draws can be told apart:\n%s", setting, firstDifference(seen[0], seen[1]))
			}
		}
	}
}

// side is everything on a candidate's side of one sitting. What the computed instrument
// shows is the one thing that has to differ.
func (b *bay) side(id string, setting paper.Setting, say map[string][]string, d day, pass string) string {
	b.t.Helper()
	record := "day/" + id + ".jsonl"
	// The answers are those of a sound rig for everybody, so that nothing of the draw
	// comes in by what is typed.
	lines, err := journal.ReadFile(b.path(record))
	if err != nil {
		b.t.Fatal(err)
	}
	e, err := exam.FromHeader(lines[0].Header)
	if err != nil {
		b.t.Fatal(err)
	}
	sound := e.Paper.Pools
	e.Paper.Pools = nil
	k, err := truth.Of(e.Content, paper.Observed, 1)
	if err != nil {
		b.t.Fatal(err)
	}
	e.Paper.Pools = sound
	answers := b.answersWith(e, lines[0].Header, k, dayCandidate{id: id, setting: string(setting), say: say}, d)
	code, out, errs := b.run("assess", "sit", b.path(record), "--answers", answers, "--passphrase-file", pass, "--json")
	if code != ExitDone {
		b.t.Errorf("%s: exit %d, %s", id, code, errs)
	}
	open := string(b.read(record))
	for _, word := range []string{`"seed"`, `"draw"`, `"shown"`, "salt"} {
		if strings.Contains(open, word) {
			b.t.Errorf("the open record holds %s", word)
		}
	}
	screens := regexp.MustCompile(`(?m)^The instrument shows:.*(\n[^\n]*)?`).ReplaceAllString(errs, "shown")
	clock := regexp.MustCompile(`[0-9]+ of 75 min used`).ReplaceAllString(screens, "")
	mark, _, _ := b.run("assess", "mark", b.path(record))
	return withoutOwn(b, fmt.Sprintf("exit %d, marking without the key %d\n%s\n%s\n%s", code, mark, out, clock, open))
}

func firstDifference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range x {
		if i >= len(y) || x[i] != y[i] {
			return fmt.Sprintf("%.600s\n%.600s", x[i], strings.Join(y[min(i, len(y)):min(i+1, len(y))], ""))
		}
	}
	return "one is longer"
}

// The exam itself never sees the key, so that neither a refusal nor its timing can
// depend on it.
func TestTheSittingKnowsNoKey(t *testing.T) {
	files, err := filepath.Glob("../assess/sitting/*.go")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	for _, f := range files {
		src, err := parser.ParseFile(token.NewFileSet(), f, nil, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range src.Imports {
			for _, bad := range []string{"assess/seal", "internal/faults", "internal/meter", "internal/signature"} {
				if strings.Contains(i.Path.Value, bad) && !strings.HasSuffix(f, "_test.go") {
					t.Errorf("%s imports %s", f, i.Path.Value)
				}
			}
		}
	}
	_ = sitting.Setup{}
}

// Trying every draw of the paper, with its seed and every reference answer known,
// against the commitment fails without the salt: with none, with an obvious one, and with
// the commitment's own bytes.
func TestBruteForceAgainstTheCommitmentFails(t *testing.T) {
	b := newBay(t)
	pass := b.write("pass", "tide tables and herons\n")
	b.must("assess", "prepare", "ring-dead", "--candidates", "C-01", "--setting", "alone", "--dir", b.path("day"), "--passphrase-file", pass, "--seal-work", "6")
	lines, err := journal.ReadFile(b.path("day/C-01.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	h := lines[0].Header
	e, err := exam.FromHeader(h)
	if err != nil {
		t.Fatal(err)
	}
	real := b.key("day/C-01.jsonl", "tide tables and herons")
	commitment := h.Fields["commitment"]
	if !real.Holds(commitment) {
		t.Fatal("the key itself does not hold")
	}
	zeros := strings.Repeat("0", 64)
	seen := map[string]bool{}
	for seed := uint64(0); len(seen) < e.Paper.Draws(); seed++ {
		if draw := fmt.Sprint(e.Paper.Draw(seed)); seen[draw] {
			continue
		} else {
			seen[draw] = true
		}
		k, err := truth.Of(e.Content, paper.Alone, seed)
		if err != nil {
			t.Fatal(err)
		}
		try(t, *k, h, commitment, zeros)
		k.Draw, k.Answers = real.Draw, real.Answers
		try(t, *k, h, commitment, zeros)
	}
	// Even the very key, all but its salt.
	try(t, *real, h, commitment, zeros)
}

func try(t *testing.T, k seal.Key, h *journal.Header, commitment, zeros string) {
	t.Helper()
	k.Session = h.Session
	for _, salt := range []string{"", zeros, commitment, h.Fields["sealed_sha256"], (h.Session + zeros)[:64]} {
		k.Salt = salt
		if k.Holds(commitment) {
			t.Fatalf("a guess holds with the salt %q", salt)
		}
	}
}

// Every byte of a signed record changed in turn is found, and lines removed, swapped,
// doubled, cut off.
func TestEveryChangeOfASealedRecordIsFound(t *testing.T) {
	b, d := newBay(t), day{passphrase: "tide tables and herons", code: "heron-77", paper: "radial-insulation"}
	pass := b.write("pass", d.passphrase+"\n")
	b.must("assess", "key", "--out", b.path("assessor"), "--passphrase-file", pass)
	b.must("assess", "prepare", d.paper, "--candidates", "C-01", "--setting", "observed", "--dir", b.path("day"), "--passphrase-file", pass, "--rehearsal", "--seal-work", "6")
	c := dayCandidate{id: "C-01", setting: "observed"}
	record := b.path("day/C-01.jsonl")
	b.must("assess", "sit", record, "--answers", b.answers("day/C-01.jsonl", c, d)[0], "--passphrase-file", pass, "--key", b.path("assessor"))
	good, sig, public := b.read("day/C-01.jsonl"), b.read("day/C-01.jsonl.sig"), string(b.read("assessor.pub"))
	if _, err := seal.Verify(good, sig, public); err != nil {
		t.Fatal(err)
	}
	bad := bytes.Clone(good)
	for i := range bad {
		bad[i] ^= 1 << (i % 8)
		if _, err := seal.Verify(bad, sig, public); err == nil {
			t.Fatalf("byte %d changed and the signature holds", i)
		}
		bad[i] = good[i]
	}
	lines := bytes.SplitAfter(bytes.TrimSuffix(good, []byte("\n")), []byte("\n"))
	join := func(ls ...[]byte) []byte { return bytes.Join(ls, nil) }
	n := len(lines)
	for name, changed := range map[string][]byte{
		"removed":   join(append(append([][]byte{}, lines[:n/2]...), lines[n/2+1:]...)...),
		"swapped":   join(append(append(append([][]byte{}, lines[:4]...), lines[5], lines[4]), lines[6:]...)...),
		"doubled":   join(append(append(append([][]byte{}, lines[:5]...), lines[4]), lines[5:]...)...),
		"cut off":   join(lines[:n-1]...),
		"torn":      good[:len(good)-9],
		"longer":    append(bytes.Clone(good), '\n'),
		"no header": join(lines[1:]...),
	} {
		if err := os.WriteFile(record, changed, 0o600); err != nil {
			t.Fatal(err)
		}
		if code, out, _ := b.run("assess", "evidence", record, "--signer", b.path("assessor.pub")); code != ExitNo {
			t.Errorf("%s: exit %d, %s", name, code, out)
		}
	}
	if err := os.WriteFile(record, good, 0o600); err != nil {
		t.Fatal(err)
	}
	b.must("assess", "evidence", record, "--signer", b.path("assessor.pub"))
	b.must("assess", "evidence", record)
	// Another assessor's key, another sealed part, no signature.
	b.must("assess", "key", "--out", b.path("other"), "--passphrase-file", pass)
	if code, _, _ := b.run("assess", "evidence", record, "--signer", b.path("other.pub")); code != ExitNo {
		t.Errorf("another key: exit %d", code)
	}
	sealed := b.read("day/C-01.key.age")
	sealed[len(sealed)-1] ^= 1
	b.write("day/C-01.key.age", string(sealed))
	if code, _, _ := b.run("assess", "evidence", record); code != ExitNo {
		t.Errorf("another sealed part: exit %d", code)
	}
	if err := os.Remove(record + ".sig"); err != nil {
		t.Fatal(err)
	}
	if code, _, _ := b.run("assess", "evidence", record); code != ExitNo {
		t.Errorf("no signature: exit %d", code)
	}
}
