package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// To compile and link a test takes longer than to run most of them. So many
// changes are compiled into one test binary, each beside what stands there, and
// the environment says which one holds: "a < b" becomes
//
//	func() bool { if mutantAsked == 7 { return a <= b }; return a < b }()
//
// and a statement becomes an if with both. What cannot be written so, as a
// number in a constant, is compiled by itself.

// asked says which bytes of a file are written twice, and as what.
type asked struct {
	from, to int
	as       string // type of the expression, "" = a statement
	alone    bool   // it cannot be: it is compiled by itself
}

// expression is asked for an expression of which no more than a part is constant.
func (c *collector) expression(e ast.Expr) asked {
	t, ok := c.types[e]
	if !ok || t.Type == nil {
		return asked{alone: true}
	}
	for _, n := range c.above[:len(c.above)-1] {
		switch n := n.(type) {
		case *ast.GenDecl:
			if n.Tok == token.CONST {
				return asked{alone: true}
			}
		case *ast.ArrayType:
			return asked{alone: true}
		case ast.Expr: // a constant is worked out with more digits than a variable has
			if c.types[n].Value != nil {
				return asked{alone: true}
			}
		}
	}
	name := types.TypeString(types.Default(t.Type), func(p *types.Package) string {
		if p == c.pkg {
			return ""
		}
		return p.Name()
	})
	return asked{from: c.set.Position(e.Pos()).Offset, to: c.set.Position(e.End()).Offset, as: name}
}

// statement is asked for a statement of a block; elsewhere, as in the head of a
// loop, there is no room for an if.
func (c *collector) statement(s ast.Stmt) asked {
	parent := c.above[len(c.above)-1]
	if parent == ast.Node(s) {
		parent = c.above[len(c.above)-2]
	}
	switch parent.(type) {
	case *ast.BlockStmt, *ast.CaseClause:
	default:
		return asked{alone: true}
	}
	if x, ok := s.(*ast.ExprStmt); ok {
		if call, ok := x.X.(*ast.CallExpr); ok {
			if f, ok := call.Fun.(*ast.Ident); ok && f.Name == "panic" {
				return asked{alone: true} // without it the function may want a return
			}
		}
	}
	return asked{from: c.set.Position(s.Pos()).Offset, to: c.set.Position(s.End()).Offset}
}

// both writes a change beside what stands there.
func (s *site) both(text []byte, number int) string {
	was := string(text[s.ask.from:s.ask.to])
	is := string(text[s.ask.from:s.from]) + s.by + string(text[s.to:s.ask.to])
	if s.ask.as == "" {
		return fmt.Sprintf("if mutantAsked == %d { %s } else { %s }", number, is, was)
	}
	return fmt.Sprintf("func() %s { if mutantAsked == %d { return %s }; return %s }()", s.ask.as, number, is, was)
}

// askedFile reads which change holds.
const askedFile = `package %s

import (
	"os"
	"strconv"
)

var mutantAsked = func() int { n, _ := strconv.Atoi(os.Getenv("MUTANT")); return n }()
`

// placed is where a change lies in the changed text of its file.
type placed struct{ site, from, to int }

// compiled makes one test binary of as many of the sites as can stand beside
// each other; with says which. Sites are numbered from 1.
func (p *pkg) compiled(o options, dir string, sites []site) (binary string, with []bool) {
	with = make([]bool, len(sites))
	for i := range sites {
		with[i] = !sites[i].ask.alone && !slices.ContainsFunc(sites[:i], func(b site) bool {
			a := sites[i]
			return a.file == b.file && a.ask.from < b.ask.to && b.ask.from < a.ask.to
		})
	}
	replace := map[string]string{}
	for again := true; again; {
		again = false
		clear(replace)
		trees, set, where := p.changed(dir, sites, with, replace)
		for _, bad := range p.mistakes(set, trees) {
			for _, w := range where[bad.Filename] {
				if w.from <= bad.Offset && bad.Offset <= w.to {
					with[w.site], again = false, true
				}
			}
		}
	}
	binary = filepath.Join(dir, "changed.test")
	if !slices.Contains(with, true) || p.compile(o, dir, binary, replace) != nil {
		return "", make([]bool, len(sites))
	}
	return binary, with
}

// changed writes the changed files into dir, notes them in replace, and parses
// the package as it is with them.
func (p *pkg) changed(dir string, sites []site, with []bool, replace map[string]string) ([]*ast.File, *token.FileSet, map[string][]placed) {
	set, where := token.NewFileSet(), map[string][]placed{}
	var trees []*ast.File
	add := func(name string, text []byte) {
		if tree, err := parser.ParseFile(set, name, text, 0); err == nil {
			trees = append(trees, tree)
		}
	}
	write := func(of, name string, text []byte) {
		replace[of] = filepath.Join(dir, name)
		_ = os.WriteFile(replace[of], text, 0o600)
	}
	for k, file := range p.files {
		var here []int
		for i := range sites {
			if with[i] && sites[i].file == file {
				here = append(here, i)
			}
		}
		text, _ := os.ReadFile(file)
		if len(here) == 0 {
			add(file, text)
			continue
		}
		slices.SortFunc(here, func(a, b int) int { return sites[a].ask.from - sites[b].ask.from })
		var out strings.Builder
		done := 0
		for _, i := range here {
			s := &sites[i]
			out.Write(text[done:s.ask.from])
			from := out.Len()
			out.WriteString(s.both(text, i+1))
			where[file] = append(where[file], placed{i, from, out.Len()})
			done = s.ask.to
		}
		out.Write(text[done:])
		add(file, []byte(out.String()))
		write(file, fmt.Sprintf("changed%d.go", k), []byte(out.String()))
	}
	asks := fmt.Appendf(nil, askedFile, p.checked.Name())
	add("mutant_asked.go", asks)
	write(filepath.Join(p.dir, "mutant_asked.go"), "asked.go", asks)
	return trees, set, where
}

// mistakes are where the compiler would complain.
func (p *pkg) mistakes(set *token.FileSet, trees []*ast.File) []token.Position {
	var all []token.Position
	conf := types.Config{Importer: p.importer(set), Error: func(err error) {
		if e, ok := err.(types.Error); ok {
			all = append(all, set.Position(e.Pos))
		}
	}}
	_, _ = conf.Check(p.path, set, trees, nil)
	return all
}
