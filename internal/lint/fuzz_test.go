package lint

import (
	"path/filepath"
	"strings"
	"testing"

	"wanderlead/internal/edition"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// FuzzSequence feeds whatever to parser, unroller and check. Nothing panics, every complaint has its place in the file,
// what unrolls is bounded, and no program passes a gate without every test that the gate needs.
func FuzzSequence(f *testing.F) {
	lib := library(f, "")
	names, err := sequence.Names(lib)
	if err != nil {
		f.Fatal(err)
	}
	for _, n := range names {
		data, err := lib.Read(n + ".yaml")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	for _, pattern := range []string{"good/*.yaml", "bad/*/*.yaml"} {
		files, _ := filepath.Glob(filepath.Join(fixtures, pattern))
		for _, file := range files {
			f.Add(readFile(f, file))
		}
	}
	pack, err := edition.Load(lib, "")
	if err != nil {
		f.Fatal(err)
	}
	r := fixtureRig(f, "one-radial")
	find := sequence.NewFinder(lib)
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := sequence.Parse("fuzz.yaml", data)
		if err != nil {
			return
		}
		p, _ := sequence.Unroll(s, r, sequence.Declared, find)
		if len(p.Steps) > 10_000 {
			t.Fatalf("%d steps", len(p.Steps))
		}
		ps := QuickFrom(find, s, r, sequence.Declared, pack)
		for _, x := range ps {
			if x.Line < 1 || strings.ContainsAny(x.Message, "\x1b\x00") {
				t.Fatalf("no place, or not printable: %q", x.Error.Error())
			}
		}
		if len(ps.Bad()) == 0 {
			gatesNeedTests(t, p)
		}
	})
}

// gatesNeedTests says by itself, not by the check, what stands before the first gate of a program that is not from a
// record: the tests of BS 7671 643.2, 643.3 and 643.6 at the one circuit, and the earthing.
func gatesNeedTests(t *testing.T, p *sequence.Program) {
	seen := map[string]bool{}
	for i := range p.Steps {
		st := &p.Steps[i]
		if st.Test >= 0 {
			seen[p.Tests[st.Test].Name] = true
		}
		if !st.Want.Kind.IsGate() || p.Seq.FromRecord {
			continue
		}
		if !seen[safety.TestContinuity] && !seen[safety.TestLongLead] || !seen[safety.TestInsulation] || !seen[safety.TestPolarity] ||
			!seen[safety.TestEarthing] || !seen[safety.TestInspection] {
			t.Fatalf("a gate after %v only", seen)
		}
		return
	}
}

// TestIncludesAreBounded: files that include others twice at every level, or themselves by a way round, end with a
// complaint and not with the machine.
func TestIncludesAreBounded(t *testing.T) {
	dir := t.TempDir()
	level := func(n, inc string) {
		put(t, dir, n+".yaml", "sequence: "+n+"\ntitle: A\nsteps:\n"+strings.Repeat("  - include: "+inc+"\n", 8))
	}
	level("a0", "a1")
	level("a1", "a2")
	level("a2", "a3")
	level("a3", "a4")
	level("a4", "a5")
	level("a5", "finish")
	put(t, dir, "top.yaml", "sequence: top\ntitle: A\nstages:\n  - stage: a\n    title: A\n    steps:\n      - include: a0\n")
	lib := library(t, dir)
	s := loadSeq(t, lib, "top")
	p, problems := sequence.Unroll(s, fixtureRig(t, "one-radial"), sequence.Declared, sequence.NewFinder(lib))
	if len(p.Steps) > 10_000 || len(problems) == 0 || len(problems) > 201 {
		t.Errorf("%d steps, %d problems", len(p.Steps), len(problems))
	}
	bounded := false
	for _, x := range problems {
		bounded = bounded || strings.Contains(x.Text, "unrolls to more than")
	}
	// The complaint about the size must not be lost among those about what is there twice.
	if !bounded {
		t.Errorf("nothing is said about the size: %v", problems[0])
	}
}
