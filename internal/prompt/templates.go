//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package prompt

import (
	"sync"

	"github.com/AlecAivazis/survey/v2"
)

// optionTemplate draws one line of a list. survey also asks the template of its
// other kind of list how tall an option is, so that one gets it as well.
const optionTemplate = `
{{- define "option"}}
{{- if eq .SelectedIndex .CurrentIndex}}{{color .Config.Icons.SelectFocus.Format}}{{.Config.Icons.SelectFocus.Text}} {{else}}{{"   "}}{{end}}
{{- .CurrentOpt.Value}}{{color "reset"}}
{{end}}`

// selectTemplate: the question and what is typed, the hint, the options; then,
// answered, the question and the answer on one line.
const selectTemplate = optionTemplate + `
{{- color .Config.Icons.Question.Format}}{{.Config.Icons.Question.Text}}{{color "reset"}} {{.Message}}
{{- if .ShowAnswer}}{{"  "}}{{color "accent"}}{{.Answer}}{{color "reset"}}{{"\n"}}
{{- else}}{{.FilterMessage}}{{"\n   "}}{{.Help}}{{"\n"}}
{{- range $i, $option := .PageEntries}}{{template "option" $.IterateOption $i $option}}{{end}}
{{- end}}`

const inputTemplate = `
{{- color .Config.Icons.Question.Format}}{{.Config.Icons.Question.Text}}{{color "reset"}} {{.Message}}{{" "}}
{{- if .ShowAnswer}}{{color "accent"}}{{.Answer}}{{color "reset"}}{{"\n"}}{{end}}`

var ownTemplates sync.Once

func useOwnTemplates() {
	ownTemplates.Do(func() {
		survey.SelectQuestionTemplate = selectTemplate
		survey.InputQuestionTemplate = inputTemplate
		survey.MultiSelectQuestionTemplate = optionTemplate
	})
}
