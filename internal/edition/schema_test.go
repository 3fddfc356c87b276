package edition

import (
	"bytes"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"wanderlead/internal/content"
	"wanderlead/sequences"
)

func schema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	data, err := sequences.FS.ReadFile("schema/edition.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("edition.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("edition.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// What an editor accepts by the schema and what the loader accepts are the same
// in structure: names of keys, kinds of values, closed lists, what is required.
func TestSchemaAgreesWithTheLoader(t *testing.T) {
	s := schema(t)
	lib := library(t, nil)
	for _, name := range all {
		data, err := lib.Read("editions/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(content.NewReader(name, data).Root().Plain()); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	full, err := lib.Read("editions/bs7671-2018-a2.yaml")
	if err != nil {
		t.Fatal(err)
	}
	pack := strings.Replace(string(full), "edition: bs7671-2018-a2", "edition: bad", 1)
	for _, change := range [][2]string{
		{"title: BS", "titel: BS"}, {"title: BS 7671:2018+A2:2022", "title: 3"},
		{"cmin: {value: 0.95", "cmin: {value: zero"}, {"cmin: {value: 0.95", "cmin: {value: 0"}, {"cmin: {value: 0.95", "cmin: {value: 0.95, more: 1"},
		{`status: "confirmed"`, `status: "sure"`}, {"  cmin:", "  cmim:"}, {"{type: B, times: 5", "{type: K, times: 5"}, {"printed: [3,", "printed: [-3,"},
		{"largest: 125", "largest: many"}, {"time: 0.4", "time: 0.3"}, {"ia: 28", "ia: 0"}, {"zs: 7.80, ", ""}, {"ze_typical:", "ze_typicals:"},
		{"earthing: TN-S,", "earthing: TN,"}, {"ohm: 1667", "ohm: '1667'"}, {"systems: [SELV, PELV]", "systems: [SELV, HV]"}, {"class: short", "class: fast"},
		{"{mm2: 0.5, copper: 36.0,", "{mm2: 0.5,"}, {"delay: general, multiple: 1, max_ms: 300,", "delay: general, multiple: 1,"},
		{"delay: S, multiple: 1,", "delay: X, multiple: 1,"}, {"no_trip: true", "no_trip: 1"}, {"waveform: ac", "waveform: dc"}, {"base_ms: 200, ", ""},
		{"button_months: 6", "button_months: 0.5"}, {"half_run_ms: 2000", "half_run_ms: -1"},
	} {
		text := strings.Replace(pack, change[0], change[1], 1)
		if text == pack {
			t.Errorf("%q is not in the pack", change[0])
			continue
		}
		_, loadErr := Load(library(t, map[string]string{"editions/bad.yaml": text}), "bad")
		schemaErr := s.Validate(content.NewReader("bad", []byte(text)).Root().Plain())
		if loadErr == nil || schemaErr == nil {
			t.Errorf("%q for %q: loader %v, schema %v", change[1], change[0], loadErr, schemaErr != nil)
		}
	}
}
