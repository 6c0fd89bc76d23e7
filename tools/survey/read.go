package main

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

const module = "lampblack/"

// part is one package of the house.
type part struct {
	dir       string
	files     []int // lines of each file
	functions []function
	exported  int // names that others may use: functions, types, variables, constants, methods of exported types
	comments  int // lines that hold a comment alone
	code      int // other lines that are not blank
	tests     int // lines of tests that are neither blank nor comments
	imports   []string
}

type function struct {
	where, name     string
	lines, branches int
}

type house struct{ parts []*part }

// read parses every Go file of the tree but generated ones and the tools.
func read(root string) (*house, error) {
	parts := map[string]*part{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := d.Name()
		if d.IsDir() {
			if path != root && (strings.HasPrefix(name, ".") || slices.Contains([]string{"node_modules", "testdata", "tools"}, name)) {
				return filepath.SkipDir
			}
			return nil
		}
		dir, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil || !strings.HasSuffix(name, ".go") || dir == "." {
			return err
		}
		dir = filepath.ToSlash(dir)
		if parts[dir] == nil {
			parts[dir] = &part{dir: dir}
		}
		return parts[dir].take(path)
	})
	h := &house{}
	for _, p := range parts {
		if len(p.files) > 0 {
			slices.Sort(p.imports)
			p.imports = slices.Compact(p.imports)
			h.parts = append(h.parts, p)
		}
	}
	slices.SortFunc(h.parts, func(a, b *part) int { return strings.Compare(a.dir, b.dir) })
	return h, err
}

func (p *part) take(path string) error {
	text, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, path, text, parser.ParseComments)
	if err != nil {
		return err
	}
	if ast.IsGenerated(file) {
		return nil
	}
	code, comments := weigh(set, file, text)
	if strings.HasSuffix(path, "_test.go") {
		p.tests += code
		return nil
	}
	p.files = append(p.files, bytes.Count(text, []byte("\n")))
	p.code += code
	p.comments += comments
	for _, i := range file.Imports {
		name, _ := strconv.Unquote(i.Path.Value)
		if own, ok := strings.CutPrefix(name, module); ok {
			p.imports = append(p.imports, own)
		}
	}
	for _, d := range file.Decls {
		p.declaration(set, d)
	}
	return nil
}

// weigh counts the lines that hold code and those that hold a comment alone.
func weigh(set *token.FileSet, file *ast.File, text []byte) (code, comments int) {
	alone := map[int]bool{}
	lines := bytes.Split(text, []byte("\n"))
	for _, g := range file.Comments {
		for _, c := range g.List {
			from, to := set.Position(c.Pos()), set.Position(c.End())
			if len(bytes.TrimSpace(lines[from.Line-1][:from.Column-1])) > 0 {
				continue
			}
			for n := from.Line; n <= to.Line; n++ {
				alone[n] = true
			}
		}
	}
	for n, line := range lines {
		switch {
		case len(bytes.TrimSpace(line)) == 0:
		case alone[n+1]:
			comments++
		default:
			code++
		}
	}
	return code, comments
}

func (p *part) declaration(set *token.FileSet, d ast.Decl) {
	switch d := d.(type) {
	case *ast.FuncDecl:
		name := d.Name.Name
		if d.Recv != nil {
			of := receiver(d.Recv.List[0].Type)
			if ast.IsExported(of) && d.Name.IsExported() {
				p.exported++
			}
			name = of + "." + name
		} else if d.Name.IsExported() {
			p.exported++
		}
		from, to := set.Position(d.Pos()), set.Position(d.End())
		p.functions = append(p.functions, function{p.dir, name, to.Line - from.Line + 1, branches(d)})
	case *ast.GenDecl:
		for _, s := range d.Specs {
			switch s := s.(type) {
			case *ast.TypeSpec:
				if s.Name.IsExported() {
					p.exported++
				}
			case *ast.ValueSpec:
				for _, n := range s.Names {
					if n.IsExported() {
						p.exported++
					}
				}
			}
		}
	}
}

func receiver(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.StarExpr:
		return receiver(e.X)
	case *ast.IndexExpr:
		return receiver(e.X)
	case *ast.IndexListExpr:
		return receiver(e.X)
	case *ast.Ident:
		return e.Name
	}
	return "?"
}

// branches is the cyclomatic complexity (McCabe 1976): one, and one more for
// every place where the way parts.
func branches(f *ast.FuncDecl) int {
	n := 1
	ast.Inspect(f, func(x ast.Node) bool {
		switch x := x.(type) {
		case *ast.IfStmt, *ast.ForStmt, *ast.RangeStmt:
			n++
		case *ast.CaseClause:
			if x.List != nil {
				n++
			}
		case *ast.CommClause:
			if x.Comm != nil {
				n++
			}
		case *ast.BinaryExpr:
			if x.Op == token.LAND || x.Op == token.LOR {
				n++
			}
		}
		return true
	})
	return n
}
