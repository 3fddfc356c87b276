package sequence

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"wanderlead/internal/content"
	"wanderlead/safety"
	"wanderlead/sequences"
)

var update = flag.Bool("update", false, "rewrite the schema")

const (
	schemaFile = "../../sequences/schema/sequence.schema.json"
	fixtures   = "../../testdata/sequences"
)

// The schema for editors is made from the closed lists of the loader, so that no word is forgotten, and is then held
// against the loader: on every fixture, and on every one of them with one thing changed.

type obj = map[string]any

func enum(words ...string) obj { return obj{"enum": words} }

func ref(name string) obj { return obj{"$ref": "#/definitions/" + name} }

var (
	anyText = obj{"type": "string"}
	notFor  = obj{"not": obj{}}
)

// form is the schema of one form of step.
func form(key string, value obj, properties obj, required ...string) obj {
	p := obj{key: value}
	for k, v := range properties {
		p[k] = v
	}
	return obj{"type": "object", "additionalProperties": false, "properties": p, "required": append([]string{key}, required...)}
}

// spoken adds the keys that every step of a form of its own has; without an id where the form brings one.
func spoken(withID bool, more obj) obj {
	p := obj{"when": ref("conditions"), "unless": ref("conditions"), "practise": ref("wording"), "study": ref("wording"),
		"why": anyText, "leads": anyText, "caution": anyText}
	if withID {
		p["id"] = ref("path")
	}
	for k, v := range more {
		p[k] = v
	}
	return p
}

var answers = obj{"right": ref("right"), "wrong": ref("wrong")}

func with(a, b obj) obj {
	out := obj{}
	for k, v := range a {
		out[k] = v
	}
	for k, v := range b {
		out[k] = v
	}
	return out
}

func actSchema() obj {
	s := form("act", enum(actNames()...), spoken(true, with(answers, obj{
		"opens": ref("item"), "closes": ref("item"), "at": enum("board", "points", "both")})),
		"id", "practise", "study", "right")
	rules := []any{obj{"not": obj{"required": []string{"opens", "closes"}}}}
	for _, name := range actNames() {
		k, _ := safety.ParseKind(name)
		then := obj{"properties": obj{
			"opens":  itemsOf(func(c safety.Class) bool { return c.OpensBy() == k }),
			"closes": itemsOf(func(c safety.Class) bool { return c.ClosesBy() == k })}}
		if k.Touches() || k.Exposes() {
			then["required"] = []string{"at"}
			then["anyOf"] = []any{obj{"required": []string{"opens"}}, obj{"required": []string{"closes"}}}
		}
		rules = append(rules, obj{"if": obj{"properties": obj{"act": obj{"const": name}}, "required": []string{"act"}}, "then": then})
	}
	s["allOf"] = rules
	return s
}

func itemsOf(ok func(safety.Class) bool) obj {
	var names []string
	for _, n := range classNames() {
		if c, _ := safety.ParseClass(n); ok(c) {
			names = append(names, n)
		}
	}
	if names == nil {
		return notFor
	}
	return obj{"pattern": "^(" + strings.Join(names, "|") + ") [a-z0-9-]{1,60}$"}
}

func readSchema() obj {
	s := form("read", enum(readTests...), spoken(true, obj{"parts": anyText}), "practise", "study")
	var rules []any
	for _, t := range readTests {
		then := obj{"properties": obj{"parts": notFor}}
		if sel := partSelectors(t); sel != nil {
			then = obj{"properties": obj{"parts": enum(sel...)}}
		}
		if t == safety.TestInstrument {
			then["required"] = []string{"parts"}
		}
		rules = append(rules, obj{"if": obj{"properties": obj{"read": obj{"const": t}}, "required": []string{"read"}}, "then": then})
	}
	s["allOf"] = rules
	return s
}

// answered has answers of its own, or a key that takes them from the rig.
func answered(s obj, key string) obj {
	s["oneOf"] = []any{
		obj{"required": []string{"right"}, "properties": obj{key: notFor}},
		obj{"required": []string{key}, "properties": obj{"right": notFor, "wrong": notFor}}}
	return s
}

func eachSchema() obj {
	s := form("each", enum("circuit", "rcd"), obj{"where": ref("where"), "when": ref("conditions"), "unless": ref("conditions"), "steps": ref("steps")}, "steps")
	s["if"] = obj{"properties": obj{"each": obj{"const": "rcd"}}, "required": []string{"each"}}
	s["then"] = obj{"properties": obj{"where": notFor}}
	return s
}

func words(word obj) obj {
	return obj{"anyOf": []any{word, obj{"type": "array", "minItems": 1, "items": word}}}
}

func observeSchema() obj {
	s := form("observe", enum(observeTests...), spoken(true, obj{"right": ref("right"),
		"wrong": obj{"allOf": []any{ref("wrong"), obj{"minItems": 1}}}}), "practise", "study", "right", "wrong")
	return s
}

func stepForms() map[string]obj {
	group := obj{"when": ref("conditions"), "unless": ref("conditions")}
	return map[string]obj{
		"safety":  form("safety", enum("isolate", "isolate-only"), spoken(true, nil)),
		"act":     actSchema(),
		"ask":     answered(form("ask", ref("path"), spoken(false, with(answers, obj{"choose": enum("neutral-bar", "test-voltage")})), "practise", "study"), "choose"),
		"read":    readSchema(),
		"observe": observeSchema(),
		"inspect": answered(form("inspect", ref("path"), spoken(false, with(answers, obj{"expects": enum("devices", "rcd-types"), "outside": obj{"type": "boolean"}})), "practise", "study"), "expects"),
		"gate":    form("gate", enum("incoming", "installation"), spoken(true, nil)),
		"switch":  form("switch", enum("circuit-on"), spoken(true, answers), "practise", "study", "right"),
		"declare": form("declare", enum("origin"), spoken(false, nil), "practise", "study"),
		"accept":  form("accept", enum("record"), spoken(false, nil), "practise", "study"),
		"finish":  form("finish", ref("path"), spoken(false, answers), "practise", "study", "right"),
		"note":    form("note", ref("path"), spoken(false, nil), "practise", "study"),
		"include": form("include", ref("id"), with(group, obj{"as": ref("path")})),
		"each":    eachSchema(),
		"block":   form("block", ref("name"), with(group, obj{"steps": ref("steps")}), "steps"),
	}
}

func schemaOf(t *testing.T) []byte {
	say := obj{"allOf": []any{ref("id"), obj{"not": obj{"const": "not-yet"}}}}
	defs := obj{
		"id":         obj{"type": "string", "pattern": "^[a-z0-9-]{1,60}$"},
		"path":       obj{"type": "string", "pattern": "^[a-z0-9-]{1,60}(/[a-z0-9-]{1,60})*$"},
		"name":       obj{"type": "string", "pattern": `^[^\s\x00-\x1f\x7f-\x9f]([^\x00-\x1f\x7f-\x9f]*[^\s\x00-\x1f\x7f-\x9f])?$`},
		"wording":    obj{"type": "string", "pattern": `\S`},
		"conditions": words(enum(conditionNames()...)),
		"item":       obj{"type": "string", "description": "Class and short name of what is opened or closed."},
		"right":      obj{"type": "object", "additionalProperties": false, "properties": obj{"say": say, "text": ref("name")}, "required": []string{"say", "text"}},
		"wrong": obj{"type": "array", "items": obj{"type": "object", "additionalProperties": false,
			"properties": obj{"say": say, "text": ref("name"), "because": ref("name"), "retest": obj{"type": "boolean"}}, "required": []string{"say", "text", "because"}}},
		"where": obj{"type": "object", "additionalProperties": false, "minProperties": 1, "properties": obj{
			"shape": words(enum(shapeNames...)), "first": words(enum(traitNames()...)), "circuit": words(ref("name"))}},
		"steps": obj{"type": "array", "minItems": 1, "items": ref("step")},
	}
	var forms []any
	for _, key := range formKeys() {
		s, ok := stepForms()[key]
		if !ok {
			t.Fatalf("no schema for the form %s", key)
		}
		defs["step-"+key] = s
		forms = append(forms, ref("step-"+key))
	}
	defs["step"] = obj{"oneOf": forms}
	root := obj{
		"$schema": "http://json-schema.org/draft-07/schema#", "title": "sequence",
		"description": "A test sequence, or a part that others include. Lint checks more than this: the order of tests, what is opened and closed, the gates.",
		"type":        "object", "additionalProperties": false, "required": []string{"sequence", "title"},
		"properties": obj{"sequence": ref("id"), "title": ref("name"), "about": anyText,
			"incoming": enum("measured", "declared", "either"), "start": enum("fresh", "record"), "steps": ref("steps"),
			"stages": obj{"type": "array", "minItems": 1, "items": obj{"type": "object", "additionalProperties": false,
				"properties": obj{"stage": ref("id"), "title": ref("name"), "steps": ref("steps")}, "required": []string{"stage", "title", "steps"}}}},
		"oneOf":       []any{obj{"required": []string{"stages"}}, obj{"required": []string{"steps"}}},
		"definitions": defs,
	}
	out, err := json.MarshalIndent(root, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	return append(out, '\n')
}

func readText(t *testing.T, file string) []byte {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return bytes.ReplaceAll(data, []byte("\r\n"), []byte("\n"))
}

func TestSchemaIsUpToDate(t *testing.T) {
	got := schemaOf(t)
	if *update {
		if err := os.WriteFile(schemaFile, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(got, readText(t, schemaFile)) {
		t.Error("the schema does not match the loader's lists: run go test ./internal/sequence -update")
	}
}

func compileSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(readText(t, schemaFile)))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("sequence.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("sequence.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func plainOf(data []byte) any { return content.NewReader("f", data).Root().Plain() }

// TestSchemaOnFixtures: the schema refuses what the loader refuses. Fixtures whose first line says "semantic" have the
// right form, and the schema has to accept them.
func TestSchemaOnFixtures(t *testing.T) {
	schema := compileSchema(t)
	bad, err := filepath.Glob(filepath.Join(fixtures, "bad", "*", "sequence.yaml"))
	if err != nil || len(bad) == 0 {
		t.Fatalf("no fixtures: %v", err)
	}
	for _, file := range bad {
		data := readText(t, file)
		first, _, _ := strings.Cut(string(data), "\n")
		semantic := strings.HasPrefix(first, "# semantic")
		if err := schema.Validate(plainOf(data)); (err == nil) != semantic {
			t.Errorf("%s: marked semantic: %v, schema: %v", file, semantic, err)
		}
	}
	good, err := filepath.Glob(filepath.Join(fixtures, "good", "*.yaml"))
	if err != nil || len(good) == 0 {
		t.Fatalf("no fixtures: %v", err)
	}
	for _, file := range good {
		if err := schema.Validate(plainOf(readText(t, file))); err != nil {
			t.Errorf("%s: %v", file, err)
		}
	}
}

func TestSchemaAcceptsBuiltins(t *testing.T) {
	schema := compileSchema(t)
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	names, err := Names(lib)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		data, err := lib.Read(n + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(plainOf(data)); err != nil {
			t.Errorf("%s: %v", n, err)
		}
		if !strings.HasPrefix(string(data), "# yaml-language-server: $schema=schema/sequence.schema.json\n") {
			t.Errorf("%s does not name its schema for editors on its first line", n)
		}
	}
}

// TestSchemaAgreesWithLoader changes one thing in a good file at a time: a key taken away, a strange one added, a value
// of another kind. Schema and loader have to say the same about each.
func TestSchemaAgreesWithLoader(t *testing.T) {
	schema := compileSchema(t)
	refused, accepted := 0, 0
	for _, file := range []string{"all-forms.yaml", "part.yaml"} {
		base := readText(t, filepath.Join(fixtures, "good", file))
		change(plainOf(base), func(tree any, what string) {
			text, err := json.Marshal(tree)
			if err != nil {
				t.Fatal(err)
			}
			_, lerr := Parse(file, text)
			serr := schema.Validate(plainOf(text))
			if (lerr == nil) != (serr == nil) {
				t.Errorf("%s, %s:\nloader: %v\nschema: %v", file, what, lerr, serr)
			}
			if lerr == nil {
				accepted++
			} else {
				refused++
			}
		})
	}
	t.Logf("%d changed files refused by both, %d accepted by both", refused, accepted)
	if refused < 1000 || accepted < 50 {
		t.Errorf("too few changes to say anything: %d refused, %d accepted", refused, accepted)
	}
}

// change calls try with every tree that differs from the given one in one place. The tree is changed and put back.
func change(root any, try func(tree any, what string)) {
	values := []any{nil, 7.0, true, "", "x", "x y", " x", "Not-An-Id", []any{}, []any{"x"}, map[string]any{}, "not-yet", "board", "circuit"}
	var walk func(v any, at string, set func(any))
	walk = func(v any, at string, set func(any)) {
		for _, x := range values {
			set(x)
			try(root, at+" = "+jsonText(x))
			set(v)
		}
		switch v := v.(type) {
		case map[string]any:
			v["stranger"] = "x"
			try(root, at+" + stranger")
			delete(v, "stranger")
			keys := make([]string, 0, len(v))
			for k := range v {
				keys = append(keys, k)
			}
			slices.Sort(keys)
			for _, k := range keys {
				old := v[k]
				delete(v, k)
				try(root, at+" - "+k)
				v[k] = old
				walk(old, at+"."+k, func(x any) { v[k] = x })
			}
		case []any:
			for i := range v {
				walk(v[i], at+"[]", func(x any) { v[i] = x })
			}
		}
	}
	m := root.(map[string]any)
	for k, v := range m {
		walk(v, k, func(x any) { m[k] = x })
	}
	for k, v := range m {
		delete(m, k)
		try(root, "without "+k)
		m[k] = v
	}
}

func jsonText(v any) string { b, _ := json.Marshal(v); return string(b) }
