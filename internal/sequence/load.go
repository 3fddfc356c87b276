package sequence

import (
	"fmt"
	"path"
	"strings"

	"wanderlead/internal/content"
)

// Load reads the sequence of that name from the library. The error lists everything that is wrong with the file, each
// with line and column, or says which sequences there are.
func Load(lib *content.Library, name string) (*Sequence, error) {
	if !validID(name) {
		return nil, fmt.Errorf("%q is not the name of a sequence\nhint: %s", name, nameHint(lib, name))
	}
	reader, err := lib.Open(name + ".yaml")
	if err != nil {
		if content.NotFound(err) {
			return nil, fmt.Errorf("there is no sequence %q\nhint: %s", name, nameHint(lib, name))
		}
		return nil, err
	}
	s := parse(reader)
	if s.ID != "" && s.ID != name {
		reader.Root().Field("sequence").Errorf("rename the file or the sequence", "the file is named %s.yaml, the sequence %s", name, s.ID)
	}
	return s, reader.Err()
}

// Names lists the sequences in the library, whole ones and parts.
func Names(lib *content.Library) ([]string, error) {
	files, err := lib.List("")
	if err != nil {
		return nil, err
	}
	for i, f := range files {
		files[i] = strings.TrimSuffix(path.Base(f), ".yaml")
	}
	return files, nil
}

func nameHint(lib *content.Library, name string) string {
	names, err := Names(lib)
	if err != nil || len(names) == 0 {
		return "put one into your content folder"
	}
	return content.DidYouMean(name, names)
}

// NewFinder finds sequences of a library for includes; each is read once.
func NewFinder(lib *content.Library) Finder {
	type found struct {
		seq *Sequence
		err error
	}
	known := map[string]found{}
	return func(name string) (*Sequence, error) {
		f, ok := known[name]
		if !ok {
			f.seq, f.err = Load(lib, name)
			known[name] = f
		}
		return f.seq, f.err
	}
}

// Whole reports whether the sequence has stages and can be worked through; the others are parts to include.
func (s *Sequence) Whole() bool { return len(s.Stages) > 0 }

// At is where the sequence was written.
func (s *Sequence) At() content.Value { return s.at }

// Include is one place where a sequence includes another.
type Include struct {
	Name string
	At   content.Value
}

// Includes lists the sequences that this one includes, in the order of the file.
func (s *Sequence) Includes() []Include {
	var out []Include
	s.walk(func(n *node) {
		if n.include != "" {
			out = append(out, Include{n.include, n.at})
		}
	})
	return out
}

// Places lists where the sequence's own steps and includes are written, in the order of the file.
func (s *Sequence) Places() []content.Value {
	var out []content.Value
	s.walk(func(n *node) {
		if n.each == "" && n.block == "" {
			out = append(out, n.at)
		}
	})
	return out
}

func (s *Sequence) walk(visit func(*node)) {
	var nodes func([]node)
	nodes = func(ns []node) {
		for i := range ns {
			visit(&ns[i])
			nodes(ns[i].steps)
		}
	}
	for _, st := range s.Stages {
		nodes(st.steps)
	}
	nodes(s.Steps)
}

// Written is a step as it stands in the file, before any rig.
type Written struct {
	At    content.Value
	Form  Form
	Test  string
	Text  *Text
	Right Option
	Wrong []Option
}

// Written lists the sequence's own steps, in the order of the file.
func (s *Sequence) Written() []Written {
	var out []Written
	s.walk(func(n *node) {
		if n.form != 0 {
			out = append(out, Written{At: n.at, Form: n.form, Test: n.test, Text: &n.text, Right: n.right, Wrong: n.wrong})
		}
	})
	return out
}
