package pages

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/internal/edition"
)

// Say fills a text of the catalogue.
type Say func(id string, params map[string]string) string

// Begin and End mark where the numbers stand on their page.
const (
	Begin = "<!-- numbers: written by  go test ./internal/pages -update  -->\n"
	End   = "<!-- /numbers -->\n"
)

// folders are where files of numbers lie.
var folders = []string{"editions", "marking"}

// row is one number, or several that stand together, with what they rest on.
type row struct{ section, what, value, standard, source, status string }

// tables writes a table for each section of each file that holds numbers, as Markdown.
func tables(lib *content.Library, say Say) (string, error) {
	var b strings.Builder
	for _, folder := range folders {
		files, err := lib.List(folder)
		if err != nil {
			return "", err
		}
		for _, name := range files {
			r, err := lib.Open(name)
			if err != nil {
				return "", err
			}
			m := r.Root().OpenMap("file of numbers")
			c := collector{head: map[string]string{}}
			c.top(m)
			if err := r.Err(); err != nil {
				return "", err
			}
			c.write(&b, name, say)
		}
	}
	return b.String(), nil
}

// collector walks one file. A number's source and status are its own or those of the map
// it stands in.
type collector struct {
	head map[string]string // scalars at the top of the file
	rows []row
}

// about are the keys of a map that tell of its numbers and are none.
var about = map[string]bool{"source": true, "status": true, "why": true, "what": true, "standard": true}

func (c *collector) top(m content.Map) {
	for _, k := range m.Keys() {
		if v := m.Opt(k); v.Kind() == content.Scalar {
			c.head[k] = v.Raw()
		}
	}
	for _, k := range m.Keys() {
		c.walk(m.Opt(k), row{section: k, source: c.head["source"], status: c.head["status"]}, k == "values")
	}
}

// walk takes the rows below a value; named says that the keys of a map are the names of
// what stands below them.
func (c *collector) walk(v content.Value, at row, named bool) {
	switch v.Kind() {
	case content.ListKind:
		for _, item := range v.List() {
			c.walk(item, at, false)
		}
	case content.MapKind:
		m := v.OpenMap("numbers")
		if !named {
			at = c.own(m, at)
		}
		for _, k := range m.Keys() {
			below := at
			if named {
				below.what = k
			}
			if x := m.Opt(k); x.Kind() == content.MapKind || listOfMaps(x) {
				c.walk(x, below, false)
			}
		}
	}
}

func listOfMaps(v content.Value) bool {
	return v.Kind() == content.ListKind && len(v.List()) > 0 && v.List()[0].Kind() == content.MapKind
}

// own takes what a map says itself, and its row if it holds a number.
func (c *collector) own(m content.Map, at row) row {
	var words, numbers []string
	for _, k := range m.Keys() {
		v := m.Opt(k)
		text := plainList(v)
		switch {
		case k == "source":
			at.source = text
		case k == "status":
			at.status = text
		case k == "standard" || k == "what":
			at.what = joined(", ", at.what, text)
			if k == "standard" {
				at.standard = text
			}
		case about[k] || text == "":
		case k == "value":
			numbers = append(numbers, joined(" ", text, m.Opt("unit").Raw()))
		case k == "unit" && m.Has("value"):
		case strings.ContainsAny(text, "0123456789") && !strings.ContainsAny(text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ") || text == "true":
			numbers = append(numbers, joined(" ", strings.ReplaceAll(k, "_", " "), text))
		default:
			words = append(words, joined(" ", strings.ReplaceAll(k, "_", " "), text))
		}
	}
	if len(numbers) > 0 {
		r := at
		r.what, r.value = joined(", ", at.what, strings.Join(words, ", ")), strings.Join(numbers, ", ")
		c.rows = append(c.rows, r)
	}
	return at
}

// plainList is a scalar or a list of scalars as text, "" for anything else.
func plainList(v content.Value) string {
	switch v.Kind() {
	case content.Scalar:
		return v.Raw()
	case content.ListKind:
		var out []string
		for _, item := range v.List() {
			if item.Kind() != content.Scalar {
				return ""
			}
			out = append(out, item.Raw())
		}
		return strings.Join(out, ", ")
	}
	return ""
}

func joined(sep string, texts ...string) string {
	return strings.Join(slices.DeleteFunc(slices.Clone(texts), func(s string) bool { return s == "" }), sep)
}

// write writes the rows of one file: what they come to, then a table a section.
func (c *collector) write(b *strings.Builder, name string, say Say) {
	word := func(id string, kv ...string) string {
		m := map[string]string{}
		for i := 0; i+1 < len(kv); i += 2 {
			m[kv[i]] = kv[i+1]
		}
		return say("pages.numbers."+id, m)
	}
	base := strings.TrimSuffix(path.Base(name), ".yaml")
	fmt.Fprintf(b, "\n## %s\n\n%s\n", joined(": ", base, c.head["title"]), word("file", "file", name))
	if under := c.head["base"]; under != "" {
		fmt.Fprintf(b, "\n%s\n", word("base", "base", under, "carried", c.head["carried_over"]))
	}
	if len(c.rows) > 0 {
		fmt.Fprintf(b, "\n%s\n", word("count", "count", fmt.Sprint(len(c.rows)), "statuses", c.statuses()))
	}
	section := ""
	for _, r := range c.rows {
		if r.section != section {
			section = r.section
			fmt.Fprintf(b, "\n### %s\n\n| %s | %s | %s | %s |\n|---|---|---|---|\n", strings.ReplaceAll(section, "_", " "),
				word("what"), word("value"), word("source"), word("status"))
		}
		source := r.source
		switch {
		case source == r.status:
			source = "" // "common practice, no source" is said once
		case source == "" && r.status != string(edition.CommonPractice):
			source = r.standard // what a product standard asks of its products
		}
		fmt.Fprintf(b, "| %s | %s | %s | %s |\n", cell(or(r.what, strings.ReplaceAll(r.section, "_", " "))), cell(r.value), cell(source), cell(r.status))
	}
}

func or(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

func cell(s string) string { return strings.ReplaceAll(s, "|", "/") }

// statuses counts the rows by status, in the order of their first.
func (c *collector) statuses() string {
	var order []string
	n := map[string]int{}
	for _, r := range c.rows {
		if n[r.status] == 0 {
			order = append(order, r.status)
		}
		n[r.status]++
	}
	for i, s := range order {
		order[i] = fmt.Sprintf("%d %s", n[s], s)
	}
	return strings.Join(order, "; ")
}
