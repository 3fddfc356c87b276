package rig

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"wanderlead/internal/content"
)

var update = flag.Bool("update", false, "rewrite the schema and the want.txt files")

const (
	schemaFile = "../../sequences/schema/rig.schema.json"
	fixtures   = "../../testdata/rigs"
)

// The schema for editors is made from the same records as the loader, so that no key is forgotten, and is then held
// against the loader on fixtures whose verdicts were written by hand.

func schemaOf(w *wording) []byte {
	defs := map[string]any{}
	root := recordSchema(w, rigRecord, defs)
	root["$schema"] = "http://json-schema.org/draft-07/schema#"
	root["title"] = "rig"
	root["description"] = "An installation to be tested. The loader checks more than this: that references resolve and that shapes have what they need."
	root["definitions"] = defs
	out, err := json.MarshalIndent(root, "", "  ")
	if err != nil {
		w.t.Fatal(err)
	}
	return append(out, '\n')
}

func recordSchema(w *wording, rec *record, defs map[string]any) map[string]any {
	properties, required := map[string]any{}, []string{}
	for _, f := range rec.fields {
		s := fieldSchema(w, f, defs)
		if help := "describe." + rec.name + "." + f.key + ".help"; w.cat.Has(help) {
			text, err := w.cat.Fill(help, map[string]string{})
			if err != nil {
				w.t.Error(err)
			}
			s = map[string]any{"allOf": []any{s}, "description": text}
		}
		properties[f.key] = s
		if f.required && f.when == nil {
			required = append(required, f.key)
		}
	}
	return map[string]any{"type": "object", "additionalProperties": false, "properties": properties, "required": required}
}

func reference(w *wording, rec *record, defs map[string]any) map[string]any {
	if _, done := defs[rec.name]; !done {
		defs[rec.name] = true // while it is being made
		defs[rec.name] = recordSchema(w, rec, defs)
	}
	return map[string]any{"$ref": "#/definitions/" + rec.name}
}

func fieldSchema(w *wording, f *field, defs map[string]any) map[string]any {
	text := map[string]any{"type": "string", "minLength": 1, "maxLength": maxText, "pattern": `^[^\s\x00-\x1f\x7f-\x9f]([^\x00-\x1f\x7f-\x9f]*[^\s\x00-\x1f\x7f-\x9f])?$`}
	short := map[string]any{"type": "string", "maxLength": 40, "pattern": `^[a-z0-9]([a-z0-9-]*[a-z0-9])?$`}
	switch f.kind {
	case idField:
		return short
	case wordField:
		if words := allWords(f); words != nil {
			return map[string]any{"enum": words}
		}
		return short
	case wholeField:
		return map[string]any{"enum": map[string][]int{"phases": {1, 3}, "poles": {2, 3, 4}}[f.key]}
	case amount:
		units := map[string]string{"mm²": "(mm²|mm2)", "Ω": "(m|k|M)?(Ω|Ω|[oO]hms?)", "A": "(m|k)?A", "kA": "(m|k)?A", "mA": "(m|k)?A", "ms": "m?s"}
		unit := units[f.unit.String()]
		if unit == "" {
			unit = f.unit.String()
		}
		return map[string]any{"anyOf": []any{
			map[string]any{"type": "number", "exclusiveMinimum": 0},
			map[string]any{"type": "string", "pattern": `^([0-9]{1,9}(\.[0-9]{1,6})?|\.[0-9]{1,6})\s*(` + unit + `)?$`}}}
	case plainField:
		return map[string]any{"anyOf": []any{map[string]any{"type": "number", "exclusiveMinimum": 0},
			map[string]any{"type": "string", "pattern": `^([0-9]{1,9}(\.[0-9]{1,6})?|\.[0-9]{1,6})$`}}}
	case yesNo:
		return map[string]any{"type": "boolean"}
	case texts:
		return textsSchema(f, text)
	case group, maybe:
		return reference(w, f.rec, defs)
	case many:
		return map[string]any{"type": "array", "minItems": f.least, "maxItems": f.most(), "items": reference(w, f.rec, defs)}
	}
	return text
}

func textsSchema(f *field, text map[string]any) map[string]any {
	s := map[string]any{"type": "array", "minItems": f.least, "maxItems": f.most(), "items": text, "uniqueItems": true}
	if words := allWords(f); words != nil {
		s["items"] = map[string]any{"enum": words}
	}
	if f.key == "values" {
		s["items"], s["maxItems"] = map[string]any{"type": []string{"string", "number"}}, Repeats
		delete(s, "uniqueItems")
	}
	return s
}

// allWords is the closed list of a field on any rig; nil where the words are names from the rig itself.
func allWords(f *field) []string {
	if f.words == nil || f.key == "section" || f.key == "from" || f.key == "circuit" {
		return nil
	}
	var all []string
	for _, r := range []*Rig{{}, {Supply: Supply{Phases: 3}}} {
		for _, w := range f.words(r, nil) {
			if !strings.Contains("\n"+strings.Join(all, "\n")+"\n", "\n"+w+"\n") {
				all = append(all, w)
			}
		}
	}
	return all
}

func TestSchemaIsUpToDate(t *testing.T) {
	got := schemaOf(loadWording(t))
	if *update {
		if err := os.WriteFile(schemaFile, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, bytes.ReplaceAll(want, []byte("\r\n"), []byte("\n"))) {
		t.Error("the schema does not match the records: run go test ./internal/rig -update")
	}
}

func compileSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	data, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("rig.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("rig.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func schemaAccepts(s *jsonschema.Schema, data []byte) error {
	return s.Validate(content.NewReader("f", data).Root().Plain())
}

// TestFixtures: files in good/ are accepted by loader and schema, those in bad/ refused by both, with the loader's exact
// words; those in misfit/ have the right form, so only the loader can refuse them.
func TestFixtures(t *testing.T) {
	schema := compileSchema(t)
	for kind, wantSchema := range map[string]bool{"good": true, "bad": false, "misfit": true} {
		files, err := filepath.Glob(filepath.Join(fixtures, kind, "*.yaml"))
		if err != nil || len(files) == 0 {
			t.Fatalf("no fixtures in %s: %v", kind, err)
		}
		for _, file := range files {
			name := filepath.Base(file)
			t.Run(kind+"/"+name, func(t *testing.T) {
				data, err := os.ReadFile(file)
				if err != nil {
					t.Fatal(err)
				}
				data = bytes.ReplaceAll(data, []byte("\r\n"), []byte("\n"))
				if err := schemaAccepts(schema, data); (err == nil) != wantSchema {
					t.Errorf("schema: %v", err)
				}
				_, err = Parse(name, data)
				if kind == "good" {
					if err != nil {
						t.Errorf("loader: %v", err)
					}
					return
				}
				if err == nil {
					t.Fatal("the loader accepts it")
				}
				compareWords(t, strings.TrimSuffix(file, ".yaml")+".txt", err.Error()+"\n")
			})
		}
	}
}

func compareWords(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != strings.ReplaceAll(string(want), "\r\n", "\n") {
		t.Errorf("got:\n%s\nwant:\n%s", got, want)
	}
}

func TestSchemaAcceptsBuiltins(t *testing.T) {
	schema := compileSchema(t)
	for name, r := range builtins(t) {
		if err := schemaAccepts(schema, Write(r)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}
