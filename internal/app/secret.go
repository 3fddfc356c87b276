package app

import (
	"wanderlead/internal/prompt"
)

// sameAgain has a code that is being set typed once more: nobody sees what was typed, and a slip of the finger would be found
// at the first gate only.
func sameAgain(front prompt.Front, v *view, id, first string) (bool, error) {
	r, err := front.Ask(prompt.Question{ID: id + "/again", Kind: prompt.Secret, Gate: true, Ask: v.text("code.again", nil)})
	if err != nil {
		return false, err
	}
	if r.Command != "" || r.Raw != first {
		front.Show("", v.text("code.differs", nil))
		return false, nil
	}
	return true, nil
}
