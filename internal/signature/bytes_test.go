package signature

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/wiring"
)

var update = flag.Bool("update", false, "write testdata/bytes.txt anew")

// TestSameBytesEverywhere: what seeded instruments show on seeded faults is the same to the byte on every machine. The
// list was written on amd64; .ci/full runs this test built for arm64 under emulation. Values are written in full, so a
// single product that was fused into a sum would show.
func TestSameBytesEverywhere(t *testing.T) {
	of := copper(t)
	seeds := uint64(4)
	if *update || os.Getenv("WANDERLEAD_LONG") == "1" {
		seeds = 20
	}
	var list strings.Builder
	for seed := range seeds {
		for _, name := range rigNames {
			r := builtin(t, name)
			b, err := faults.Build(r, wiring.Usual(of), faults.Seeded(r, seed, 2, nil)...)
			if err != nil {
				t.Fatal(err)
			}
			h := sha256.New()
			for _, exact := range []bool{true, false} {
				o := Options{Wiring: wiring.Usual(of), Instrument: meter.Instrument{Seed: seed, Exact: exact}, Leads: meter.Nulled(0.08)}
				for i := range r.Circuits {
					s, err := Take(b, r.Circuits[i].ID, o)
					if err != nil {
						t.Fatal(err)
					}
					data, err := json.Marshal(s)
					if err != nil {
						t.Fatal(err)
					}
					h.Write(data)
					fmt.Fprintf(h, "%b", s.R1R2.Value)
					for _, n := range s.allNumbers() {
						fmt.Fprintf(h, " %b", n.Value)
					}
				}
			}
			fmt.Fprintf(&list, "%s %d %x\n", name, seed, h.Sum(nil)[:12])
		}
	}
	const file = "testdata/bytes.txt"
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(list.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.HasPrefix(want, []byte(list.String())) || seeds == 20 && len(want) != list.Len() {
		t.Errorf("the readings changed: read the diff after go test ./internal/signature -update\n%s", firstDifference(string(want), list.String()))
	}
}

func firstDifference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range x {
		if i >= len(y) || x[i] != y[i] {
			return x[i]
		}
	}
	return "more lines than before"
}

// allNumbers are the numbers of a signature, in order.
func (s *Signature) allNumbers() []Number {
	var all []Number
	add := func(ns ...*Number) {
		for _, n := range ns {
			if n != nil {
				all = append(all, *n)
			}
		}
	}
	if e := s.RingEnds; e != nil {
		add(&e.R1, &e.RN, &e.R2)
	}
	if c := s.RingCrossed; c != nil {
		all = append(append(all, c.LineNeutral...), c.LineCPC...)
	}
	add(s.R1R2, s.R2, s.Ze)
	if i := s.Insulation; i != nil {
		add(i.LN, i.LE, i.NE, i.LNE)
	}
	if s.Zs != nil {
		all = append(all, s.Zs.Values...)
	}
	if d := s.RCD; d != nil {
		add(&d.Half, &d.One, &d.Five, &d.RampMA)
	}
	return all
}
