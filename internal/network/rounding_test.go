package network

import (
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// rounded are the packages whose numbers must be the same bytes on every machine.
var rounded = []string{"network", "wiring", "meter", "faults", "signature", "judge", "coach", "study", "faultfind", "mistakes",
	"cohort", "explain", "walk"}

// estimates are packages that weigh causes by likelihood: their logarithms and powers may differ in the last bit, and of
// what comes out at most four figures are printed.
var estimates = map[string]bool{"faultfind": true}

// sameEverywhere are the functions of math whose results no machine may round differently: they are exact, or the square
// root, which IEEE 754 asks to be rounded correctly.
var sameEverywhere = map[string]bool{"Abs": true, "Ceil": true, "Floor": true, "Inf": true, "IsInf": true, "IsNaN": true, "Max": true,
	"Min": true, "NaN": true, "Pow10": true, "Round": true, "Signbit": true, "Sqrt": true, "Trunc": true}

// TestProductsAreRounded: the Go specification lets a compiler fuse x*y + z into one rounding, across statements too, and
// says that an explicit conversion prevents it ("Floating-point operators"). So every product of floats that is not
// itself divided, compared or multiplied on must stand in a float64(…); phasors are multiplied and divided by functions
// that do so; and no function of math is used that has an assembly of its own on some machines.
func TestProductsAreRounded(t *testing.T) {
	products, set := 0, token.NewFileSet()
	std := compiled(t, set, strings.Fields("../"+strings.Join(rounded, " ../"))...)
	for _, name := range rounded {
		files, info := typed(t, "../"+name, set, std)
		for _, f := range files {
			var up []ast.Node
			ast.Inspect(f, func(n ast.Node) bool {
				if n == nil {
					up = up[:len(up)-1]
					return true
				}
				_, named := n.(*ast.SelectorExpr)
				if problem := unrounded(n, up, info); problem != "" && !(named && estimates[name]) {
					t.Errorf("%s: %s", set.Position(n.Pos()), problem)
				}
				if b, ok := n.(*ast.BinaryExpr); ok && b.Op == token.MUL && kindOf(info, b) != 0 {
					products++
				}
				up = append(up, n)
				return true
			})
		}
	}
	if products < 50 {
		t.Errorf("only %d products seen: the check looks at too little", products)
	}
}

// TestRoundingCheckBites: the check finds each of the ways to leave a product unrounded.
func TestRoundingCheckBites(t *testing.T) {
	set := token.NewFileSet()
	std := compiled(t, set, "math")
	for body, bad := range map[string]bool{
		"r = x*y + z":                          true,
		"r = z; r += x*y":                      true,
		"t := x*y; r = t + z":                  true,
		"r = z; r *= x":                        true,
		"r = f(x*y)":                           true,
		"r = -(x*y)":                           true,
		"r = real(c*c)":                        true,
		"c /= c":                               true,
		"r = math.Pow(x, y)":                   true,
		"r = float64(x*y) + z":                 false,
		"r = float64(x*y*z)":                   false,
		"r = x*y/z + 1":                        false,
		"r = 2*3 + z":                          false,
		"if x*y > z { r = math.Sqrt(z) }":      false,
		"n := 2; n *= 3; r = float64(n*n + n)": false,
	} {
		source := "package p\nimport \"math\"\nvar _ = math.Pi\nfunc f(v float64) float64 { return v }\nfunc g(x, y, z float64, c complex128) (r float64) {\n" + body + "\nreturn r }\n"
		file, err := parser.ParseFile(set, "p.go", source, 0)
		if err != nil {
			t.Fatal(err)
		}
		info := newInfo()
		if _, err := (&types.Config{Importer: std}).Check("p", set, []*ast.File{file}, info); err != nil {
			t.Fatalf("%s: %v", body, err)
		}
		found := false
		var up []ast.Node
		ast.Inspect(file, func(n ast.Node) bool {
			if n == nil {
				up = up[:len(up)-1]
				return true
			}
			found = found || unrounded(n, up, info) != ""
			up = append(up, n)
			return true
		})
		if found != bad {
			t.Errorf("%q: found %t, want %t", body, found, bad)
		}
	}
}

// compiled imports packages as the go command has built them, which the test's own build has done for most.
func compiled(t *testing.T, set *token.FileSet, patterns ...string) types.Importer {
	t.Helper()
	out, err := exec.Command("go", append([]string{"list", "-export", "-deps", "-f", "{{.ImportPath}} {{.Export}}"}, patterns...)...).Output()
	if err != nil {
		t.Fatalf("go list -export: %v", err)
	}
	files := map[string]string{}
	for _, line := range strings.Split(string(out), "\n") {
		path, file, _ := strings.Cut(line, " ")
		files[path] = file
	}
	return importer.ForCompiler(set, "gc", func(path string) (io.ReadCloser, error) { return os.Open(files[path]) })
}

func newInfo() *types.Info {
	return &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}}
}

func typed(t *testing.T, dir string, set *token.FileSet, imports types.Importer) ([]*ast.File, *types.Info) {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	var files []*ast.File
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(set, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	info := newInfo()
	config := types.Config{Importer: imports}
	if _, err := config.Check(filepath.Base(dir), set, files, info); err != nil {
		t.Fatalf("%s: %v", dir, err)
	}
	return files, info
}

// kindOf is 'f' for a float that is no constant, 'c' for a complex number, 0 else.
func kindOf(info *types.Info, e ast.Expr) rune {
	tv, ok := info.Types[e]
	if !ok || tv.Value != nil || tv.Type == nil {
		return 0
	}
	b, ok := tv.Type.Underlying().(*types.Basic)
	switch {
	case !ok:
		return 0
	case b.Info()&types.IsFloat != 0:
		return 'f'
	case b.Info()&types.IsComplex != 0:
		return 'c'
	}
	return 0
}

// unrounded says what is wrong with a node, whose parents are up.
func unrounded(n ast.Node, up []ast.Node, info *types.Info) string {
	switch n := n.(type) {
	case *ast.AssignStmt:
		switch k := kindOf(info, n.Lhs[0]); {
		case k == 'f' && n.Tok == token.MUL_ASSIGN:
			return "a product in *= is not rounded"
		case k == 'c' && (n.Tok == token.MUL_ASSIGN || n.Tok == token.QUO_ASSIGN):
			return "phasors are multiplied and divided by the language"
		}
	case *ast.SelectorExpr:
		if id, ok := n.X.(*ast.Ident); ok {
			if p, ok := info.Uses[id].(*types.PkgName); ok {
				_, call := info.Uses[n.Sel].(*types.Func)
				if path := p.Imported().Path(); path == "math/cmplx" || path == "math" && call && !sameEverywhere[n.Sel.Name] {
					return path + "." + n.Sel.Name + " may differ between machines"
				}
			}
		}
	case *ast.BinaryExpr:
		switch k := kindOf(info, n); {
		case k == 'c' && (n.Op == token.MUL || n.Op == token.QUO):
			return "phasors are multiplied and divided by the language"
		case k == 'f' && n.Op == token.MUL && !settled(n, up, info):
			return "a product is not rounded"
		}
	}
	return ""
}

// settled says whether a product is rounded, or used only where no sum can take it in.
func settled(e ast.Expr, up []ast.Node, info *types.Info) bool {
	for i := len(up) - 1; i >= 0; i-- {
		switch p := up[i].(type) {
		case *ast.ParenExpr:
		case *ast.BinaryExpr:
			switch p.Op {
			case token.QUO, token.LSS, token.GTR, token.LEQ, token.GEQ, token.EQL, token.NEQ:
				return true
			case token.MUL: // the outer product is looked at on its own
				return true
			}
			return false
		case *ast.CallExpr:
			id, ok := p.Fun.(*ast.Ident)
			if !ok {
				return false
			}
			tn, ok := info.Uses[id].(*types.TypeName)
			return ok && tn.Name() == "float64"
		default:
			return false
		}
	}
	return false
}
