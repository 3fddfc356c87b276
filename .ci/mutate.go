//go:build ignore

// mutate changes our own code, one operator, constant, condition or list entry at a time, and says which changes no
// test notices.
//
//	go run .ci/mutate.go [-sample N] [-only TEXT] [-near] [-list] [-v]
//
// What is changed: every rule of package safety, every comparison, condition, sum and number of package judge. All
// changes of a package are built in at once, each behind its number, and the environment says which of them is in
// force; so a package's tests are built once, and the nearest run first. A change is killed by the first test that
// fails, or that does not end. What is known to survive, with the reason, stands in .ci/survivors.txt; any other
// survivor is an error, and so is a rate below 95 in 100.
package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"go/ast"
	"go/build"
	"go/format"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

// suite is some tests of a package, with the environment variable that says which change is in force.
type suite struct {
	pkg, run string
	args     []string
}

// target is a package that is changed, and the tests that should notice, the nearest first.
type target struct {
	dir    string
	rules  bool // lists, cases, results and assignments too
	suites []suite
}

var targets = []target{
	{"safety", true, []suite{
		{pkg: "safety"},
		{pkg: "internal/coach"},
		{pkg: "internal/lint", run: "Sequence|Rule|Order|Gate|Builtin|Own|Lesson|Many|Empty"},
		{pkg: "internal/walk", run: "TestWalk$|EachRule|NoGate|Streams|SequenceMutants"},
		{pkg: "internal/study", run: "Moves|Bystander|Any|Healthy|Dead|Spoiled"},
		{pkg: "internal/screen"},
		{pkg: "internal/sequence"},
		{pkg: "internal/app", run: "Script"},
	}},
	{"internal/judge", false, []suite{
		{pkg: "internal/judge"},
		{pkg: "internal/coach"},
		{pkg: "internal/explain"},
		{pkg: "internal/lint", run: "Builtin|Own"},
		{pkg: "internal/app", run: "Script|Judge"},
	}},
}

const known = ".ci/survivors.txt"

func main() {
	sample := flag.Int("sample", 0, "try only so many changes, chosen by chance")
	only := flag.String("only", "", "try only changes whose description holds this")
	list := flag.Bool("list", false, "list the changes and stop")
	near := flag.Bool("near", false, "only the nearest tests")
	verbose := flag.Bool("v", false, "say what killed each change")
	flag.Parse()
	if root, err := exec.Command("go", "env", "GOROOT").Output(); err == nil { // built with -trimpath, a program does not know it
		build.Default.GOROOT = strings.TrimSpace(string(root))
	}
	reasons, err := readKnown()
	if err != nil {
		fail(err)
	}
	made, killed, bad := 0, 0, 0
	for _, t := range targets {
		w, err := newWork(t)
		if err != nil {
			fail(err)
		}
		w.choose(*sample, *only)
		if *near {
			w.suites = w.suites[:1]
		}
		if *list {
			for _, m := range w.chosen {
				fmt.Println(m)
			}
			continue
		}
		if err := w.run(*verbose); err != nil {
			fail(err)
		}
		n, k, b := w.tell(reasons)
		made, killed, bad = made+n, killed+k, bad+b
		os.RemoveAll(w.tmp)
	}
	if *list || made == 0 {
		return
	}
	rate := 100 * float64(killed) / float64(made)
	fmt.Printf("changes in all: %d, killed %d (%.1f %%), %d survive without a reason in %s\n", made, killed, rate, bad, known)
	if bad > 0 || *sample == 0 && rate < 95 {
		os.Exit(1)
	}
}

func fail(err error) {
	fmt.Fprintln(os.Stderr, "mutate:", err)
	os.Exit(1)
}

// change is one change of the code.
type change struct {
	id          int
	file, where string // function or table
	from, to    string
	again       int // how many like it come before it
	killer      string
}

func (c *change) String() string {
	text := fmt.Sprintf("%s %s: %s => %s", c.file, c.where, c.from, c.to)
	if c.again > 0 {
		text += fmt.Sprintf(" (%d)", c.again+1)
	}
	return text
}

// work is the changes of one target.
type work struct {
	target
	tmp    string
	fset   *token.FileSet
	info   *types.Info
	pkg    *types.Package
	files  map[string]*ast.File
	src    map[string][]byte
	puts   map[string][]put
	all    []*change
	chosen []*change
	fn     string
	file   string
}

// put is text that is put into source: before what begins at its place, or after what ends there. One may enclose
// others.
type put struct {
	at    int
	after bool
	text  string
}

func newWork(t target) (*work, error) {
	tmp, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return nil, err
	}
	w := &work{target: t, tmp: tmp, fset: token.NewFileSet(), files: map[string]*ast.File{}, src: map[string][]byte{}, puts: map[string][]put{},
		info: &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}, Defs: map[*ast.Ident]types.Object{}}}
	names, err := filepath.Glob(filepath.Join(t.dir, "*.go"))
	if err != nil {
		return nil, err
	}
	var files []*ast.File
	for _, n := range names {
		if strings.HasSuffix(n, "_test.go") {
			continue
		}
		if w.src[n], err = os.ReadFile(n); err != nil {
			return nil, err
		}
		f, err := parser.ParseFile(w.fset, n, w.src[n], parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		w.files[n], files = f, append(files, f)
	}
	conf := types.Config{Importer: importer.ForCompiler(w.fset, "source", nil)}
	if w.pkg, err = conf.Check("wanderlead/"+t.dir, w.fset, files, w.info); err != nil {
		return nil, err
	}
	for _, n := range names {
		if f := w.files[n]; f != nil {
			w.file = n
			w.visit(f)
		}
	}
	return w, w.overlay()
}

func (w *work) choose(sample int, only string) {
	w.chosen = w.all
	if only != "" {
		w.chosen = slices.DeleteFunc(slices.Clone(w.all), func(c *change) bool { return !strings.Contains(c.String(), only) })
	}
	if sample > 0 {
		r := rand.New(rand.NewPCG(uint64(time.Now().UnixNano()), 1))
		w.chosen = slices.Clone(w.chosen)
		r.Shuffle(len(w.chosen), func(i, j int) { w.chosen[i], w.chosen[j] = w.chosen[j], w.chosen[i] })
		w.chosen = w.chosen[:min(sample, len(w.chosen))]
	}
}

// overlay writes the changed files, and a file that reads the environment, for the go command's -overlay.
func (w *work) overlay() error {
	replace := map[string]string{}
	write := func(name string, text []byte) error {
		out := filepath.Join(w.tmp, filepath.Base(name))
		abs, err := filepath.Abs(name)
		replace[abs] = out
		return errors.Join(err, os.WriteFile(out, text, 0o600))
	}
	for n, puts := range w.puts {
		text, err := format.Source(apply(w.src[n], puts))
		if err != nil {
			return fmt.Errorf("%s: %w", n, err)
		}
		if err := write(n, text); err != nil {
			return err
		}
	}
	env := fmt.Sprintf("package %s\n\nimport (\n\t\"os\"\n\t\"strconv\"\n)\n\nvar mutantNumber = func() int { n, _ := strconv.Atoi(os.Getenv(\"MUTANT\")); return n }()\n", w.pkg.Name())
	if err := write(filepath.Join(w.dir, "mutant_number.go"), []byte(env)); err != nil {
		return err
	}
	data, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(w.tmp, "overlay.json"), data, 0o600)
}

// apply puts texts into source. At one place, what ends there comes first, the inner before the outer, then what
// begins there, the outer first.
func apply(src []byte, puts []put) []byte {
	var out []byte
	at := 0
	var ends, begins []put // of what was added, the later is the inner
	for _, p := range slices.Backward(puts) {
		if p.after {
			ends = append(ends, p)
		}
	}
	for _, p := range puts {
		if !p.after {
			begins = append(begins, p)
		}
	}
	sorted := append(ends, begins...)
	slices.SortStableFunc(sorted, func(a, b put) int { return a.at - b.at })
	for _, p := range sorted {
		out = append(append(out, src[at:p.at]...), p.text...)
		at = p.at
	}
	return append(out, src[at:]...)
}

func (w *work) text(n ast.Node) string {
	return string(w.src[w.file][w.offset(n.Pos()):w.offset(n.End())])
}

func (w *work) offset(p token.Pos) int { return w.fset.Position(p).Offset }

func (w *work) add(from, to string) int {
	c := &change{id: len(w.all) + 1, file: w.file, where: w.fn, from: short(from), to: short(to)}
	for _, old := range w.all { // the same again in one function: told apart by a number
		if old.file == c.file && old.where == c.where && old.from == c.from && old.to == c.to {
			c.again++
		}
	}
	w.all = append(w.all, c)
	return c.id
}

func short(s string) string { return strings.Join(strings.Fields(s), " ") }

// run builds each suite once and tries every change on it that is still alive.
func (w *work) run(verbose bool) error {
	alive := slices.Clone(w.chosen)
	for i, s := range w.suites {
		if len(alive) == 0 {
			return nil
		}
		bin := filepath.Join(w.tmp, fmt.Sprint("suite", i))
		if out, err := exec.Command("go", "test", "-c", "-vet=off", "-overlay", filepath.Join(w.tmp, "overlay.json"), "-o", bin, "./"+s.pkg).CombinedOutput(); err != nil {
			return fmt.Errorf("%s with the changes of %s does not build: %w\n%s", s.pkg, w.dir, err, out)
		}
		began := time.Now()
		if failed := w.test(bin, s, 0, 10*time.Minute); failed != "" {
			return fmt.Errorf("%s does not pass unchanged: %s", s.pkg, failed)
		}
		limit := 10*time.Second + 8*time.Since(began)
		fmt.Printf("%s: %d changes on the tests of %s (%.1f s)\n", w.dir, len(alive), s.pkg, time.Since(began).Seconds())
		jobs := make(chan *change)
		var wg sync.WaitGroup
		for range 2 {
			wg.Go(func() {
				for c := range jobs {
					if failed := w.test(bin, s, c.id, limit); failed != "" {
						c.killer = s.pkg + ": " + failed
					}
				}
			})
		}
		for _, c := range alive {
			jobs <- c
		}
		close(jobs)
		wg.Wait()
		for _, c := range alive {
			if verbose && c.killer != "" {
				fmt.Println("  killed:", c, "by", c.killer)
			}
		}
		alive = slices.DeleteFunc(alive, func(c *change) bool { return c.killer != "" })
	}
	return nil
}

// test runs a suite with one change in force and names the first test that fails.
func (w *work) test(bin string, s suite, id int, limit time.Duration) string {
	ctx, stop := context.WithTimeout(context.Background(), limit)
	defer stop()
	args := append([]string{"-test.short", "-test.failfast", "-test.count=1"}, s.args...)
	if s.run != "" {
		args = append(args, "-test.run="+s.run)
	}
	cmd := exec.CommandContext(ctx, bin, args...)
	cmd.Dir, cmd.WaitDelay = s.pkg, time.Second
	cmd.Env = append(os.Environ(), "MUTANT="+strconv.Itoa(id))
	out, err := cmd.CombinedOutput()
	switch {
	case ctx.Err() != nil:
		return "does not end"
	case err == nil:
		return ""
	}
	for _, l := range bytes.Split(out, []byte("\n")) {
		if _, name, ok := bytes.Cut(l, []byte("--- FAIL: ")); ok {
			return string(bytes.Fields(name)[0])
		}
	}
	if i := bytes.Index(out, []byte("panic: ")); i >= 0 {
		first, _, _ := bytes.Cut(out[i:], []byte("\n"))
		return string(first)
	}
	return err.Error() + " " + string(out[:min(len(out), 200)])
}

// tell prints what survived.
func (w *work) tell(reasons map[string]string) (made, killed, bad int) {
	for _, c := range w.chosen {
		if c.killer != "" {
			killed++
			continue
		}
		reason, ok := reasons[c.String()]
		if !ok {
			bad++
			reason = "NO REASON GIVEN"
		}
		fmt.Printf("  survives: %s\n    %s\n", c, reason)
	}
	fmt.Printf("%s: %d changes, %d killed\n", w.dir, len(w.chosen), killed)
	return len(w.chosen), killed, bad
}

// readKnown reads the list of survivors: a change a line, its reason on the next, indented.
func readKnown() (map[string]string, error) {
	data, err := os.ReadFile(known)
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	out := map[string]string{}
	at := ""
	for _, l := range strings.Split(string(data), "\n") {
		switch {
		case strings.HasPrefix(l, "#") || strings.TrimSpace(l) == "":
		case strings.HasPrefix(l, " "):
			out[at] = strings.TrimSpace(l)
		default:
			at = l
		}
	}
	return out, err
}

// visit finds what can be changed in a file.
func (w *work) visit(f *ast.File) {
	var stack []ast.Node
	ast.Inspect(f, func(n ast.Node) bool {
		if n == nil {
			stack = stack[:len(stack)-1]
			return true
		}
		var parent ast.Node
		if len(stack) > 0 {
			parent = stack[len(stack)-1]
		}
		switch d := n.(type) {
		case *ast.ImportSpec, *ast.ArrayType, *ast.MapType, *ast.StructType, *ast.FuncType, *ast.InterfaceType:
			return false
		case *ast.GenDecl:
			if d.Tok == token.CONST || d.Tok == token.TYPE || d.Tok == token.IMPORT {
				return false // constants are tried where they are used
			}
		case *ast.FuncDecl:
			w.fn = d.Name.Name
			if d.Recv != nil && len(d.Recv.List) > 0 {
				w.fn = strings.TrimLeft(w.text(d.Recv.List[0].Type), "*") + "." + w.fn
			}
		case *ast.ValueSpec:
			if len(stack) <= 2 {
				w.fn = d.Names[0].Name
			}
		case *ast.AssignStmt:
			if w.rules && d.Tok == token.ASSIGN && plainStmt(parent) {
				id := w.add(w.text(d), "nothing")
				w.around(d, fmt.Sprintf("if mutantNumber != %d {", id), "}")
			}
		case *ast.ReturnStmt:
			w.results(d)
		case *ast.IfStmt:
			w.condition(d.Cond)
		case *ast.CaseClause:
			w.cases(d, stack)
		case *ast.BinaryExpr:
			w.binary(d)
		case *ast.BasicLit:
			w.number(d, parent)
		case *ast.Ident:
			w.ident(d, parent)
		case *ast.CompositeLit:
			w.entries(d)
		case *ast.CallExpr:
			w.arguments(d)
		}
		stack = append(stack, n)
		return true
	})
}

// plainStmt reports whether a statement may be put in braces: it stands by itself in a block.
func plainStmt(parent ast.Node) bool {
	switch parent.(type) {
	case *ast.BlockStmt, *ast.CaseClause:
		return true
	}
	return false
}

func (w *work) around(n ast.Node, before, after string) {
	w.puts[w.file] = append(w.puts[w.file], put{w.offset(n.Pos()), false, before}, put{w.offset(n.End()), true, after})
}

// variants has an expression come to something else under a number each.
func (w *work) variants(e ast.Expr, to ...string) {
	t := w.typeOf(e)
	if t == "" {
		return
	}
	before := "func() " + t + " { switch mutantNumber {"
	for _, v := range to {
		id := w.add(w.text(e), v)
		before += fmt.Sprintf("case %d: return %s;", id, strings.ReplaceAll(v, "\n", " "))
	}
	w.around(e, before+"}; return ", "}()")
}

// typeOf is the type of an expression as the file can write it; empty where it has none, or is a constant that its
// context wants as one.
func (w *work) typeOf(e ast.Expr) string {
	tv, ok := w.info.Types[e]
	if !ok || tv.Type == nil || tv.IsType() {
		return ""
	}
	if b, ok := tv.Type.(*types.Basic); ok && b.Info()&types.IsUntyped != 0 {
		if b.Kind() == types.UntypedBool {
			return "bool"
		}
		return ""
	}
	return types.TypeString(tv.Type, func(p *types.Package) string {
		if p == w.pkg {
			return ""
		}
		return p.Name()
	})
}

var swapped = map[token.Token][]string{
	token.LSS: {"<=", ">="}, token.LEQ: {"<", ">"}, token.GTR: {">=", "<="}, token.GEQ: {">", "<"}, token.EQL: {"!="}, token.NEQ: {"=="},
	token.LAND: {"||"}, token.LOR: {"&&"}, token.ADD: {"-"}, token.SUB: {"+"}, token.MUL: {"/"}, token.QUO: {"*"},
}

func (w *work) binary(e *ast.BinaryExpr) {
	x, y := w.text(e.X), w.text(e.Y)
	var to []string
	for _, op := range swapped[e.Op] {
		to = append(to, x+" "+op+" "+y)
	}
	switch tv := w.info.Types[e]; e.Op {
	case token.LAND, token.LOR:
		w.variants(e, to...) // before what it encloses
		w.condition(e.X)
		w.condition(e.Y)
		return
	case token.ADD, token.SUB, token.MUL, token.QUO:
		b, ok := tv.Type.Underlying().(*types.Basic)
		if tv.Value != nil || !ok || b.Info()&types.IsNumeric == 0 {
			return
		}
	case token.OR:
		to = []string{x, y}
	}
	if len(to) > 0 {
		w.variants(e, to...)
	}
}

// condition turns a condition round that is no comparison by itself.
func (w *work) condition(e ast.Expr) {
	switch x := e.(type) {
	case *ast.BinaryExpr, *ast.FuncLit, nil:
	case *ast.ParenExpr:
		w.condition(x.X)
	case *ast.UnaryExpr:
		w.variants(e, w.text(x.X))
	default:
		w.variants(e, "!("+w.text(e)+")")
	}
}

// cases: a condition of a switch without a value is turned round, a value of one with a value never met.
func (w *work) cases(c *ast.CaseClause, stack []ast.Node) {
	sw, ok := stack[len(stack)-2].(*ast.SwitchStmt)
	if !ok {
		return
	}
	for _, e := range c.List {
		if sw.Tag == nil {
			w.condition(e)
			continue
		}
		if other := w.other(e); w.rules && other != "" {
			w.variants(e, other)
		}
	}
}

// other is a value that a constant of the closed lists is not.
func (w *work) other(e ast.Expr) string {
	tv := w.info.Types[e]
	b, ok := tv.Type.Underlying().(*types.Basic)
	switch {
	case !ok || tv.Value == nil:
		return ""
	case b.Info()&types.IsString != 0:
		return w.text(e) + ` + "~"`
	case b.Info()&types.IsInteger != 0:
		return w.text(e) + " + 1"
	}
	return ""
}

// number makes a number larger and smaller.
func (w *work) number(l *ast.BasicLit, parent ast.Node) {
	if call, ok := parent.(*ast.CallExpr); ok && strings.HasPrefix(w.text(call.Fun), "strconv.") {
		return // bases and bit sizes
	}
	if w.typeOf(l) == "" || l.Kind != token.INT && l.Kind != token.FLOAT {
		return
	}
	switch b := w.info.TypeOf(l).Underlying().(*types.Basic); {
	case b.Info()&types.IsFloat != 0 && strings.Trim(l.Value, "0.") == "":
		w.variants(l, "1")
	case b.Info()&types.IsFloat != 0:
		w.variants(l, l.Value+" * 1.1", l.Value+" * 0.9")
	case b.Info()&types.IsUnsigned != 0 && l.Value == "0":
		w.variants(l, "1")
	default:
		w.variants(l, l.Value+" + 1", l.Value+" - 1")
	}
}

// ident turns true and false round, and gives another value in place of a constant of the closed lists.
func (w *work) ident(i *ast.Ident, parent ast.Node) {
	if i.Name == "true" || i.Name == "false" {
		w.variants(i, map[string]string{"true": "false", "false": "true"}[i.Name])
		return
	}
	c, is := w.info.Uses[i].(*types.Const)
	if !is || !w.rules || c.Pkg() != w.pkg {
		return
	}
	switch p := parent.(type) {
	case *ast.KeyValueExpr:
		if p.Key == i {
			return
		}
	case *ast.CompositeLit, *ast.CallExpr, *ast.AssignStmt, *ast.ReturnStmt:
	default:
		return
	}
	if named, ok := c.Type().(*types.Named); ok && slices.Contains([]string{"Kind", "Fact", "Class", "Supply", "Stage", "Place"}, named.Obj().Name()) {
		if other := w.other(i); other != "" {
			w.variants(i, other)
		}
	}
}

// results of a rule: always and never.
func (w *work) results(r *ast.ReturnStmt) {
	if !w.rules {
		return
	}
	for _, e := range r.Results {
		_, plain := e.(*ast.Ident)
		if b, ok := w.info.TypeOf(e).Underlying().(*types.Basic); ok && b.Info()&types.IsBoolean != 0 && !plain {
			w.variants(e, "true", "false")
		}
	}
}

// entries drops each entry of a list of words.
func (w *work) entries(c *ast.CompositeLit) {
	s, ok := w.info.TypeOf(c).Underlying().(*types.Slice)
	if !w.rules || !ok || c.Type == nil || len(c.Elts) == 0 {
		return
	}
	if b, ok := s.Elem().Underlying().(*types.Basic); ok && b.Info()&types.IsString != 0 {
		w.less(c, w.text(c.Type)+"{", "}", c.Elts)
	}
}

// arguments drops each argument of a set of kinds.
func (w *work) arguments(c *ast.CallExpr) {
	if w.rules && w.text(c.Fun) == "kinds" && len(c.Args) > 1 {
		w.less(c, "kinds(", ")", c.Args)
	}
}

func (w *work) less(e ast.Expr, before, after string, of []ast.Expr) {
	var to []string
	for i := range of {
		var rest []string
		for j, x := range of {
			if j != i {
				rest = append(rest, w.text(x))
			}
		}
		to = append(to, before+strings.Join(rest, ", ")+after)
	}
	w.variants(e, to...)
}
