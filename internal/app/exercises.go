package app

import (
	"fmt"
	"slices"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/internal/study"
)

// exercisesFile lists what a study session can be begun with from the menu.
const exercisesFile = "exercises/study.yaml"

// exercise is one beginning of a study session.
type exercise struct {
	name, title, rig, sequence string
	symptom                    string   // as a customer would tell it
	tests                      []string // what it practises, the main one first
	flags                      studyFlags
}

// exercises reads the list; a folder of the user's own may hold another.
func exercises(lib *content.Library) ([]exercise, error) {
	data, err := lib.Read(exercisesFile)
	if err != nil {
		return nil, err
	}
	r := content.NewReader(exercisesFile, data)
	var out []exercise
	seen := map[string]bool{}
	for _, v := range r.Root().Map("exercises file", "exercises").List("exercises") {
		m := v.Map("exercise", "exercise", "title", "rig", "sequence", "circuits", "faults", "hidden", "start", "symptom", "tests")
		e := exercise{name: m.Name("exercise"), title: m.Str("title"), rig: m.Name("rig"), sequence: m.Name("sequence"), symptom: m.OptStr("symptom", ""), tests: m.OptStrs("tests")}
		e.flags = studyFlags{circuits: m.OptStrs("circuits"), faults: m.OptStrs("faults"), hidden: m.OptInt("hidden", 0),
			start: m.OptOneOf("start", string(study.Isolated), string(study.Isolated), string(study.AsFound))}
		e.flags.symptom = e.symptom
		for _, t := range e.tests {
			if !slices.Contains(practisable, t) {
				m.KeyOf("tests").Errorf("one of: "+strings.Join(practisable, ", "), "%q is no test that study practises", t)
			}
		}
		if seen[e.name] {
			m.KeyOf("exercise").Errorf("give it a name of its own", "there are two exercises %q", e.name)
		}
		if e.flags.hidden < 0 || e.flags.hidden > mostHidden {
			m.KeyOf("hidden").Errorf(fmt.Sprintf("a number from 0 to %d", mostHidden), "%d faults hidden", e.flags.hidden)
		}
		seen[e.name] = true
		out = append(out, e)
	}
	return out, r.Err()
}

// mostHidden is how many faults a seed may hide at once.
const mostHidden = 5

// exerciseNamed finds an exercise; the error lists those there are.
func exerciseNamed(all []exercise, name string) (exercise, error) {
	var names []string
	for _, e := range all {
		if e.name == name {
			return e, nil
		}
		names = append(names, e.name)
	}
	return exercise{}, usagef("one of: "+strings.Join(names, ", "), "there is no exercise %q", name)
}
