package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"strconv"
	"strings"
)

var kinds = []string{"compare", "constant", "term", "index", "return"}

// change is one small change to a file.
type change struct {
	file, function, kind string
	nth                  int // of the same kind and text in the function
	old, new             string

	at int // where old stands in the file
}

func (c change) line() string {
	return strings.Join([]string{c.file, c.function, c.kind, strconv.Itoa(c.nth), strconv.Quote(c.old), strconv.Quote(c.new)}, "\t")
}

func parseLine(s string) (change, error) {
	p := strings.Split(s, "\t")
	if len(p) != 6 {
		return change{}, fmt.Errorf("%q has %d columns, not 6", s, len(p))
	}
	c := change{file: p[0], function: p[1], kind: p[2]}
	var err error
	if c.nth, err = strconv.Atoi(p[3]); err != nil {
		return c, err
	}
	if c.old, err = strconv.Unquote(p[4]); err != nil {
		return c, err
	}
	c.new, err = strconv.Unquote(p[5])
	return c, err
}

// apply returns the file with the change made.
func (c change) apply(text []byte) []byte {
	return []byte(string(text[:c.at]) + c.new + string(text[c.at+len(c.old):]))
}

// sites lists the changes that can be made to a file.
func sites(name string, text []byte) ([]change, error) {
	set := token.NewFileSet()
	f, err := parser.ParseFile(set, name, text, parser.SkipObjectResolution)
	if err != nil {
		return nil, err
	}
	w := &walker{name: name, text: text, set: set, seen: map[string]int{}}
	for _, d := range f.Decls {
		switch d := d.(type) {
		case *ast.FuncDecl:
			if d.Body == nil {
				continue
			}
			w.function = functionName(d)
			w.returns(d)
			ast.Inspect(d.Body, w.visit)
		case *ast.GenDecl:
			if d.Tok == token.CONST || d.Tok == token.VAR {
				w.function = "-"
				ast.Inspect(d, w.visit)
			}
		}
	}
	return w.out, nil
}

func functionName(d *ast.FuncDecl) string {
	if d.Recv == nil {
		return d.Name.Name
	}
	t := d.Recv.List[0].Type
	for {
		switch u := t.(type) {
		case *ast.StarExpr:
			t = u.X
		case *ast.IndexExpr:
			t = u.X
		case *ast.Ident:
			return u.Name + "." + d.Name.Name
		default:
			return d.Name.Name
		}
	}
}

type walker struct {
	name, function string
	text           []byte
	set            *token.FileSet
	seen           map[string]int
	out            []change
}

func (w *walker) offset(p token.Pos) int { return w.set.Position(p).Offset }

func (w *walker) source(n ast.Node) string {
	return string(w.text[w.offset(n.Pos()):w.offset(n.End())])
}

func (w *walker) add(kind string, from, to token.Pos, new string) {
	c := change{file: w.name, function: w.function, kind: kind, at: w.offset(from), new: new}
	c.old = string(w.text[c.at:w.offset(to)])
	key := c.function + "\t" + c.kind + "\t" + c.old
	c.nth = w.seen[key]
	w.seen[key]++
	w.out = append(w.out, c)
}

var flipped = map[token.Token]string{
	token.LSS: ">=", token.LEQ: ">", token.GTR: "<=", token.GEQ: "<", token.EQL: "!=", token.NEQ: "==",
}

func (w *walker) visit(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		if to, ok := flipped[n.Op]; ok {
			w.add("compare", n.Pos(), n.End(), w.source(n.X)+" "+to+" "+w.source(n.Y))
		}
		if (n.Op == token.ADD || n.Op == token.SUB) && !isText(n.X) && !isText(n.Y) {
			w.add("term", n.Pos(), n.End(), w.source(n.X))
		}
	case *ast.BasicLit:
		if new, ok := larger(n); ok {
			w.add("constant", n.Pos(), n.End(), new)
		}
	case *ast.IndexExpr:
		w.add("index", n.Index.Pos(), n.Index.End(), "("+w.source(n.Index)+")+1")
	case *ast.SliceExpr:
		for _, bound := range []ast.Expr{n.Low, n.High} {
			if bound != nil {
				w.add("index", bound.Pos(), bound.End(), "("+w.source(bound)+")+1")
			}
		}
	}
	return true
}

func isText(e ast.Expr) bool {
	switch e := e.(type) {
	case *ast.BasicLit:
		return e.Kind == token.STRING
	case *ast.BinaryExpr:
		return isText(e.X) || isText(e.Y)
	}
	return false
}

// larger is a number 5 % above, at least one for a whole one of 20 or more.
func larger(l *ast.BasicLit) (string, bool) {
	switch l.Kind {
	case token.FLOAT:
		v, err := strconv.ParseFloat(strings.ReplaceAll(l.Value, "_", ""), 64)
		if err != nil || v == 0 {
			return "", false
		}
		return strconv.FormatFloat(v*1.05, 'g', 12, 64), true
	case token.INT:
		v, err := strconv.ParseInt(l.Value, 0, 64)
		if err != nil || v < 20 {
			return "", false
		}
		return strconv.FormatInt(int64(math.Ceil(float64(v)*1.05)), 10), true
	}
	return "", false
}

// returns adds an early return before each statement of a function's body but
// the first return of all.
func (w *walker) returns(d *ast.FuncDecl) {
	zeros := ""
	if d.Type.Results != nil {
		var list []string
		for _, f := range d.Type.Results.List {
			for range max(len(f.Names), 1) {
				list = append(list, "*new("+w.source(f.Type)+")")
			}
		}
		zeros = " " + strings.Join(list, ", ")
	}
	for _, s := range d.Body.List {
		if _, last := s.(*ast.ReturnStmt); last && len(d.Body.List) == 1 {
			return // what a function of one line returns is changed by the other kinds
		}
		first, _, _ := strings.Cut(w.source(s), "\n")
		to := s.Pos() + token.Pos(len(first))
		w.add("return", s.Pos(), to, "if true { return"+zeros+" }; "+first)
	}
}
