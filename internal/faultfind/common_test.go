package faultfind

import (
	"bufio"
	"os"
	"strconv"
	"strings"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/rig"
	"wanderlead/sequences"
)

// copper reads the resistance per metre by size from IEC 60228, as kept in testdata/published/conductor_resistance.csv.
func copper(t testing.TB) func(float64) (float64, bool) {
	t.Helper()
	f, err := os.Open("../../testdata/published/conductor_resistance.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	table := map[float64]float64{}
	for in := bufio.NewScanner(f); in.Scan(); {
		cells := strings.Split(in.Text(), ",")
		if csa, err := strconv.ParseFloat(cells[0], 64); err == nil {
			mohm, err := strconv.ParseFloat(cells[1], 64)
			if err != nil {
				t.Fatal(err)
			}
			table[csa] = mohm / 1000
		}
	}
	return func(mm2 float64) (float64, bool) { v, ok := table[mm2]; return v, ok }
}

func builtin(t testing.TB, name string) *rig.Rig {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := rig.Load(lib, name)
	if err != nil {
		t.Fatal(err)
	}
	return r
}
