package mistakes

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"wanderlead/sequences"
)

// TestSchemaKnowsTheLooks: the schema offers the looks that there are, and the moves.
func TestSchemaKnowsTheLooks(t *testing.T) {
	data, err := sequences.FS.ReadFile("schema/mistakes.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	type enum struct {
		Enum  []string `json:"enum"`
		Items struct {
			Enum []string `json:"enum"`
		} `json:"items"`
	}
	var schema struct {
		Defs struct {
			Mistake struct {
				Properties struct {
					Moves enum `json:"moves"`
				} `json:"properties"`
			} `json:"mistake"`
			Clauses struct {
				Items struct {
					Properties struct {
						See enum `json:"see"`
					} `json:"properties"`
				} `json:"items"`
			} `json:"clauses"`
		} `json:"$defs"`
	}
	if err := json.Unmarshal(data, &schema); err != nil {
		t.Fatal(err)
	}
	if got := schema.Defs.Clauses.Items.Properties.See.Enum; !slices.Equal(got, predicateNames()) {
		t.Errorf("the schema has the looks %v, the program %v", got, predicateNames())
	}
	if got := schema.Defs.Mistake.Properties.Moves.Items.Enum; !slices.Equal(got, moves) {
		t.Errorf("the schema has the moves %v, the program %v", got, moves)
	}
}

// TestCheckBites: what could never be seen is refused, at its place.
func TestCheckBites(t *testing.T) {
	for text, want := range map[string]string{
		`when: [{see: over, tests: [continuty]}]`:                              `f.yaml:7:32: "continuty" is no test`,
		`when: [{see: rig, of: squar}]`:                                        `rig cannot look at "squar"`,
		`when: [{see: like, tests: [zs]}]`:                                     `like cannot look at ""`,
		`when: [{see: hump}]`:                                                  `hump looks along the points of one test`,
		`when: [{see: within, tests: [zs], from: 3, to: 1}]`:                   `from 3 to 1`,
		"when: [{see: over, tests: [zs]}]\n    moves: [leeds]":                 `"leeds" is no way`,
		`when: [{see: overr, tests: [zs]}]`:                                    `f.yaml:7`,
		"when: [{see: over, tests: [zs]}]\n    hidden: \"and cannot be seen\"": `has both or neither`,
	} {
		_, err := Parse("f.yaml", []byte("mistakes:\n  - mistake: m\n    title: t\n    looks: l\n    why: w\n    do: d\n    "+text+"\n"))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %s", text, err, want)
		}
	}
}
