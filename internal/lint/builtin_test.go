package lint

import (
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/sequences"
)

func library(t testing.TB, dir string) *content.Library {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { lib.Close() })
	return lib
}

func loadSeq(t testing.TB, lib *content.Library, name string) *sequence.Sequence {
	t.Helper()
	s, err := sequence.Load(lib, name)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func loadRig(t testing.TB, lib *content.Library, name string) *rig.Rig {
	t.Helper()
	r, err := rig.Load(lib, name)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestBuiltinsPassQuick(t *testing.T) {
	lib := library(t, "")
	names, err := sequence.Names(lib)
	if err != nil {
		t.Fatal(err)
	}
	rigs, err := rig.Names(lib)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		s := loadSeq(t, lib, name)
		if !s.Whole() {
			continue
		}
		fits := 0
		for _, rn := range rigs {
			r := loadRig(t, lib, rn)
			for _, o := range Origins(s, r) {
				ps := Quick(lib, s, r, o)
				if ps.Unfit() {
					continue
				}
				fits++
				for _, p := range ps {
					if p.Remark {
						t.Logf("%s on %s, %s: %v", name, rn, o, p.Error)
					} else {
						t.Errorf("%s on %s, %s: %v", name, rn, o, p.Error)
					}
				}
			}
		}
		if fits == 0 {
			t.Errorf("%s fits no built-in rig", name)
		}
	}
}
