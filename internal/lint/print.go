package lint

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
)

// Text prints problems, then remarks, then a line for what was checked.
func (r *Report) Text(out io.Writer) error {
	var b strings.Builder
	bad := r.Problems.Bad()
	for _, p := range bad {
		b.WriteString(p.text())
	}
	remarks := 0
	for _, p := range r.Problems {
		if p.Remark {
			b.WriteString(p.text())
			remarks++
		}
	}
	for _, c := range r.Checked {
		b.WriteString(c.text() + "\n")
	}
	fmt.Fprintf(&b, "%s, %s\n", count(len(bad), "problem"), count(remarks, "remark"))
	_, err := io.WriteString(out, b.String())
	return err
}

func count(n int, what string) string {
	switch n {
	case 0:
		return "no " + what + "s"
	case 1:
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func (p Problem) text() string {
	text := p.Error.Error()
	if p.Remark {
		text = "remark: " + text
	}
	if len(p.Rigs) > 0 {
		text += "\non: " + strings.Join(p.Rigs, ", ")
	}
	return text + "\n"
}

func (c Checked) text() string {
	s := c.Kind + " " + c.Name
	if c.Rig != "" {
		s += " on " + c.Rig
	}
	if c.Incoming != "" {
		s += ", origin " + c.Incoming
	}
	if c.Answers > 0 {
		s += fmt.Sprintf(": %d answers", c.Answers)
		if c.FirstReading >= 0 {
			s += fmt.Sprintf(", first reading after %d", c.FirstReading)
		}
	}
	if w := c.Walk; w != nil {
		s += fmt.Sprintf("; walked %d states", w.States)
		switch {
		case w.Cut:
			s += ", cut short"
		case w.Remembered:
			s += " before"
		}
	}
	return s
}

type jsonProblem struct {
	File    string   `json:"file"`
	Line    int      `json:"line"`
	Col     int      `json:"col"`
	Message string   `json:"message"`
	Source  string   `json:"source"`
	Hints   []string `json:"hints"`
	Rule    string   `json:"rule"`
	Rigs    []string `json:"rigs"`
}

// JSON prints the report as one object.
func (r *Report) JSON(out io.Writer) error {
	v := struct {
		Problems []jsonProblem `json:"problems"`
		Remarks  []jsonProblem `json:"remarks"`
		Checked  []Checked     `json:"checked"`
	}{[]jsonProblem{}, []jsonProblem{}, r.Checked}
	if v.Checked == nil {
		v.Checked = []Checked{}
	}
	for _, p := range r.Problems {
		j := jsonProblem{p.File, p.Line, p.Col, p.Message, p.Source(), list(p.Hints), p.Rule, list(p.Rigs)}
		if p.Remark {
			v.Remarks = append(v.Remarks, j)
		} else {
			v.Problems = append(v.Problems, j)
		}
	}
	enc := json.NewEncoder(out)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

func list(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}
