package web

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"lampblack/si"
)

// The page prints numbers as the commands do: the page's own code, run by
// Node, gives the same text as package si for two thousand values in the units
// that pages show.
func TestNumbersOfThePage(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("left out: there is no node")
	}
	dir := t.TempDir()
	script := filepath.Join(dir, "clock.mjs")
	bundle := exec.Command("go", "tool", "-modfile=../tools/go.mod", "esbuild", "ui/clock.ts", "--format=esm", "--outfile="+script, "--log-level=warning")
	if out, err := bundle.CombinedOutput(); err != nil {
		t.Fatalf("bundle: %v\n%s", err, out)
	}
	type row struct {
		Value float64 `json:"value"`
		Unit  string  `json:"unit"`
	}
	var rows []row
	var want []string
	r := rand.New(rand.NewPCG(7, 7))
	for _, unit := range []string{"", "lx", "cd/m²", "W/m²", "W", "A", "V", "s", "m", "J/m²", "°"} {
		values := []float64{0, 1, 12, 500, 999, 1000, 1234, 9999.5, .0099, .0099999, 119.9, 120, 1e300, -3.52, 288300}
		for range 170 {
			values = append(values, math.Pow(10, -9+16*r.Float64()))
		}
		for _, v := range values {
			rows, want = append(rows, row{v, unit}), append(want, si.Say(v, unit))
		}
	}
	data, err := json.Marshal(rows)
	if err != nil {
		t.Fatal(err)
	}
	run := exec.Command(node, "--input-type=module", "-e",
		`import { say } from "`+script+`"; import { readFileSync } from "node:fs";
		process.stdout.write(JSON.stringify(JSON.parse(readFileSync(0, "utf8")).map((r) => say(r.value, r.unit))));`)
	in, err := os.Open(write(t, filepath.Join(dir, "rows.json"), data))
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	run.Stdin, run.Stderr = in, os.Stderr
	out, err := run.Output()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	if err := json.Unmarshal(out, &got); err != nil || len(got) != len(want) {
		t.Fatalf("%d answers, %v", len(got), err)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("%v %q: the page prints %q, the commands %q", rows[i].Value, rows[i].Unit, got[i], want[i])
		}
	}
}

func write(t *testing.T, name string, data []byte) string {
	t.Helper()
	if err := os.WriteFile(name, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}
