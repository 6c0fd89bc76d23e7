package lampblack

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
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

var (
	command = regexp.MustCompile("`[^`]*go test ([^`]*)`")
	chosen  = regexp.MustCompile(`-(?:run|bench|fuzz)[ =]'?([^ ']+)`)
	tested  = regexp.MustCompile(`(?m)^func ((?:Test|Benchmark|Fuzz|Example)\w*)\(`)
)

// Beside a figure stands the command that prints it: each test that a page names
// is in a package that the command names.
func TestCommandsBesideFigures(t *testing.T) {
	var pages []string
	for _, form := range []string{"docs/*/*.md", "docs/*.md", "README.md", "CONTRIBUTING.md"} {
		found, _ := filepath.Glob(form)
		pages = append(pages, found...)
	}
	count := 0
	for _, page := range pages {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range command.FindAllStringSubmatch(string(text), -1) {
			names := testsIn(t, line[1])
			for _, one := range wanted(line[1]) {
				form, err := regexp.Compile(one)
				if count++; names != nil && (err != nil || !slices.ContainsFunc(names, form.MatchString)) {
					t.Errorf("%s: %s: no test there is called like %s", page, line[0], one)
				}
			}
		}
	}
	if count < 30 {
		t.Errorf("only %d tests are named on the pages", count)
	}
}

// wanted lists what a command chooses tests by.
func wanted(line string) []string {
	var out []string
	for _, m := range chosen.FindAllStringSubmatch(line, -1) {
		first, _, _ := strings.Cut(strings.ReplaceAll(m[1], `\|`, "|"), "/")
		switch strings.ToLower(first) {
		case "^$", "xx", "xxx": // none, on purpose
		default:
			out = append(out, strings.Split(first, "|")...)
		}
	}
	return out
}

// testsIn lists the tests of the packages that a command names one by one; nil
// when it names none.
func testsIn(t *testing.T, line string) []string {
	t.Helper()
	from := ""
	if strings.Contains(line, "-C tools ") {
		from = "tools"
	}
	var names []string
	for _, word := range strings.Fields(line) {
		dir, ok := strings.CutPrefix(word, "./")
		if !ok || strings.Contains(dir, "...") {
			continue
		}
		files, _ := filepath.Glob(filepath.Join(from, dir, "*_test.go"))
		for _, file := range files {
			code, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range tested.FindAllStringSubmatch(string(code), -1) {
				names = append(names, m[1])
			}
		}
	}
	return names
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

// Every test that ./test.sh --quick leaves out is there, so that no name in the
// list outlives its test.
func TestSlowTestsExist(t *testing.T) {
	text, err := os.ReadFile("tools/slow.txt")
	if err != nil {
		t.Fatal(err)
	}
	var all strings.Builder
	err = filepath.WalkDir(".", func(path string, d os.DirEntry, err error) error {
		if d.IsDir() && (d.Name() == "node_modules" || d.Name() == ".git") {
			return filepath.SkipDir
		}
		if err == nil && strings.HasSuffix(path, "_test.go") {
			var source []byte
			source, err = os.ReadFile(path)
			all.Write(source)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for name := range strings.Lines(string(text)) {
		name, _, _ = strings.Cut(strings.TrimSpace(name), "/")
		if !strings.HasPrefix(name, "#") && !strings.Contains(all.String(), "func "+name+"(") {
			t.Errorf("tools/slow.txt names %s, and there is no such test", name)
		}
	}
}
