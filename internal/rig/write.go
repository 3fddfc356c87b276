package rig

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strings"
)

// Write gives the rig as canonical YAML: keys in the order of the model, amounts with their units, one line for small
// records. Parse(Write(r)) gives r again for every rig that Parse accepts.
func Write(r *Rig) []byte {
	w := &writer{rig: r}
	w.record(rigRecord, r, "", "")
	return w.out.Bytes()
}

type writer struct {
	rig *Rig
	out bytes.Buffer
}

// record writes the fields of p, each on a line of its own. first stands before the first of them (the dash of a list
// item), indent before the others.
func (w *writer) record(rec *record, p any, first, indent string) {
	lead := first
	for _, f := range rec.fields {
		if !f.applies(w.rig, p) || !f.given(p) {
			continue
		}
		w.out.WriteString(lead + f.key + ":")
		lead = indent
		w.value(f, p, indent)
	}
}

func (w *writer) value(f *field, p any, indent string) {
	switch f.kind {
	case group, maybe:
		inner := f.at(p)
		if o, ok := inner.(optional); ok {
			inner = o.Get()
		}
		if f.rec.inline {
			w.out.WriteString(" " + w.flow(f.rec, inner) + "\n")
			return
		}
		w.out.WriteString("\n")
		w.record(f.rec, inner, indent+"  ", indent+"  ")
	case many:
		w.out.WriteString("\n")
		items := f.at(p).(list)
		for i := range items.Len() {
			if f.rec.inline {
				w.out.WriteString(indent + "  - " + w.flow(f.rec, items.Item(i)) + "\n")
				continue
			}
			w.record(f.rec, items.Item(i), indent+"  - ", indent+"    ")
		}
	case texts:
		items := *f.at(p).(*[]string)
		if f.words != nil {
			w.out.WriteString(" " + flowList(items) + "\n")
			return
		}
		w.out.WriteString("\n")
		for _, item := range items {
			w.out.WriteString(indent + "  - " + scalar(item) + "\n")
		}
	default:
		w.out.WriteString(" " + w.single(f, p) + "\n")
	}
}

// flow is a record on one line.
func (w *writer) flow(rec *record, p any) string {
	var parts []string
	for _, f := range rec.fields {
		if !f.applies(w.rig, p) || !f.given(p) {
			continue
		}
		if f.kind == texts {
			parts = append(parts, f.key+": "+flowList(*f.at(p).(*[]string)))
			continue
		}
		parts = append(parts, f.key+": "+w.single(f, p))
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

func flowList(items []string) string {
	parts := make([]string, len(items))
	for i, item := range items {
		parts[i] = scalar(item)
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

// single writes one value. Amounts are plain, as "230 V" is text to YAML; a bare number is left a number.
func (w *writer) single(f *field, p any) string {
	text := f.text(p)
	switch f.kind {
	case yesNo:
		if text == "yes" {
			return "true"
		}
		return "false"
	case wholeField, plainField, amount:
		return text
	}
	return scalar(text)
}

// plain matches texts that need no quotes in block or flow style and that no YAML reader takes for anything but text.
// It is narrower than YAML itself: quoting too much does no harm.
var plain = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9 ._/()+°²µΩ;'-]*$`)

var notText = map[string]bool{
	"true": true, "false": true, "yes": true, "no": true, "on": true, "off": true, "null": true, "y": true, "n": true,
}

// scalar writes a text, quoted where YAML could read it otherwise.
func scalar(s string) string {
	if plain.MatchString(s) && !strings.HasSuffix(s, " ") && !notText[strings.ToLower(s)] {
		return s
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b) // JSON strings are double-quoted YAML scalars
	enc.SetEscapeHTML(false)
	if err := enc.Encode(s); err != nil {
		return `""`
	}
	return strings.TrimSuffix(b.String(), "\n")
}
