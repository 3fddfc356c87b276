package mistakes_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/mistakes"
	"wanderlead/internal/quantity"
	"wanderlead/internal/record"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/signature"
	"wanderlead/internal/study"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
	"wanderlead/sequences"
)

func library(t testing.TB) *content.Library {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

func book(t testing.TB) *mistakes.Book {
	t.Helper()
	b, err := mistakes.Load(library(t))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// scene is a set of readings taken on the virtual rig, right or wrong.
type scene struct {
	rig      string
	circuits []string // what else is on the board is out; empty: all
	edit     func(*rig.Rig)
	faults   []string
	seed     uint64
	// set changes how a reading is taken, write what is put down for it, again how it was taken before.
	set   func(id string, u *signature.SetUp, l *meter.Leads)
	write func(id, shown string) string
	again func(id string, u *signature.SetUp, l *meter.Leads) bool
	skip  func(id string) bool // recorded as not tested
	claim map[string]string
	seq   string
	each  func(*coach.State, coach.Judged) // every judgement as it is made
	more  func(v *mistakes.View)           // readings that these sequences have no place for
}

// gathered are rigs with their sequences, which no scene changes.
var gathered = map[string]*record.Kit{}

// view takes all readings of a scene and gives what recognition sees: no moves.
func (s scene) view(t testing.TB) *mistakes.View {
	t.Helper()
	lib := library(t)
	name := s.rig
	if name == "" {
		name = "training-bay"
	}
	seq := s.seq
	if seq == "" {
		seq = "whole-board-full"
	}
	kit := s.kit(t, lib, seq, name)
	r := kit.Rig
	b, err := faults.Build(r, wiring.Usual(signature.Copper(kit.Pack)), plantingsOf(t, s.faults)...)
	if err != nil {
		t.Fatal(err)
	}
	return s.take(t, kit, b)
}

// kit is the rig with its sequence; without an edit it is gathered once.
func (s scene) kit(t testing.TB, lib *content.Library, seq, name string) *record.Kit {
	t.Helper()
	key := strings.Join(append([]string{seq, name}, s.circuits...), " ")
	if kit := gathered[key]; kit != nil && s.edit == nil {
		return kit
	}
	kit, err := record.Gather(lib, seq, name, "", "")
	if err != nil {
		t.Fatal(err)
	}
	r := kit.Rig
	if len(s.circuits) > 0 {
		if r, err = study.Only(r, s.circuits...); err != nil {
			t.Fatal(err)
		}
	}
	if s.edit != nil {
		c := *r
		c.Circuits = append([]rig.Circuit(nil), r.Circuits...)
		r = &c
		s.edit(r)
	}
	if r != kit.Rig {
		if kit, err = kit.WithRig(r); err != nil {
			t.Fatal(err)
		}
	}
	if s.edit == nil {
		gathered[key] = kit
	}
	return kit
}

func plantingsOf(t testing.TB, names []string) []faults.Planting {
	t.Helper()
	var ps []faults.Planting
	for _, f := range names {
		p, err := faults.ParsePlanting(f)
		if err != nil {
			t.Fatal(err)
		}
		ps = append(ps, p)
	}
	return ps
}

func (s scene) take(t testing.TB, kit *record.Kit, b *faults.Built) *mistakes.View {
	t.Helper()
	seed := s.seed
	if seed == 0 {
		seed = 5
	}
	in := meter.Instrument{Seed: seed}
	sheet := coach.NewSheet(coach.Setup{Program: kit.Program.Measurements(), Pack: kit.Pack}, false, false)
	st := sheet.State()
	type refusal struct{ id, why string }
	var refused []refusal
	high, ze := map[int]float64{}, math.NaN()
	put := func(id, raw string) {
		if s.write != nil {
			raw = s.write(id, raw)
		}
		next, fb, err := sheet.Write([]string{id}, []string{raw})
		if err != nil || fb.Refused != "" {
			refused = append(refused, refusal{id, "raw:" + raw})
			return
		}
		sheet = next
		if s.each != nil {
			for _, j := range fb.Judged {
				s.each(sheet.State(), j)
			}
		}
	}
	for _, r := range st.Results() {
		if r.Form != sequence.Read || s.skip != nil && s.skip(r.ID) {
			continue
		}
		id := rig.ReadingID{ID: r.ID, Test: r.Test, Part: r.Part}
		switch {
		case r.RCD >= 0:
			id.Owner = st.Program().RCDs[r.RCD].ID
		case r.Circuit >= 0:
			id.Owner = st.Program().Rig.Circuits[r.Circuit].ID
		}
		i, _ := st.PartOf(r.ID)
		u, err := signature.SetUpOf(b, id)
		if err != nil {
			raw := st.RightReading(i)
			if r.Test == safety.TestZsCalculated {
				raw = fmt.Sprintf("%.2f", ze+high[r.Circuit])
			}
			put(r.ID, raw)
			continue
		}
		read := func(attempt int, change func(string, *signature.SetUp, *meter.Leads)) meter.Shown {
			v, l := u, meter.Nulled(0.08)
			v.Conds = nil
			for _, c := range u.Conds {
				v.Conds = append(v.Conds, c.Clone())
			}
			if change != nil {
				change(r.ID, &v, &l)
			}
			shown, err := v.Read(b, signature.Options{Instrument: in, Leads: l}, attempt)
			if err != nil {
				t.Fatalf("%s: %v", r.ID, err)
			}
			return shown
		}
		if s.again != nil {
			did := false
			shown := read(0, func(id string, u *signature.SetUp, l *meter.Leads) { did = s.again(id, u, l) })
			if did && shown.Refusal == "" {
				put(r.ID, shown.Text)
			}
		}
		shown := read(1, s.set)
		if shown.Refusal != "" {
			refused = append(refused, refusal{r.ID, string(shown.Refusal)})
			continue
		}
		put(r.ID, shown.Text)
		if shown.Mark == quantity.Number {
			switch r.Test {
			case safety.TestZe, safety.TestElectrode:
				ze = shown.Value
			case safety.TestContinuity, safety.TestCrossedLE:
				high[r.Circuit] = max(high[r.Circuit], shown.Value)
			}
		}
	}
	v := mistakes.Of(sheet.State())
	for _, r := range refused {
		v.Readings = append(v.Readings, s.unread(st, r.id, r.why))
	}
	if s.skip != nil {
		for _, r := range st.Results() {
			if r.Form == sequence.Read && s.skip(r.ID) {
				x := s.unread(st, r.ID, "")
				x.Skipped = true
				v.Readings = append(v.Readings, x)
			}
		}
	}
	if s.more != nil {
		s.more(v)
	}
	for i := range v.Readings {
		v.Readings[i].Claimed = s.claim[v.Readings[i].ID]
	}
	return v
}

// unread is a place of the schedule for which the display showed no number.
func (s scene) unread(st *coach.State, id, why string) mistakes.Reading {
	for _, r := range st.Results() {
		if r.ID != id {
			continue
		}
		x := mistakes.Reading{ID: id, Test: r.Test, Part: r.Part, Refused: why}
		if raw, ok := strings.CutPrefix(why, "raw:"); ok {
			x.Refused, x.Read = "", quantity.Reading{Raw: raw}
		}
		switch {
		case r.RCD >= 0:
			x.Owner = st.Program().RCDs[r.RCD].ID
		case r.Circuit >= 0:
			x.Owner = st.Program().Rig.Circuits[r.Circuit].ID
		}
		i, _ := st.PartOf(id)
		x.Expect, _ = quantity.ParseSigned(st.RightReading(i), coach.UnitOf(r.Test, r.Part))
		return x
	}
	return mistakes.Reading{ID: id}
}

// worst is the worst verdict of a test's readings; no number counts as a fail.
func worst(v *mistakes.View, test string) string {
	out := ""
	rank := map[string]int{"": 0, "pass": 1, "doubt": 2, "fail": 3, "set-up": 3}
	for _, r := range v.Readings {
		if r.Test != test {
			continue
		}
		verdict := r.Verdict
		if r.Refused != "" || verdict == "" && r.Read.Raw != "" {
			verdict = "fail"
		}
		if rank[verdict] > rank[out] {
			out = verdict
		}
	}
	return out
}
