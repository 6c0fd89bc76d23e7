package lampblack

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var named = regexp.MustCompile("`((?:[a-z0-9]+/)*[a-z0-9]+)\\.((?:[A-Za-z0-9]+\\.)?[A-Za-z0-9]+)`")

// Every function, method, type and field that the tour and the decisions name
// is there, so that a newcomer who follows them is not led astray.
func TestTour(t *testing.T) {
	pages, _ := filepath.Glob("docs/decisions/*.md")
	pages = append(pages, "docs/tour.md", "docs/architecture.md")
	found := 0
	known := map[string]map[string]bool{}
	for _, page := range pages {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range named.FindAllStringSubmatch(string(text), -1) {
			dir, name := m[1], m[2]
			if info, err := os.Stat(dir); err != nil || !info.IsDir() || name == "yaml" {
				continue // a file's name, a library, the root's own
			}
			if known[dir] == nil {
				known[dir] = declared(t, dir)
			}
			if found++; !known[dir][name] {
				t.Errorf("%s names %s.%s, which is not there", page, dir, name)
			}
		}
	}
	if found < 30 {
		t.Errorf("only %d names were found on the pages", found)
	}
}

// declared lists the functions, types, methods and fields of a package, as
// Name or Type.Name.
func declared(t *testing.T, dir string) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	files, _ := filepath.Glob(filepath.Join(dir, "*.go"))
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range parsed.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				name := d.Name.Name
				if d.Recv != nil {
					name = receiver(d.Recv.List[0].Type) + "." + name
				}
				out[name] = true
			case *ast.GenDecl:
				for _, s := range d.Specs {
					switch s := s.(type) {
					case *ast.TypeSpec:
						out[s.Name.Name] = true
						fields(out, s)
					case *ast.ValueSpec:
						for _, n := range s.Names {
							out[n.Name] = true
						}
					}
				}
			}
		}
	}
	return out
}

func receiver(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.StarExpr:
		return receiver(e.X)
	case *ast.IndexExpr:
		return receiver(e.X)
	case *ast.Ident:
		return e.Name
	}
	return ""
}

func fields(out map[string]bool, s *ast.TypeSpec) {
	var list *ast.FieldList
	switch x := s.Type.(type) {
	case *ast.StructType:
		list = x.Fields
	case *ast.InterfaceType:
		list = x.Methods
	default:
		return
	}
	for _, f := range list.List {
		for _, n := range f.Names {
			out[s.Name.Name+"."+n.Name] = true
		}
	}
}
