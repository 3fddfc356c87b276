// Package exercise reads what a study session can be begun with: rig, sequence, circuits, hidden faults and the symptom
// together, as content (exercises/*.yaml).
package exercise

import (
	"fmt"
	"slices"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/internal/faults"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/study"
	"wanderlead/safety"
)

// Folder is where exercises live in the content library.
const Folder = "exercises"

// Practisable are the tests a study session can practise, in the order in which they are taught.
var Practisable = []string{safety.TestContinuity, safety.TestEnds, safety.TestCrossedLN, safety.TestCrossedLE, safety.TestInsulation,
	safety.TestOwnBar, safety.TestZe, safety.TestPFC, safety.TestZs, safety.TestRCD}

// BySeed is the rig that a session's seed makes, in the place of a rig's name.
const BySeed = "by-seed"

// MostHidden is how many faults a seed may hide at once.
const MostHidden = 5

// Exercise is one beginning of a study session.
type Exercise struct {
	Name, Title   string
	Rig, Sequence string
	Symptom       string   // as a customer would tell it; may be empty
	Tests         []string // what it practises, the main one first
	Circuits      []string // only these are on the board; empty: all
	Faults        []string // by id of the rig or kind: F06, ring-1/F06
	Hidden        int      // faults that the seed hides
	Start         string   // study.Isolated or study.AsFound

	where content.Map
}

// Load reads every file of exercises/, in the order of their names. The error lists everything that is wrong in them; what
// only the rigs they name can tell is for Check.
func Load(lib *content.Library) ([]Exercise, error) {
	all, readers, err := load(lib)
	if err != nil {
		return nil, err
	}
	return all, content.Together(readers...)
}

// Check is Load with a look at what the exercises name: rigs, sequences, circuits and faults.
func Check(lib *content.Library) error {
	all, readers, err := load(lib)
	if err != nil {
		return err
	}
	if err := content.Together(readers...); err != nil {
		return err
	}
	for i := range all {
		all[i].fits(lib)
	}
	return content.Together(readers...)
}

// Parse reads one file by itself.
func Parse(name string, data []byte) ([]Exercise, error) {
	r := content.NewReader(name, data)
	all := read(r, map[string]bool{})
	return all, r.Err()
}

func load(lib *content.Library) (all []Exercise, readers []*content.Reader, err error) {
	names, err := lib.List(Folder)
	if err != nil {
		return nil, nil, err
	}
	seen := map[string]bool{}
	for _, name := range names {
		r, err := lib.Open(name)
		if err != nil {
			return nil, nil, err
		}
		all, readers = append(all, read(r, seen)...), append(readers, r)
	}
	return all, readers, nil
}

func read(r *content.Reader, seen map[string]bool) (out []Exercise) {
	for _, v := range r.Root().Map("exercises file", "exercises").List("exercises") {
		m := v.Map("exercise", "exercise", "title", "rig", "sequence", "circuits", "faults", "hidden", "start", "symptom", "tests")
		e := Exercise{Name: m.Name("exercise"), Title: m.Text("title"), Rig: m.Name("rig"), Sequence: m.Name("sequence"), Symptom: m.OptText("symptom", ""),
			Tests: m.OptStrs("tests"), Circuits: m.OptStrs("circuits"), Faults: m.OptStrs("faults"), Hidden: m.OptInt("hidden", 0),
			Start: m.OptOneOf("start", string(study.Isolated), string(study.Isolated), string(study.AsFound)), where: m}
		for i, t := range e.Tests {
			if !slices.Contains(Practisable, t) {
				entry(m, "tests", i).Errorf("one of: "+strings.Join(Practisable, ", "), "%q is no test that study practises", t)
			}
		}
		if seen[e.Name] {
			m.KeyOf("exercise").Errorf("give it a name of its own", "there are two exercises %q", e.Name)
		}
		if e.Hidden < 0 || e.Hidden > MostHidden {
			m.KeyOf("hidden").Errorf(fmt.Sprintf("a number from 0 to %d", MostHidden), "%d faults hidden", e.Hidden)
		}
		seen[e.Name] = true
		out = append(out, e)
	}
	return out
}

// entry is one value of a list, for a complaint about it.
func entry(m content.Map, key string, i int) content.Value {
	if list := m.OptList(key); i < len(list) {
		return list[i]
	}
	return m.KeyOf(key)
}

// fits looks up what the exercise names.
func (e *Exercise) fits(lib *content.Library) {
	if names, err := sequence.Names(lib); err == nil && !slices.Contains(names, e.Sequence) {
		e.where.KeyOf("sequence").Errorf(content.DidYouMean(e.Sequence, names), "there is no sequence %q", e.Sequence)
	}
	if e.Rig == BySeed {
		return // its circuits are known when it is made
	}
	names, err := rig.Names(lib)
	if err != nil {
		return
	}
	if !slices.Contains(names, e.Rig) {
		e.where.KeyOf("rig").Errorf(content.DidYouMean(e.Rig, append(names, BySeed)), "there is no rig %q", e.Rig)
		return
	}
	r, err := rig.Load(lib, e.Rig)
	if err != nil {
		return // the rig's own check says it
	}
	var ids []string
	for _, c := range r.Circuits {
		ids = append(ids, c.ID)
	}
	for i, c := range e.Circuits {
		if !slices.Contains(ids, c) {
			entry(e.where, "circuits", i).Errorf(content.DidYouMean(c, ids), "%s has no circuit %q", e.Rig, c)
			return
		}
	}
	if len(e.Circuits) > 0 {
		if r, err = study.Only(r, e.Circuits...); err != nil {
			e.where.KeyOf("circuits").Errorf("", "%v", err)
			return
		}
	}
	for i, f := range e.Faults {
		if _, err := faults.Named(r, f); err != nil {
			message, hint, _ := strings.Cut(err.Error(), "\nhint: ")
			entry(e.where, "faults", i).Errorf(hint, "%s", message)
		}
	}
}
