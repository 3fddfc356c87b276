package explain_test

import (
	"io/fs"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"wanderlead/internal/content"
	"wanderlead/sequences"
)

// TestSchemas holds every file of mistakes and glossary against its schema, and shows that the schemas refuse something.
func TestSchemas(t *testing.T) {
	for folder, file := range map[string]string{"mistakes": "schema/mistakes.schema.json", "glossary": "schema/glossary.schema.json"} {
		data, err := sequences.FS.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		doc, err := jsonschema.UnmarshalJSON(strings.NewReader(string(data)))
		if err != nil {
			t.Fatal(err)
		}
		c := jsonschema.NewCompiler()
		if err := c.AddResource(file, doc); err != nil {
			t.Fatal(err)
		}
		s, err := c.Compile(file)
		if err != nil {
			t.Fatal(err)
		}
		names, _ := fs.Glob(sequences.FS, folder+"/*.yaml")
		if len(names) == 0 {
			t.Errorf("no files in %s", folder)
		}
		for _, name := range names {
			text, err := sequences.FS.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if err := s.Validate(decoded(t, string(text))); err != nil {
				t.Errorf("%s: %v", name, err)
			}
			list := map[string]string{"mistakes": "mistake: ", "glossary": "entry: "}[folder]
			if err := s.Validate(decoded(t, strings.Replace(string(text), "- "+list, "- unknown: 1\n    "+list, 1))); err == nil {
				t.Errorf("%s: an unknown key is taken", name)
			}
		}
	}
}

func decoded(t *testing.T, text string) any {
	t.Helper()
	return content.NewReader("f.yaml", []byte(text)).Root().Plain()
}
