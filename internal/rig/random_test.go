package rig

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// randomText draws one-line texts that tempt YAML: numbers, words, signs, quotes, other scripts.
func randomText(t *rapid.T) string {
	text := rapid.OneOf(
		rapid.SampledFrom([]string{"yes", "null", "~", "0.30", "010", "1e3", ".inf", "2026-03-02", ">299", "|", "a: b", "a #b",
			"# a", "- a", "[a", "a]", "{a}", "a, b", "&a", "*a", "!a", "%a", "@a", "`a", `"a"`, `a\n`, "'", "''", "?", ": a", "a:", "Ω µ 漢字 😀", "true", "=", "<<"}),
		rapid.StringMatching(`[ -~]{1,20}`),
		rapid.StringN(1, 20, 60),
	).Draw(t, "text")
	if problem, _ := checkText(text); problem != "" {
		return "plain"
	}
	return text
}

// randomRig changes texts, amounts and options of a sound rig, keeping it sound.
func randomRig(t *rapid.T, base *Rig) *Rig {
	r, err := Parse("base", Write(base))
	if err != nil {
		t.Fatal(err)
	}
	number := func(label string) float64 { return float64(rapid.IntRange(1, 999999).Draw(t, label)) / 1000 }
	r.Title, r.Setting, r.Board.Location = randomText(t), randomText(t), randomText(t)
	r.Supply.VoltageV, r.Supply.LineOhm = number("v"), number("z")
	r.Isolation.StaysLive = []string{randomText(t)}
	r.Board.AssemblyKA = rapid.SampledFrom([]float64{0, 6, 16, 25.9}).Draw(t, "ka")
	if rapid.Bool().Draw(t, "spd") {
		r.Board.SPD = &SPD{Types: []string{"2", "3"}, Removable: rapid.Bool().Draw(t, "removable")}
	}
	if rapid.Bool().Draw(t, "transformer") {
		r.Supply.Transformer = &Transformer{RatingVA: number("va"), NeutralEarthed: true}
	}
	for i := range r.Circuits {
		c := &r.Circuits[i]
		c.Description, c.Earthed = randomText(t), rapid.SampledFrom([]string{"", "plates"}).Draw(t, "earths")
		c.SPD = rapid.Bool().Draw(t, "spd stays")
		if rapid.Bool().Draw(t, "padded") {
			c.Padding = &Padding{StandsForM: number("pad"), Rated: rapid.Bool().Draw(t, "rated")}
		}
		for j := range c.Points {
			c.Points[j].Label, c.Points[j].LengthM = randomText(t), number("length")
		}
	}
	r.Faults = r.Faults[:rapid.IntRange(0, len(r.Faults)).Draw(t, "faults")]
	if len(r.Faults) == 0 {
		r.Faults = nil
	}
	if rapid.Bool().Draw(t, "no reference") {
		r.Reference = Reference{}
	}
	return r
}

func TestWriteParseRoundTrip(t *testing.T) {
	rigs := builtins(t)
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom([]string{"training-bay", "rigging-store", "slip-outbuilding", "winch-workshop"}).Draw(t, "rig")
		r := randomRig(t, rigs[name])
		text := Write(r)
		back, err := Parse("written", text)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if !reflect.DeepEqual(back, r) {
			t.Fatalf("read back differs:\n%s", text)
		}
	})
}

// TestDescribeRandomRigs: the answers made from any sound rig describe that rig; here without the question texts.
func TestDescribeRandomRigs(t *testing.T) {
	rigs := builtins(t)
	rapid.Check(t, func(t *rapid.T) {
		r := randomRig(t, rigs[rapid.SampledFrom([]string{"rigging-store", "slip-outbuilding", "winch-workshop"}).Draw(t, "rig")])
		d := Describe(noWords{}, DescribeAnswers(r)...)
		if _, got := d.Next(); !reflect.DeepEqual(got, r) {
			q, _ := d.Next()
			t.Fatalf("the described rig differs; open question %+v", q)
		}
	})
}

type noWords struct{}

func (noWords) Text(id string, _ map[string]string) string { return id }

// FuzzParse: no file makes the loader panic, and what it accepts is written and read back the same.
func FuzzParse(f *testing.F) {
	files, _ := filepath.Glob(fixtures + "/*/*.yaml")
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := Parse("f", data)
		if err != nil {
			if strings.TrimSpace(err.Error()) == "" {
				t.Fatal("an error without words")
			}
			return
		}
		back, err := Parse("again", Write(r))
		if err != nil || !reflect.DeepEqual(back, r) {
			t.Fatalf("%v\n%s", err, Write(r))
		}
		if d := Describe(noWords{}, DescribeAnswers(r)...); true {
			if _, got := d.Next(); !reflect.DeepEqual(got, r) {
				q, _ := d.Next()
				t.Fatalf("describe differs, asks %+v\n%s", q, Write(r))
			}
		}
	})
}
