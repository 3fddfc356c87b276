package app

import (
	"bytes"
	"io/fs"
	"os"
	"path"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"wanderlead/internal/content"
	"wanderlead/sequences"
)

// Every file of content tells an editor which schema it follows, by the modeline of the
// YAML language server, and follows it.
func TestModelines(t *testing.T) {
	schemas := map[string]*jsonschema.Schema{}
	files := 0
	root := os.DirFS("../..")
	look := func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(name) != ".yaml" {
			return err
		}
		files++
		data, err := fs.ReadFile(root, name)
		if err != nil {
			return err
		}
		first, _, _ := strings.Cut(string(data), "\n")
		file, ok := strings.CutPrefix(first, "# yaml-language-server: $schema=")
		if !ok {
			t.Errorf("%s begins with %q, not with a modeline", name, first)
			return nil
		}
		file = path.Join(path.Dir(name), file)
		if schemas[file] == nil {
			schemas[file] = compiled(t, strings.TrimPrefix(file, "sequences/"))
		}
		if err := schemas[file].Validate(content.NewReader(name, data).Root().Plain()); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		return nil
	}
	for _, folder := range []string{"sequences", "safety"} {
		if err := fs.WalkDir(root, folder, look); err != nil {
			t.Fatal(err)
		}
	}
	if files < 50 || len(schemas) < 6 {
		t.Fatalf("%d files by %d schemas", files, len(schemas))
	}
}

func compiled(t *testing.T, file string) *jsonschema.Schema {
	t.Helper()
	data, err := fs.ReadFile(sequences.FS, file)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource(file, doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(file)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The schemas of words and of marking refuse what the loaders refuse.
func TestSchemasOfWordsAndMarking(t *testing.T) {
	for file, bad := range map[string][]string{
		"schema/words.schema.json":   {"words: en\n", "words: EN_gb\ntexts: {a: b}\n", "words: en\ntexts: {a: 3}\n", "words: en\ntexts: {a: b}\nmore: 1\n", "texts: {a: b}\n"},
		"schema/marking.schema.json": {"tolerances: x\nstatus: y\n", "tolerances: x\nstatus: y\nrows: [{for: high-ohm}]\n", "difficulty: x\nstatus: y\nlevels: [{level: 4, kinds: [F01]}]\n", "difficulty: x\nstatus: y\nlevels: [{level: 1, kinds: [G01]}]\n"},
	} {
		s := compiled(t, file)
		for _, text := range bad {
			if s.Validate(content.NewReader("bad", []byte(text)).Root().Plain()) == nil {
				t.Errorf("%s accepts %q", file, text)
			}
		}
	}
}
