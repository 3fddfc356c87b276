// Package handout makes what is handed out and handed in on paper: the schedule of test
// results, a blank one, a trainer's crib sheet of a rig, an assessor's mark sheet, a
// candidate's feedback and a learner's progress.
//
// Each is a pdf.Sheet made from values that other packages worked out; nothing is
// judged here. Every sheet says what it is not, and a scripted, simulated or unfinished
// session is named on every page. Wording stands in the text catalogue under "sheet.".
package handout

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"wanderlead/internal/pdf"
)

// Text fills a text of the catalogue.
type Text func(id string, params map[string]string) string

// say fills a text; params are name, value, name, value …
func (t Text) say(id string, params ...string) string {
	m := make(map[string]string, len(params)/2)
	for i := 0; i+1 < len(params); i += 2 {
		v := params[i+1]
		if len(v) > 0 && v[0] == '@' {
			v = " " + v // typed text must not be taken for the id of another text
		}
		m[params[i]] = v
	}
	return t(id, m)
}

// begin is a sheet with its title, its notice and its pages named.
func (t Text) begin(kind string, date string) pdf.Sheet {
	s := pdf.Sheet{Title: t.say("sheet." + kind + ".title"), Language: t.say("sheet.language"), Not: t.not(kind),
		Page: func(page, of int) string {
			return t.say("sheet.page", "page", strconv.Itoa(page), "of", strconv.Itoa(of))
		}}
	if d, err := time.Parse(time.RFC3339, date); err == nil {
		s.Date = d
	}
	return s
}

// not is what the sheet is not, and before it that its language is a draft, where it is.
func (t Text) not(kind string) string {
	not := t.say("sheet." + kind + ".not")
	if draft := t.say("sheet.draft"); draft != "" {
		not = draft + " " + not
	}
	return not
}

// heads makes columns; the numbers are those that take the room that is left.
func heads(texts []string, grow ...int) []pdf.Column {
	out := make([]pdf.Column, len(texts))
	for i, h := range texts {
		out[i].Head = h
	}
	for _, i := range grow {
		out[i].Grow = true
	}
	return out
}

func (t Text) heads(sheet string, keys ...string) []string {
	out := make([]string, len(keys))
	for i, k := range keys {
		out[i] = t.say("sheet." + sheet + ".column." + k)
	}
	return out
}

func join(sep string, texts ...string) string {
	return strings.Join(slices.DeleteFunc(slices.Clone(texts), func(s string) bool { return s == "" }), sep)
}
