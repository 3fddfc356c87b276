package safety

import "embed"

// Texts holds the wording of every safety question and answer (questions.yaml) and
// the cautions that belong to kinds of act and to tests (cautions.yaml), in English.
// They live here, beside the rules, because a reviewer of the rules has to see what
// a person is asked. Whoever loads them may add to them or translate them from an
// overlay folder; an empty text, or a translation that drops a placeholder, is an
// error.
//
//go:embed questions.yaml cautions.yaml
var Texts embed.FS
