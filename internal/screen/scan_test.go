package screen_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"wanderlead/safety"
)

// emitted is a text id found in the source of package coach, with the parameters it
// is given where they stand beside it.
type emitted struct {
	id     string
	params []string
	known  bool // params could be read off the source
	at     token.Position
}

// expansions says which values a joined id can end in. An id that coach joins from
// anything not listed here fails the test, so that a new one cannot be missed.
func expansions() map[string][]string {
	var causes, facts []string
	for c := safety.Pause; c <= safety.Harm; c++ {
		causes = append(causes, c.String())
	}
	for _, f := range []safety.Fact{safety.FactLedger, safety.FactUpstream, safety.FactNoFault, safety.FactIncoming, safety.FactInstallation, safety.FactCircuitOn} {
		facts = append(facts, strings.ReplaceAll(string(f), "/", "."))
	}
	return map[string][]string{
		"perished.":            causes,
		"set-up.":              {"lead", "null", "switch", "load"},
		"pairs.":               {"missing", "twice", "unknown-pair", "no-value", "points"},
		"ask.barred.":          append(facts, ""),
		"ask.gate.":            {"incoming.switch-on", "installation.switch-on"},
		"switch-on.":           {"incoming", "installation"},
		"option.stop.":         nil, // from the lists in dialog.go, below
		"option.harm.":         nil,
		"option.decide.":       nil,
		"ask.":                 nil, // from the choices, below
		"option.":              nil,
		"because.":             nil,
		"because.indicator.":   nil,
		"because.prove-again.": nil,
		"refused.":             nil, // from the calls of refuse, below
		"next-":                {"neutral-bars", "supply-cable", "own-bar"},
		"/":                    nil, // ids of steps and readings, not of texts
		"-open":                {"neutral-bars", "supply-cable", "own-bar"},
		"-joined":              {"neutral-bars", "supply-cable", "own-bar"},
		"option.switch-on.":    nil,
	}
}

func coachFiles(t *testing.T) (*token.FileSet, []*ast.File) {
	t.Helper()
	names, err := filepath.Glob("../coach/*.go")
	if err != nil || len(names) == 0 {
		t.Fatal(names, err)
	}
	fset := token.NewFileSet()
	var files []*ast.File
	for _, n := range names {
		if strings.HasSuffix(n, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, n, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	return fset, files
}

type collector struct {
	t      *testing.T
	fset   *token.FileSet
	consts map[string]string
	out    []emitted
}

// constants are the string constants of the package by name.
func constants(files []*ast.File) map[string]string {
	out := map[string]string{}
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			if v, ok := n.(*ast.ValueSpec); ok {
				for i, name := range v.Names {
					if i < len(v.Values) {
						if s, ok := literal(v.Values[i]); ok {
							out[name.Name] = s
						}
					}
				}
			}
			return true
		})
	}
	return out
}

func literal(e ast.Expr) (string, bool) {
	l, ok := e.(*ast.BasicLit)
	if !ok || l.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(l.Value)
	return s, err == nil
}

func (c *collector) visit(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.CompositeLit:
		c.literalOf(n)
	case *ast.CallExpr:
		c.call(n)
	case *ast.AssignStmt:
		c.assign(n)
	case *ast.ValueSpec:
		c.list(n)
	}
	return true
}

func (c *collector) add(prefix string, e ast.Expr, params ast.Expr) {
	p, known := paramKeys(params)
	for _, id := range c.values(e) {
		if id != "" {
			c.out = append(c.out, emitted{prefix + id, p, known, c.fset.Position(e.Pos())})
		}
	}
}

// values are the strings an expression can be: a literal, a constant, or a join.
func (c *collector) values(e ast.Expr) []string {
	if s, ok := literal(e); ok {
		return []string{s}
	}
	switch e := e.(type) {
	case *ast.Ident:
		if s, ok := c.consts[e.Name]; ok {
			return []string{s}
		}
	case *ast.BinaryExpr:
		return c.joined(e)
	}
	return nil
}

func (c *collector) joined(e *ast.BinaryExpr) []string {
	parts := flatten(e)
	for _, p := range parts {
		s, ok := literal(p)
		if !ok {
			continue
		}
		ends, listed := expansions()[s]
		if !listed && strings.HasPrefix(s, ".") { // the tail of a join whose head decides
			continue
		}
		if !listed {
			c.t.Errorf("%s: an id is joined with %q, which this test does not know", c.fset.Position(e.Pos()), s)
			return nil
		}
		var out []string
		for _, end := range ends {
			if strings.HasPrefix(s, "-") {
				out = append(out, end+s)
			} else {
				out = append(out, s+end)
			}
		}
		return out
	}
	return nil
}

func flatten(e ast.Expr) []ast.Expr {
	if b, ok := e.(*ast.BinaryExpr); ok {
		return append(flatten(b.X), flatten(b.Y)...)
	}
	return []ast.Expr{e}
}

func paramKeys(e ast.Expr) ([]string, bool) {
	switch e := e.(type) {
	case *ast.Ident:
		return nil, e.Name == "nil"
	case *ast.CallExpr:
		if f, ok := e.Fun.(*ast.Ident); ok && f.Name == "params" {
			var keys []string
			for i := 0; i < len(e.Args); i += 2 {
				s, _ := literal(e.Args[i])
				keys = append(keys, s)
			}
			return keys, true
		}
	}
	return nil, false
}

// literalOf reads Note{"id", params}, choiceSpec{key, right, wrong}, and the TextID of
// questions and options.
func (c *collector) literalOf(n *ast.CompositeLit) {
	name := ""
	switch t := n.Type.(type) {
	case *ast.Ident:
		name = t.Name
	case *ast.ArrayType:
		if id, ok := t.Elt.(*ast.Ident); ok && id.Name == "Note" {
			for _, e := range n.Elts {
				if note, ok := e.(*ast.CompositeLit); ok && len(note.Elts) == 2 {
					c.add("", note.Elts[0], note.Elts[1])
				}
			}
		}
	}
	switch {
	case name == "Note" && len(n.Elts) == 2:
		c.add("", n.Elts[0], n.Elts[1])
	case name == "choiceSpec" && len(n.Elts) == 3:
		c.choice(n.Elts[0], n.Elts[1], n.Elts[2])
	}
	for _, e := range n.Elts {
		kv, ok := e.(*ast.KeyValueExpr)
		if !ok {
			continue
		}
		if key, ok := kv.Key.(*ast.Ident); ok && key.Name == "TextID" {
			c.add("", kv.Value, nil)
		}
	}
}

// choice adds a question with its answers, and why each wrong one is not accepted.
func (c *collector) choice(key, right, wrong ast.Expr) {
	for _, k := range c.values(key) {
		c.add("ask.", key, nil)
		c.add("option."+k+".", right, nil)
		for _, w := range c.wrongs(wrong) {
			c.out = append(c.out,
				emitted{id: "option." + k + "." + w, at: c.fset.Position(wrong.Pos())},
				emitted{id: "because." + k + "." + w, at: c.fset.Position(wrong.Pos())})
		}
	}
}

func (c *collector) wrongs(e ast.Expr) []string {
	var out []string
	ast.Inspect(e, func(n ast.Node) bool {
		if x, ok := n.(ast.Expr); ok {
			if s, ok := literal(x); ok {
				out = append(out, s)
			}
		}
		return true
	})
	return out
}

// call reads refuse(fb, "id", params) and own(test, class, reading, unit, "id", "next", params).
func (c *collector) call(n *ast.CallExpr) {
	f, ok := n.Fun.(*ast.Ident)
	switch {
	case !ok:
	case f.Name == "refuse" && len(n.Args) == 3:
		c.add("refused.", n.Args[1], n.Args[2])
	case f.Name == "own" && len(n.Args) == 7:
		c.add("", n.Args[4], nil)
		c.add("", n.Args[5], nil)
	}
}

// assign reads fb.Refused = "id", q.ID, q.TextID = "…", "ask.…", values = []string{…}
// of the dialogs, and key, right, wrong = … of a proving round.
func (c *collector) assign(n *ast.AssignStmt) {
	for i, l := range n.Lhs {
		if i >= len(n.Rhs) {
			return
		}
		switch l := l.(type) {
		case *ast.SelectorExpr:
			switch l.Sel.Name {
			case "Refused":
				c.refusal(n.Rhs[i])
			case "TextID":
				c.add("", n.Rhs[i], nil)
			}
		case *ast.Ident:
			switch {
			case l.Name == "values":
				for _, e := range elements(n.Rhs[i]) {
					c.add("option.decide.", e, nil)
				}
			case l.Name == "id":
				c.add("", n.Rhs[i], nil)
			case l.Name == "key" && len(n.Lhs) >= i+3 && n.Tok == token.ASSIGN:
				c.choice(n.Rhs[i], n.Rhs[i+1], n.Rhs[i+2])
			}
		}
	}
}

func (c *collector) refusal(e ast.Expr) {
	for _, id := range c.values(e) {
		prefix := "refused."
		if strings.HasPrefix(id, "because.") {
			prefix = ""
		}
		c.out = append(c.out, emitted{id: prefix + id, at: c.fset.Position(e.Pos())})
	}
}

func elements(e ast.Expr) []ast.Expr {
	if l, ok := e.(*ast.CompositeLit); ok {
		return l.Elts
	}
	return nil
}

// list reads what can be answered to stop, and after somebody was hurt.
func (c *collector) list(n *ast.ValueSpec) {
	prefix, ok := map[string]string{"stopAnswers": "option.stop.", "harmAnswers": "option.harm."}[n.Names[0].Name]
	if len(n.Names) == 1 && ok {
		for _, e := range elements(n.Values[0]) {
			c.add(prefix, e, nil)
		}
	}
}
