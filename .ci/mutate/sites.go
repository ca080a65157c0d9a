package main

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"path/filepath"
	"strconv"
)

// site is one change: bytes from..to of file become by.
type site struct {
	file     string
	line     int
	from, to int
	by       string
	what     string
	tests    []int // that run it
	ask      asked // how it can be compiled in beside what stands there
}

// sites lists every change that can be made on a covered line.
func (p *pkg) sites(o options) ([]site, error) {
	var all []site
	for i, file := range p.files {
		c := collector{pkg: p.checked, set: p.set, file: file, covered: p.runs[filepath.Base(file)], types: p.types, same: map[ast.Expr]bool{}}
		ast.Inspect(p.trees[i], c.visit)
		for _, s := range c.sites {
			if o.only.MatchString(fmt.Sprintf("%s:%d", filepath.Base(file), s.line)) {
				all = append(all, s)
			}
		}
	}
	return all, nil
}

// collector gathers the changes of one file.
type collector struct {
	pkg     *types.Package
	above   []ast.Node // from the file down to the node that is visited
	set     *token.FileSet
	file    string
	covered map[int][]int
	types   map[ast.Expr]types.TypeAndValue
	same    map[ast.Expr]bool // numbers that may be any and make no difference
	choices []choice
	sites   []site
}

// choice is the condition of a case. Whoever runs the switch may run it, but
// a coverage profile has no block for it.
type choice struct {
	from, to token.Pos
	line     int // of the switch
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

// turns are the comparisons of floating-point numbers whose sense is turned.
var turns = map[token.Token]token.Token{token.LSS: token.GEQ, token.LEQ: token.GTR, token.GTR: token.LEQ, token.GEQ: token.LSS}

// float says whether an expression is a floating-point number.
func (c *collector) float(e ast.Expr) bool {
	t := c.types[e].Type
	if t == nil {
		return false
	}
	b, ok := t.Underlying().(*types.Basic)
	return ok && b.Info()&types.IsFloat != 0
}

// numbersThatMakeNoDifference marks the capacity in make(T, length, capacity)
// and the size 64 in strconv.ParseFloat, of which only 32 means anything else.
func (c *collector) numbersThatMakeNoDifference(n *ast.CallExpr) {
	last := func() {
		ast.Inspect(n.Args[len(n.Args)-1], func(x ast.Node) bool {
			if e, ok := x.(ast.Expr); ok {
				c.same[e] = true
			}
			return true
		})
	}
	switch f := n.Fun.(type) {
	case *ast.Ident:
		if f.Name == "make" && len(n.Args) == 3 {
			last()
		}
	case *ast.SelectorExpr:
		if x, ok := f.X.(*ast.Ident); ok && x.Name == "strconv" && f.Sel.Name == "ParseFloat" {
			last()
		}
	}
}

func (c *collector) visit(n ast.Node) bool {
	if n == nil {
		c.above = c.above[:len(c.above)-1]
		return true
	}
	c.above = append(c.above, n)
	switch n := n.(type) {
	case *ast.SwitchStmt:
		for _, clause := range n.Body.List {
			for _, e := range clause.(*ast.CaseClause).List {
				c.choices = append(c.choices, choice{e.Pos(), e.End(), c.set.Position(n.Pos()).Line})
			}
		}
	case *ast.CallExpr:
		c.numbersThatMakeNoDifference(n)
	case *ast.BinaryExpr:
		if c.same[n] {
			return true
		}
		if turned, ok := turns[n.Op]; ok && c.float(n.X) {
			c.add(n.OpPos, n.OpPos+token.Pos(len(n.Op.String())), turned.String(), n.Op.String()+" -> "+turned.String(), c.expression(n))
		} else {
			c.swap(n.OpPos, n.Op, c.expression(n))
		}
	case *ast.IncDecStmt:
		c.swap(n.TokPos, n.Tok, c.statement(n))
	case *ast.AssignStmt:
		c.swap(n.TokPos, n.Tok, c.statement(n))
	case *ast.UnaryExpr:
		if n.Op == token.SUB || n.Op == token.NOT {
			c.add(n.OpPos, n.OpPos+1, "", "left out "+n.Op.String(), c.expression(n))
		}
	case *ast.BasicLit:
		if v, err := strconv.Atoi(n.Value); n.Kind == token.INT && err == nil && !c.same[n] {
			c.add(n.Pos(), n.End(), strconv.Itoa(v+1), n.Value+" -> "+strconv.Itoa(v+1), c.expression(n))
		}
	case *ast.BlockStmt:
		c.leaveOut(n.List)
	case *ast.CaseClause:
		c.leaveOut(n.Body)
	}
	return true
}

// swap changes an operator.
func (c *collector) swap(at token.Pos, op token.Token, ask asked) {
	if by, ok := swaps[op]; ok {
		c.add(at, at+token.Pos(len(op.String())), by.String(), op.String()+" -> "+by.String(), ask)
	}
}

// leaveOut removes one statement that does something: a call or an assignment to what is there.
func (c *collector) leaveOut(list []ast.Stmt) {
	for _, s := range list {
		switch s := s.(type) {
		case *ast.ExprStmt:
			c.add(s.Pos(), s.End(), "", "statement left out", c.statement(s))
		case *ast.AssignStmt:
			if s.Tok != token.DEFINE && !hint(s) {
				c.add(s.Pos(), s.End(), "", "assignment left out", c.statement(s))
			}
		}
	}
}

func (c *collector) add(from, to token.Pos, by, what string, ask asked) {
	at := c.set.Position(from)
	tests := c.covered[at.Line]
	for _, x := range c.choices {
		if x.from <= from && from < x.to {
			tests = c.covered[x.line]
		}
	}
	if len(tests) == 0 {
		return
	}
	c.sites = append(c.sites, site{file: c.file, line: at.Line, from: at.Offset, to: c.set.Position(to).Offset, by: by, what: what, tests: tests, ask: ask})
}

// hint says whether a statement is x = x[:len(y)], which tells the compiler a length
// that x has or is longer than.
func hint(s *ast.AssignStmt) bool {
	if len(s.Lhs) != 1 || s.Tok != token.ASSIGN {
		return false
	}
	x, ok := s.Lhs[0].(*ast.Ident)
	cut, sliced := s.Rhs[0].(*ast.SliceExpr)
	if !ok || !sliced || cut.Low != nil || cut.High == nil {
		return false
	}
	from, ok := cut.X.(*ast.Ident)
	size, call := cut.High.(*ast.CallExpr)
	if !ok || !call || from.Name != x.Name {
		return false
	}
	f, ok := size.Fun.(*ast.Ident)
	return ok && f.Name == "len"
}
