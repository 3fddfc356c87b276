package rig

import (
	"bufio"
	"bytes"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/quantity"
	"wanderlead/sequences"
)

const modeline = "# yaml-language-server: $schema=../schema/rig.schema.json\n"

// TestBuiltinCanonical: the built-in files are what Write gives, so that describe and they never differ by form.
func TestBuiltinCanonical(t *testing.T) {
	for name, r := range builtins(t) {
		data, err := sequences.FS.ReadFile("rigs/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		data = bytes.ReplaceAll(data, []byte("\r\n"), []byte("\n"))
		if want := modeline + string(Write(r)); string(data) != want {
			t.Errorf("%s is not in canonical form; written it would be:\n%s", name, want)
		}
	}
}

// TestBuiltinComplete: every reading that can be taken has its reference, and the setting says what is invented.
func TestBuiltinComplete(t *testing.T) {
	for name, r := range builtins(t) {
		if !strings.Contains(r.Setting, "invented") {
			t.Errorf("%s does not say that its readings are invented", name)
		}
		for _, id := range r.Readings() {
			if _, ok := r.ReferenceReading(id.ID); !ok {
				t.Errorf("%s has no reference reading %s", name, id.ID)
			}
		}
		if len(r.Faults) == 0 || r.Isolation.At != Upstream {
			t.Errorf("%s: %d faults, isolated at %s", name, len(r.Faults), r.Isolation.At)
		}
	}
	bay := builtins(t)["training-bay"]
	rings, radials, twoWay, fixed := []int{}, 0, 0, 0
	for _, c := range bay.Circuits {
		switch c.Shape {
		case Ring:
			rings = append(rings, len(c.Points))
		case Radial:
			radials++
		case Fixed:
			fixed++
		}
		if len(c.Switches) == 2 && c.Switches[0].TwoWay {
			twoWay++
		}
	}
	if len(bay.Circuits) < 8 || len(rings) != 2 || rings[0] != 8 || rings[1] != 6 || radials < 2 || twoWay == 0 || fixed == 0 || len(bay.Bars()) != 2 {
		t.Errorf("the training bay lost a part: rings %v, radials %d, two-way %d, fixed %d", rings, radials, twoWay, fixed)
	}
}

// copperOhmPerM reads the resistance of copper conductors at 20 °C from IEC 60228 Tables 1 to 3, as kept in
// testdata/published/conductor_resistance.csv. The table holds maxima: a real cable reads up to a few per cent lower.
func copperOhmPerM(t *testing.T) map[float64]float64 {
	t.Helper()
	f, err := os.Open("../../testdata/published/conductor_resistance.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	table := map[float64]float64{}
	for in := bufio.NewScanner(f); in.Scan(); {
		cells := strings.Split(in.Text(), ",")
		csa, err1 := strconv.ParseFloat(cells[0], 64)
		if err1 != nil || len(cells) < 2 {
			continue
		}
		mohm, err := strconv.ParseFloat(cells[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		table[csa] = mohm / 1000
	}
	if table[2.5] != 0.00741 || len(table) < 10 {
		t.Fatalf("the table was not read: %v", table)
	}
	return table
}

// TestReferenceFitsLengths: each commissioned reading is what the described cable gives: no more than the table's
// maximum plus 0.03 Ω of contacts, no less than 6 % below it less a digit.
func TestReferenceFitsLengths(t *testing.T) {
	perM := copperOhmPerM(t)
	checked := 0
	for name, r := range builtins(t) {
		near := func(id string, expected float64) {
			q, ok := r.ReferenceReading(id)
			if !ok || !q.IsNumber() || q.Value > expected+0.03 || q.Value < 0.94*expected-0.0101 {
				t.Errorf("%s %s: reference %s, from its lengths %.3f Ω", name, id, q, expected)
			}
			checked++
		}
		near("earthing", r.Earthing.ConductorM*perM[r.Earthing.ConductorMM2])
		for _, b := range r.Earthing.Bonds {
			near("bonding/"+b.ID, b.LengthM*perM[b.MM2])
		}
		ze, _ := r.ReferenceReading("ze")
		source := r.Supply.LineOhm + r.Supply.EarthOhm
		if e := r.Earthing.Electrode; e != nil {
			source += e.Ohm
		}
		if math.Abs(ze.Value-source) > 0.011 && math.Abs(ze.Value-source) > 0.01*source {
			t.Errorf("%s: Ze %s, source %.2f Ω", name, ze, source)
		}
		for i := range r.Circuits {
			c := &r.Circuits[i]
			line, cpc := perM[c.Cable.LineMM2], perM[c.Cable.CPCMM2]
			if c.Shape == Ring {
				checkRingReference(c, line, cpc, near)
			} else {
				for id, m := range routeM(c) {
					if len(c.Lines) < 2 {
						near(c.ID+"/continuity/"+id, m*(line+cpc))
						continue
					}
					for _, l := range c.Lines {
						near(c.ID+"/continuity/"+id+"-"+l, m*(line+cpc))
					}
				}
			}
			checkZsReference(t, name, r, c, ze.Value)
		}
	}
	if checked < 80 {
		t.Errorf("only %d readings compared", checked)
	}
}

// checkRingReference works out a ring by Ohm's law from its two ways round: with the ends crossed, a point sees two
// paths in parallel, each of one conductor one way and the other the other way.
func checkRingReference(c *Circuit, line, cpc float64, near func(string, float64)) {
	total := c.ReturnM
	for _, p := range c.Points {
		total += p.LengthM
	}
	near(c.ID+"/ends/r1", total*line)
	near(c.ID+"/ends/rn", total*line)
	near(c.ID+"/ends/r2", total*cpc)
	there := 0.0
	for _, p := range c.Points {
		there += p.LengthM
		back := total - there
		parallel := func(a, b float64) float64 { return 1 / (1/a + 1/b) }
		near(c.ID+"/crossed-line-neutral/"+p.ID, parallel(there*line+back*line, back*line+there*line))
		near(c.ID+"/crossed-line-cpc/"+p.ID, parallel(there*line+back*cpc, back*line+there*cpc))
	}
}

// routeM is the cable length from the board to each measured point of a circuit that is no ring, padding included.
func routeM(c *Circuit) map[string]float64 {
	at, before, out := map[string]float64{}, "", map[string]float64{}
	if c.Padding != nil {
		at[""] = c.Padding.StandsForM
	}
	for _, p := range c.Points {
		from := p.From
		if from == "" {
			from = before
		}
		at[p.ID] = at[from] + p.LengthM
		before = p.ID
		if p.Kind != Switchbox {
			out[p.ID] = at[p.ID]
		}
	}
	return out
}

// checkZsReference: Zs = Ze + (R1+R2), with R1+R2 as read on the same rig, and a few hundredths for plug and lead.
func checkZsReference(t *testing.T, name string, r *Rig, c *Circuit, ze float64) {
	for _, p := range c.Points {
		if !p.PlugIn {
			continue
		}
		test := "/continuity/"
		if c.Shape == Ring {
			test = "/crossed-line-cpc/"
		}
		r1r2, _ := r.ReferenceReading(c.ID + test + p.ID)
		zs, ok := r.ReferenceReading(c.ID + "/zs/" + p.ID)
		slack := 0.05 + 0.01*ze
		if c.Shape == Ring { // live, both conductors are fed from both ends: lower than the crossed reading near the board
			slack += 0.2 * r1r2.Value
		}
		if !ok || zs.Unit != quantity.Ohm || math.Abs(zs.Value-ze-r1r2.Value) > slack && zs.Value > ze+r1r2.Value ||
			zs.Value < ze-0.02 {
			t.Errorf("%s %s at %s: Zs %s, Ze %.2f, R1+R2 %s", name, c.ID, p.ID, zs, ze, r1r2)
		}
	}
}

func TestRepeatsDiffer(t *testing.T) {
	for name, r := range builtins(t) {
		for _, ref := range r.Reference.Readings {
			if len(ref.Values) != Repeats {
				t.Errorf("%s %s has %d repeats", name, ref.At, len(ref.Values))
			}
			middle, _ := r.ReferenceReading(ref.At)
			low, high := math.Inf(1), math.Inf(-1)
			for _, raw := range ref.Values {
				q, err := quantity.Parse(raw, middle.Unit)
				if err != nil {
					t.Errorf("%s %s: %v", name, ref.At, err)
				} else if q.IsNumber() {
					low, high = min(low, q.Value), max(high, q.Value)
				}
			}
			if digit := map[quantity.Unit]float64{quantity.Volt: 1}[middle.Unit]; high > low+0.05+0.2*high+digit {
				t.Errorf("%s %s: repeats %v differ too much", name, ref.At, ref.Values)
			}
		}
	}
}

func TestLoadSaysWhichRigsThereAre(t *testing.T) {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		"training-bai": `did you mean "training-bay"?`, "zzzzzzzzzzzz": "known here: ", "../training-bay": "hint: ", "": "hint: ",
	} {
		if _, err := Load(lib, name); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", name, err, want)
		}
	}
}

func BenchmarkLoad(b *testing.B) {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := Load(lib, "training-bay"); err != nil {
			b.Fatal(err)
		}
	}
}
