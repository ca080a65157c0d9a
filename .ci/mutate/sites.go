package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// pkg is one package under test.
type pkg struct {
	path  string
	files []string                // absolute
	runs  map[string]map[int]bool // file name -> lines that the tests run
	took  time.Duration           // of its tests
}

// site is one change: bytes from..to of file become by.
type site struct {
	file     string
	line     int
	from, to int
	by       string
	what     string
}

// load finds a package's files, and the lines that its tests run.
func load(o options, path string) (*pkg, error) {
	out, err := goCommand("list", "-tags", o.tags, "-f", "{{.ImportPath}}\n{{.Dir}}\n{{join .GoFiles \"\\n\"}}", path)
	if err != nil {
		return nil, err
	}
	lines := strings.Split(strings.TrimSpace(out), "\n")
	p := &pkg{path: lines[0], runs: map[string]map[int]bool{}}
	for _, f := range lines[2:] {
		p.files = append(p.files, filepath.Join(lines[1], f))
	}
	profile, err := os.CreateTemp("", "cover")
	if err != nil {
		return nil, err
	}
	defer os.Remove(profile.Name())
	profile.Close()
	begun := time.Now()
	if _, err := goCommand("test", "-tags", o.tags, "-count=1", "-coverprofile", profile.Name(), p.path); err != nil {
		return nil, err
	}
	p.took = time.Since(begun)
	return p, p.readProfile(profile.Name())
}

// readProfile takes the covered lines: FILE:LINE.COL,LINE.COL STATEMENTS COUNT.
func (p *pkg) readProfile(name string) error {
	text, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	for _, row := range strings.Split(string(text), "\n")[1:] {
		file, rest, ok := strings.Cut(row, ":")
		if !ok || strings.HasSuffix(rest, " 0") {
			continue
		}
		var l0, c0, l1, c1 int
		if _, err := fmt.Sscanf(rest, "%d.%d,%d.%d", &l0, &c0, &l1, &c1); err != nil {
			return fmt.Errorf("coverage profile: %q: %w", row, err)
		}
		lines := p.runs[filepath.Base(file)]
		if lines == nil {
			lines = map[int]bool{}
			p.runs[filepath.Base(file)] = lines
		}
		for l := l0; l <= l1; l++ {
			lines[l] = true
		}
	}
	return nil
}

// sites lists every change that can be made on a covered line.
func (p *pkg) sites(o options) ([]site, error) {
	var all []site
	for _, file := range p.files {
		if !o.only.MatchString(filepath.Base(file)) {
			continue
		}
		set := token.NewFileSet()
		tree, err := parser.ParseFile(set, file, nil, 0)
		if err != nil {
			return nil, err
		}
		c := collector{set: set, file: file, covered: p.runs[filepath.Base(file)]}
		ast.Inspect(tree, c.visit)
		all = append(all, c.sites...)
	}
	return all, nil
}

// collector gathers the changes of one file.
type collector struct {
	set     *token.FileSet
	file    string
	covered map[int]bool
	sites   []site
}

// swaps says what an operator becomes.
var swaps = map[token.Token]token.Token{
	token.LSS: token.LEQ, token.LEQ: token.LSS, token.GTR: token.GEQ, token.GEQ: token.GTR,
	token.EQL: token.NEQ, token.NEQ: token.EQL, token.LAND: token.LOR, token.LOR: token.LAND,
	token.ADD: token.SUB, token.SUB: token.ADD, token.MUL: token.QUO, token.QUO: token.MUL, token.REM: token.MUL,
	token.ADD_ASSIGN: token.SUB_ASSIGN, token.SUB_ASSIGN: token.ADD_ASSIGN,
	token.MUL_ASSIGN: token.QUO_ASSIGN, token.QUO_ASSIGN: token.MUL_ASSIGN,
	token.INC: token.DEC, token.DEC: token.INC,
}

func (c *collector) visit(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		c.swap(n.OpPos, n.Op)
	case *ast.IncDecStmt:
		c.swap(n.TokPos, n.Tok)
	case *ast.AssignStmt:
		c.swap(n.TokPos, n.Tok)
	case *ast.UnaryExpr:
		if n.Op == token.SUB || n.Op == token.NOT {
			c.add(n.OpPos, n.OpPos+1, "", "left out "+n.Op.String())
		}
	case *ast.BasicLit:
		if v, err := strconv.Atoi(n.Value); n.Kind == token.INT && err == nil {
			c.add(n.Pos(), n.End(), strconv.Itoa(v+1), n.Value+" -> "+strconv.Itoa(v+1))
		}
	case *ast.BlockStmt:
		c.leaveOut(n.List)
	case *ast.CaseClause:
		c.leaveOut(n.Body)
	}
	return true
}

// swap changes an operator.
func (c *collector) swap(at token.Pos, op token.Token) {
	if by, ok := swaps[op]; ok {
		c.add(at, at+token.Pos(len(op.String())), by.String(), op.String()+" -> "+by.String())
	}
}

// leaveOut removes one statement that does something: a call or an assignment to what is there.
func (c *collector) leaveOut(list []ast.Stmt) {
	for _, s := range list {
		switch s := s.(type) {
		case *ast.ExprStmt:
			c.add(s.Pos(), s.End(), "", "statement left out")
		case *ast.AssignStmt:
			if s.Tok != token.DEFINE {
				c.add(s.Pos(), s.End(), "", "assignment left out")
			}
		}
	}
}

func (c *collector) add(from, to token.Pos, by, what string) {
	at := c.set.Position(from)
	if !c.covered[at.Line] {
		return
	}
	c.sites = append(c.sites, site{file: c.file, line: at.Line, from: at.Offset, to: c.set.Position(to).Offset, by: by, what: what})
}
