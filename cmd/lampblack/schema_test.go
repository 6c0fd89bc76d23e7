package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"lampblack/source"
)

// formOf tells which form a file of a show's folder has.
func formOf(name string) string {
	if filepath.Base(filepath.Dir(name)) == "fixtures" {
		return "fixture"
	}
	return strings.TrimSuffix(filepath.Base(name), ".yaml")
}

// jsonOf reads YAML 1.2 as JSON. A mapping key is a string whatever it looks
// like, as in the reader.
func jsonOf(t *testing.T, text []byte) any {
	t.Helper()
	var v any
	if err := yaml.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	return stringKeys(v)
}

func stringKeys(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			v[k] = stringKeys(x)
		}
	case map[any]any:
		out := map[string]any{}
		for k, x := range v {
			out[fmt.Sprint(k)] = stringKeys(x)
		}
		return out
	case []any:
		for i := range v {
			v[i] = stringKeys(v[i])
		}
	}
	return v
}

// verdicts asks a validator of another project, Debian's python3-jsonschema,
// about values, each against the schema of its form.
func verdicts(t *testing.T, cases []schemaCase) []string {
	t.Helper()
	if err := exec.Command("/usr/bin/python3", "-c", "import jsonschema").Run(); err != nil {
		t.Skip("left out: python3-jsonschema is not installed")
	}
	schemas := map[string]any{}
	for name, form := range schemaForms {
		schemas[name] = source.Schema(name, form)
	}
	data, err := json.Marshal(map[string]any{"schemas": schemas, "cases": cases})
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command("/usr/bin/python3", "-c", `
import json, sys
from jsonschema import Draft202012Validator as V
d = json.load(sys.stdin)
for s in d["schemas"].values(): V.check_schema(s)
out = []
for c in d["cases"]:
    e = next(V(d["schemas"][c["form"]]).iter_errors(c["value"]), None)
    out.append("" if e is None else "/".join(map(str, e.absolute_path)) + ": " + e.message[:200])
json.dump(out, sys.stdout)`)
	c.Stdin, c.Stderr = bytes.NewReader(data), os.Stderr
	answer, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	if err := json.Unmarshal(answer, &out); err != nil || len(out) != len(cases) {
		t.Fatalf("%d verdicts, %v", len(out), err)
	}
	return out
}

type schemaCase struct {
	Name  string `json:"name"`
	Form  string `json:"form"`
	Value any    `json:"value"`
}

// Every file of both demos fits the schema of its form, by a validator of
// another project, and with a key misspelt anywhere it does not.
func TestSchemasFitTheDemos(t *testing.T) {
	var cases []schemaCase
	for _, pattern := range []string{"../../demo/*/*.yaml", "../../demo/*/fixtures/*.yaml"} {
		names, err := filepath.Glob(pattern)
		if err != nil || len(names) == 0 {
			t.Fatal(pattern, err)
		}
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			cases = append(cases, schemaCase{name, formOf(name), jsonOf(t, text)})
		}
	}
	for form, text := range map[string]string{
		"spotting": "decisions: [{moment: hit 0:31.2, verdict: accept, move to: 0:31.35, note: x}]",
		"calendar": "time zone: Europe/Berlin\nhours: {monday to friday: [10:00 to 12:00, 13:00 to 18:00], sunday: closed}\nseasons: [{season: a, from: 11-01, to: 02-28, hours: closed}]\nexceptions: [{on: 2026-12-24, hours: closed, why: x}]\nstart-up: {look: a, before opening: 30 min}\nclose-down: {look: a, after closing: 20 min}\nself-test: {at: \"8:00\", for: 5 min, look: a}\ntriggers asleep outside hours: yes",
		"readings": "meters: {lux: {error: 5 %, calibration: 15 %, smallest: 0.1 lx}}\nreadings: [{unit: a, emitter: red, at: cloth, lux: 12 lx}]",
		"fixture":  "name: x\nbeam: {half: 40°}\nemitters: {red: {peak: 630 nm, output: 1 W}}\nmodes: {m: {1: {dims: all, curve: {dark to: 12, then: square}}, 2-3: {drives: red, cell: 1}, 4: {idle: none, set: 7}, 5: {0-9: open, 10 - 255: flash random 1 Hz to 20 Hz}}}",
	} {
		cases = append(cases, schemaCase{"by hand", form, jsonOf(t, []byte(text))})
	}
	good := len(cases)
	for _, c := range cases[:good] {
		for _, broken := range misspelt(c.Value) {
			cases = append(cases, schemaCase{c.Name, c.Form, broken})
		}
	}
	for i, said := range verdicts(t, cases) {
		if i < good && said != "" {
			t.Errorf("%s does not fit %s: %s", cases[i].Name, cases[i].Form, said)
		}
		if i >= good && said == "" {
			t.Errorf("%s fits %s with a key misspelt: %.300v", cases[i].Name, cases[i].Form, cases[i].Value)
		}
	}
	t.Logf("%d files, %d with a key misspelt", good, len(cases)-good)
}

// names of things stand where the file chooses them: there a misspelt key is
// another name.
var ownNames = []string{"triggers", "inside", "zones", "emitters", "modes", "looks", "circuits", "lines", "materials", "paints", "surfaces", "objects", "boxes", "pillars", "paths", "marks", "over background", "extra sounds", "faders", "alarm inputs", "on stage", "crosses", "opens", "supports"}

// misspelt returns copies of a value with one of its keys misspelt, one for
// every mapping in it.
func misspelt(v any) []any {
	var out []any
	var walk func(at []string, v any)
	walk = func(at []string, x any) {
		switch x := x.(type) {
		case map[string]any:
			keys := slices.Sorted(maps.Keys(x))
			free := len(at) > 0 && slices.Contains(ownNames, at[len(at)-1])
			if !free && len(keys) > 0 {
				first := x[keys[0]]
				delete(x, keys[0])
				x[keys[0]+"x"] = first
				data, _ := json.Marshal(v)
				delete(x, keys[0]+"x")
				x[keys[0]] = first
				var copied any
				_ = json.Unmarshal(data, &copied)
				out = append(out, copied)
			}
			for _, k := range keys {
				walk(append(at[:len(at):len(at)], k), x[k])
			}
		case []any:
			for _, y := range x {
				walk(at, y)
			}
		}
	}
	walk(nil, v)
	return out
}

// keysOf collects the keys of a schema, however deep.
func keysOf(schema any, into map[string]bool) {
	switch s := schema.(type) {
	case map[string]any:
		for k, v := range s {
			if k == "properties" {
				for key := range v.(map[string]any) {
					into[key] = true
				}
			}
			keysOf(v, into)
		}
	case []any:
		for _, v := range s {
			keysOf(v, into)
		}
	}
}

var (
	fenced   = regexp.MustCompile("(?s)```[a-z]*\n.*?```")
	codeSpan = regexp.MustCompile("`[^`]+`")
	keyed    = regexp.MustCompile(`(?:^|[{,\[] *)([a-z][a-z -]*):(?: |$)`)
)

// codeIn are the pieces of code in a text: what stands between fences, and between single
// marks.
func codeIn(text string) []string {
	return append(fenced.FindAllString(text, -1), codeSpan.FindAllString(fenced.ReplaceAllString(text, ""), -1)...)
}

// docs/files.md names every key of every file in the file's own section, and
// shows no key that no reader takes.
func TestDocsNameEveryKey(t *testing.T) {
	text, err := os.ReadFile("../../docs/files.md")
	if err != nil {
		t.Fatal(err)
	}
	sections := map[string]string{}
	for _, s := range strings.Split(string(text), "\n## ")[1:] {
		head, body, _ := strings.Cut(s, "\n")
		for _, form := range slices.Sorted(maps.Keys(schemaForms)) {
			if strings.Contains(head, form+".yaml") || form == "fixture" && strings.HasPrefix(head, "fixtures/") || form == "desk" && head == "A desk" ||
				form == "piece" && strings.Contains(head, "score.yaml") {
				sections[form] = body
			}
		}
	}
	every := map[string]bool{}
	for form, v := range schemaForms {
		data, _ := json.Marshal(source.Schema(form, v))
		var plain any
		_ = json.Unmarshal(data, &plain)
		keys := map[string]bool{}
		keysOf(plain, keys)
		code := strings.Join(codeIn(sections[form]), "\n")
		for _, k := range slices.Sorted(maps.Keys(keys)) {
			every[k] = true
			if !regexp.MustCompile(`(^|[^a-z-])` + regexp.QuoteMeta(k) + `($|[^a-z-])`).MatchString(code) {
				t.Errorf("the section on %s does not name the key %q", form, k)
			}
		}
	}
	for form, body := range sections {
		for _, span := range codeIn(body) {
			span = strings.Trim(span, "`")
			for _, m := range append(keyed.FindAllStringSubmatch(span, -1), listed(span)...) {
				if !every[m[1]] && !slices.Contains(exampleNames, m[1]) {
					t.Errorf("the section on %s shows a key %q that no reader takes, in %s", form, m[1], span)
				}
			}
		}
	}
}

// listed are the keys of "{unit, type, at}", in the form of keyed's matches.
func listed(span string) [][]string {
	inner, ok := strings.CutPrefix(span, "{")
	if !ok {
		return nil
	}
	var out [][]string
	depth, from := 0, 0
	for i, c := range strings.TrimSuffix(inner, "}") + "," {
		switch {
		case strings.ContainsRune("{[", c):
			depth++
		case strings.ContainsRune("}]", c):
			depth--
		case c == ',' && depth == 0:
			key, _, _ := strings.Cut(strings.TrimSpace(inner[from:min(i, len(inner))]), ":")
			if key = strings.TrimSuffix(key, "}"); key != "…" && key != "" {
				out = append(out, []string{"", key})
			}
			from = i + 1
		}
	}
	return out
}

// exampleNames are names of emitters, looks and the like in the examples.
var exampleNames = []string{"front", "uv", "red", "tail paint", "reef", "fish hand", "house tabs"}
