package draw_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wanderlead/internal/content"
	"wanderlead/internal/draw"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/study"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

func say(t testing.TB) draw.Say {
	t.Helper()
	cat, err := words.Load(library(t), "en")
	if err != nil {
		t.Fatal(err)
	}
	return func(id string, kv ...string) string {
		m := map[string]string{}
		for i := 0; i+1 < len(kv); i += 2 {
			m[kv[i]] = kv[i+1]
		}
		s, err := cat.Fill(id, m)
		if err != nil {
			t.Error(err)
		}
		return s
	}
}

func library(t testing.TB) *content.Library {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

func load(t testing.TB, name string) *rig.Rig {
	t.Helper()
	r, err := rig.Load(library(t), name)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func ohm(raw string) quantity.Reading {
	r, err := quantity.Parse(raw, quantity.Ohm)
	if err != nil {
		panic(err)
	}
	return r
}

func text(p draw.Picture, ascii bool) string {
	var b strings.Builder
	for _, r := range draw.Rows(p, ascii) {
		b.WriteString(r.String() + "\n")
	}
	return b.String()
}

var update = flag.Bool("update", false, "write the golden files anew")

// TestGolden holds every kind of drawing at the widths that are promised, with the
// characters of a terminal without Unicode, and in words.
func TestGolden(t *testing.T) {
	for _, w := range []int{78, 60, 40} {
		for _, how := range []string{"", "-ascii", "-words"} {
			name := fmt.Sprintf("testdata/%d%s.txt", w, how)
			if how == "-words" {
				if w != 78 {
					continue
				}
				name = "testdata/words.txt"
			}
			t.Run(name, func(t *testing.T) {
				o := draw.Options{W: w, ASCII: how == "-ascii", Say: say(t)}
				var b strings.Builder
				for i, p := range samples(t, o) {
					fmt.Fprintf(&b, "---- %s %d\n", p.Name, i+1)
					if how == "-words" {
						b.WriteString(strings.Join(p.Words, "\n") + "\n")
					} else {
						b.WriteString(text(p, o.ASCII))
					}
				}
				got := b.String()
				if *update {
					if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
						t.Fatal(err)
					}
				}
				want, err := os.ReadFile(name)
				if err != nil {
					t.Fatal(err)
				}
				if got != string(want) {
					t.Errorf("%s differs\nhint: look at the change, then run the test with -update\n%s", name, got)
				}
			})
		}
	}
}

// TestWithin holds drawings of rigs that a seed makes to what a picture promises: no wider
// than asked for, nothing outside it, no label over another, the same bytes each time,
// nothing but ASCII where that is asked for.
func TestWithin(t *testing.T) {
	words := say(t)
	bases := []string{"training-bay", "winch-workshop", "rigging-store", "slip-outbuilding", "reference"}
	rapid.Check(t, func(t *rapid.T) {
		r := rigs(rapid.SampledFrom(bases).Draw(t, "rig"), rapid.Uint64Range(0, 40).Draw(t, "seed"))
		o := draw.Options{W: rapid.IntRange(40, 120).Draw(t, "width"), ASCII: rapid.Bool().Draw(t, "ascii"), Say: words}
		c := &r.Circuits[rapid.IntRange(0, len(r.Circuits)-1).Draw(t, "circuit")]
		view := draw.BoardView{Rig: r, This: c, Bar: rapid.Bool().Draw(t, "bar"), Alone: rapid.Bool().Draw(t, "alone"), Out: map[string]bool{c.ID + "/N": true, c.ID + "/L": rapid.Bool().Draw(t, "line")},
			Off: map[string]bool{c.ID: rapid.Bool().Draw(t, "off")}, Leads: []draw.Lead{{Letter: "A", At: c.ID + "/way/L"}, {Letter: "B", At: "board/bar/" + r.BarOf(c)}}}
		pictures := []draw.Picture{draw.Board(o, view), draw.Circuit(o, r, c)}
		if c.Shape == rig.Ring {
			v := draw.RingView{Circuit: c, Low: 0.1, High: 0.3, Readings: map[string]quantity.Reading{}}
			for i := range c.Points {
				v.Readings[c.Points[i].ID] = ohm(rapid.SampledFrom([]string{"0.02", "0.20", "0.31", ">99.9", "12.4"}).Draw(t, "reading"))
			}
			pictures = append(pictures, draw.Ring(o, v))
		}
		value := rapid.SampledFrom([]string{"0.00", "0.01", "1.09", "250", ">299", "1999"}).Draw(t, "value")
		pictures = append(pictures, draw.Scale(o, draw.ScaleView{Reading: ohm(value), Unit: quantity.Ohm, Spread: 0.04, Log: rapid.Bool().Draw(t, "log"), Expected: 0.6, Text: "expected 0.60 Ω",
			Limits: []draw.Edge{{Value: 1.09, Most: true, Text: "at most 1.09 Ω, as the table of the standard has it at 80 %"}}}))
		pictures = append(pictures, draw.Cycle(o, draw.Half{Degrees: 0, Text: "0°"}, draw.Half{Degrees: 180, Text: "180°"}))
		for _, p := range pictures {
			within(t, o, p)
		}
	})
}

func within(t *rapid.T, o draw.Options, p draw.Picture) {
	if p.W > o.W {
		t.Fatalf("%s is %d columns wide where %d were asked for\n%s", p.Name, p.W, o.W, text(p, o.ASCII))
	}
	used := map[[2]int]string{}
	for _, l := range p.Labels {
		for x := l.X; x < l.X+draw.Cells(l.Text); x++ {
			if other, taken := used[[2]int{x, l.Y}]; taken {
				t.Fatalf("%s: %q runs over %q\n%s", p.Name, l.Text, other, text(p, o.ASCII))
			}
			used[[2]int{x, l.Y}] = l.Text
			if x < 0 || x >= p.W || l.Y < 0 || l.Y >= p.H {
				t.Fatalf("%s: %q stands outside", p.Name, l.Text)
			}
		}
	}
	for _, m := range p.Marks {
		if other, taken := used[[2]int{m.X, m.Y}]; taken {
			t.Fatalf("%s: a mark at %d,%d over %q\n%s", p.Name, m.X, m.Y, other, text(p, o.ASCII))
		}
	}
	got := text(p, o.ASCII)
	for _, r := range got {
		if o.ASCII && (r > 0x7e || r == '?') {
			t.Fatalf("%s: %q is not ASCII\n%s", p.Name, r, got)
		}
	}
	if got != text(p, o.ASCII) || len(p.Words) == 0 {
		t.Fatalf("%s: no words, or other bytes the second time", p.Name)
	}
}

var rigCache = map[string]*rig.Rig{}

// rigs is a built-in rig, or for a seed other than 0 one that the seed makes of it.
func rigs(name string, seed uint64) *rig.Rig {
	base := rigCache[name]
	if base == nil {
		lib, err := content.NewLibrary(sequences.FS, "")
		if err != nil {
			panic(err)
		}
		if base, err = rig.Load(lib, name); err != nil {
			panic(err)
		}
		rigCache[name] = base
	}
	if seed == 0 {
		return base
	}
	return study.Made(base, seed)
}

// TestScalePlaces: a reading stands over its limit when it is at it, left of it below and
// right of it above, on both kinds of scale; what is over range stands at the right end.
func TestScalePlaces(t *testing.T) {
	for _, c := range []struct {
		value string
		log   bool
		want  int
	}{
		{"0.50", false, -1}, {"1.09", false, 0}, {"1.20", false, 1}, {"0.05", true, -1}, {"1.09", true, 0}, {"50", true, 1}, {">299", true, 1}, {">299", false, 1},
	} {
		p := draw.Scale(draw.Options{W: 78, Say: say(t)}, draw.ScaleView{Reading: ohm(c.value), Unit: quantity.Ohm, Log: c.log, Limits: []draw.Edge{{Value: 1.09, Most: true, Text: "limit"}}})
		reading, limit := -1, -1
		for _, m := range p.Marks {
			switch m.Y {
			case 1:
				reading = m.X
			case 2:
				limit = m.X
			}
		}
		got := 0
		if reading < limit {
			got = -1
		} else if reading > limit {
			got = 1
		}
		if got != c.want {
			t.Errorf("%s on a scale with a limit at 1.09 (log %v): column %d, limit at %d\n%s", c.value, c.log, reading, limit, text(p, false))
		}
	}
}

func samples(t testing.TB, o draw.Options) []draw.Picture {
	bay := load(t, "training-bay")
	ring := &bay.Circuits[0]
	rd := func(vs ...string) map[string]quantity.Reading {
		m := map[string]quantity.Reading{}
		for i, v := range vs {
			m[ring.Points[i].ID] = ohm(v)
		}
		return m
	}
	read := func(raw string, u quantity.Unit) quantity.Reading {
		r, err := quantity.Parse(raw, u)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	out := []draw.Picture{
		draw.Board(o, draw.BoardView{Rig: bay}),
		draw.Board(o, draw.BoardView{Rig: bay, This: ring, Bar: true, Out: map[string]bool{"ring-1/L": true, "ring-1/N": true},
			Leads: []draw.Lead{{"A", "ring-1/way/L"}, {"B", "board/bar/NA"}}, Off: map[string]bool{"rcd-a": true, "radial-1": true}}),
		draw.Board(o, draw.BoardView{Rig: bay, Moved: map[string]string{"radial-2": "NA"}, Out: map[string]bool{"cooker-1/E": true}}),
		draw.Ring(o, draw.RingView{Circuit: ring, Readings: rd("0.20", "0.20", "0.21", "0.26", "0.20", "0.17", "0.20", "0.20"), Low: 0.175, High: 0.215}),
		draw.Ring(o, draw.RingView{Circuit: ring, Readings: rd("0.08", "0.13", "0.17", "0.20", "0.20", "0.17", "0.13", ">99.9"), Low: 0.175, High: 0.215}),
		draw.Ring(o, draw.RingView{Circuit: ring}), draw.Joins(o, "N"),
		draw.Scale(o, draw.ScaleView{Reading: ohm("0.56"), Unit: quantity.Ohm, Tone: draw.Odd, Expected: 0.52, Text: "expected 0.52 Ω (length)", Spread: 0.08, Limits: []draw.Edge{{0.55, true, "80 % of the table: at most 0.55 Ω"}, {0.68, true, "table: at most 0.68 Ω"}}}),
		draw.Scale(o, draw.ScaleView{Reading: read("1.5", quantity.Megohm), Unit: quantity.Megohm, Tone: draw.Odd, Log: true, Limits: []draw.Edge{{1, false, "least: 1 MΩ"}, {2, false, "advice: 2 MΩ"}}}),
		draw.Scale(o, draw.ScaleView{Reading: read(">299", quantity.Megohm), Unit: quantity.Megohm, Tone: draw.Fits, Log: true, Limits: []draw.Edge{{1, false, "least: 1 MΩ"}}}),
		draw.Scale(o, draw.ScaleView{Reading: read("28", quantity.Millisecond), Unit: quantity.Millisecond, Tone: draw.Fits, Limits: []draw.Edge{{300, true, "slowest: at most 300 ms"}}}),
		draw.Cycle(o, draw.Half{0, "0°"}, draw.Half{180, "180°"}),
		draw.Circuit(o, bay, ring), draw.Circuit(o, bay, &bay.Circuits[2]),
		draw.Ledger(o, []draw.Entry{{draw.TakenUp, "TB1", "cover off", "seen back on"}, {draw.Lifted, "circuit 1", "line and neutral ends out of their terminals", ""}, {draw.Linked, "circuit 1", "joins of line and neutral", ""}, {draw.Off, "circuit 4", "off", ""}}),
	}
	return out
}
