package circuits

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is known of a device type stands in its row and nowhere else: no switch and no
// comparison asks for the name of a type, no table is keyed by it, and a switch over kinds
// names all that it means, so that a new kind is not taken for another silently.
func TestTypesAreAskedByTheirRows(t *testing.T) {
	for source, wrong := range map[string]string{
		`if d.Type.Name == "timer" {}`:                                    "compares",
		`if "timer" != t.Name {}`:                                         "compares",
		`switch d.Type.Name { case "lamp": }`:                             "switch over the names",
		`switch name { case "push-button": }`:                             "switch over the names",
		`_ = words[d.Type.Name]`:                                          "keyed",
		`_ = slices.Contains(movers, d.Type.Name)`:                        "looks for",
		`switch d.Type.Kind { case LoadKind: default: }`:                  "default branch",
		`switch kind := d.Type.Kind; kind { case LoadKind: default: }`:    "default branch",
		`switch { case d.Type.Kind == LoadKind: default: }`:               "default branch",
		`switch d.Type.Kind { case LoadKind: }`:                           "",
		`if d.Name == "CR1" {}`:                                           "",
		`r.wrong(n, "%s is %s", d.Name, d.Type.Name)`:                     "",
		`switch k { case "ground": }; switch d.Type.Kind { case Other: }`: "",
	} {
		found := askedByName(t, "a.go", "package a\nfunc f() {\n"+source+"\n}")
		if wrong == "" {
			assert.Empty(t, found, source)
			continue
		}
		assert.Len(t, found, 1, source)
		assert.Contains(t, strings.Join(found, ""), wrong, source)
	}
	files := 0
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		files++
		for _, found := range askedByName(t, path, nil) {
			t.Error(found)
		}
		return nil
	})
	require.NoError(t, err)
	assert.Greater(t, files, 100)
}

// askedByName tells where a file asks for the name of a type.
func askedByName(t *testing.T, path string, source any) (found []string) {
	t.Helper()
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, path, source, parser.SkipObjectResolution)
	require.NoError(t, err)
	say := func(n ast.Node, what string) {
		found = append(found, fmt.Sprintf("%s: %s", set.Position(n.Pos()), what))
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.BinaryExpr:
			if (n.Op == token.EQL || n.Op == token.NEQ) && (isTypeName(n.X) || isTypeName(n.Y)) &&
				(literal(n.X) != "" || literal(n.Y) != "") ||
				TypeNamed(literal(n.X)) != nil && isName(n.Y) || TypeNamed(literal(n.Y)) != nil && isName(n.X) {
				say(n, "compares the name of a type with a word")
			}
		case *ast.IndexExpr:
			if isTypeName(n.Index) {
				say(n, "a table is keyed by the names of types")
			}
		case *ast.CallExpr:
			if f, ok := n.Fun.(*ast.SelectorExpr); ok && (f.Sel.Name == "Contains" || f.Sel.Name == "Index") &&
				len(n.Args) == 2 && isTypeName(n.Args[1]) {
				say(n, "looks for the name of a type")
			}
		case *ast.SwitchStmt:
			kinds := false
			for _, s := range n.Body.List {
				c := s.(*ast.CaseClause)
				kinds = kinds || len(c.List) > 0 && isKind(c.List[0])
				for _, x := range c.List {
					if word := literal(x); isTypeName(n.Tag) || strings.Contains(word, "-") && TypeNamed(word) != nil {
						say(c, "a switch over the names of types")
					}
				}
			}
			for _, s := range n.Body.List {
				if kinds && s.(*ast.CaseClause).List == nil {
					say(s, "a switch over kinds of device has a default branch")
				}
			}
		}
		return true
	})
	return found
}

// isTypeName tells whether an expression is the name of a device's type: d.Type.Name.
func isTypeName(x ast.Expr) bool {
	sel, ok := x.(*ast.SelectorExpr)
	if !ok || sel.Sel.Name != "Name" {
		return false
	}
	inner, ok := sel.X.(*ast.SelectorExpr)
	return ok && inner.Sel.Name == "Type"
}

func isName(x ast.Expr) bool {
	sel, ok := x.(*ast.SelectorExpr)
	return ok && sel.Sel.Name == "Name"
}

// isKind tells whether an expression is a kind of device: LoadKind, circuits.LoadKind.
func isKind(x ast.Expr) bool {
	name := ""
	switch x := x.(type) {
	case *ast.BinaryExpr: // kind == LoadKind
		return x.Op == token.EQL && (isKind(x.X) || isKind(x.Y))
	case *ast.Ident:
		name = x.Name
	case *ast.SelectorExpr:
		name = x.Sel.Name
	}
	switch name {
	case "SourceKind", "GroundKind", "LinkKind", "OperatorKind", "RelayKind", "LoadKind",
		"ConnectorKind", "BlockKind":
		return true
	}
	return false
}

func literal(x ast.Expr) string {
	l, ok := x.(*ast.BasicLit)
	if !ok || l.Kind != token.STRING {
		return ""
	}
	s, _ := strconv.Unquote(l.Value)
	return s
}
