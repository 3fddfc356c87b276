package lint

import (
	"path"
	"strings"

	"wanderlead/internal/exercise"
	"wanderlead/internal/explain"
	"wanderlead/internal/mistakes"
)

// guides checks the usual mistakes, the glossary, whose entries name one another and mistakes, and the exercises, which
// name rigs, sequences, circuits and faults.
func (c *check) guides() error {
	book, err := mistakes.Load(c.lib)
	if err := c.folder(mistakes.Folder, err); err != nil {
		return err
	}
	if book != nil { // what names a mistake cannot be told while there are none
		_, err = explain.Load(c.lib, book)
		if err := c.folder(explain.Folder, err); err != nil {
			return err
		}
	}
	return c.folder(exercise.Folder, exercise.Check(c.lib))
}

// folder takes over what was found in the files of one.
func (c *check) folder(name string, err error) error {
	if err != nil && !c.complain(name, err) {
		return err
	}
	files, err := c.lib.List(name)
	for _, f := range files {
		c.checked(name, strings.TrimSuffix(path.Base(f), ".yaml"))
	}
	return err
}

// guide takes over what was found in one file that was named.
func (c *check) guide(kind, name string, err error) error {
	if err != nil && !c.complain(kind, err) {
		return err
	}
	c.checked(kind, name)
	return nil
}
