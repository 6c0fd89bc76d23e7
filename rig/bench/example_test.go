package bench_test

import (
	"fmt"
	"strings"

	"lampblack/rig"
	"lampblack/rig/bench"
)

// A lamp whose red and green are exchanged, and a person who sees it.
func Example() {
	const file = `name: Par
beam: {half: 25°}
emitters: {red: {peak: 625 nm, width: 18 nm, output: 80 lm}, green: {peak: 522 nm, width: 33 nm, output: 150 lm}}
modes:
  2ch:
    1: {drives: red}
    2: {drives: green}
`
	kind, _ := rig.ReadType("par", "fixtures/par.yaml", []byte(file))
	report, _ := bench.Walk(kind, &kind.Modes[0].Value, func(s bench.Step) (bench.Answer, error) {
		answers := map[string]string{"slot 1 at 255": "green", "slot 2 at 255": "red", "pull": "hold", "switch": "3"}
		for say, answer := range answers {
			if strings.HasPrefix(s.Say, say) {
				return s.Read(answer)
			}
		}
		return s.Read("yes")
	})
	for _, f := range report.Findings {
		fmt.Printf("slot %d %s\n", f.Slot, f.Text)
	}
	out, _ := report.Edit("fixtures/par.yaml", "2ch", []byte(file))
	fmt.Println(strings.Contains(string(out), "1: {drives: green}"))
	// Output:
	// slot 1 lights green: the table says red
	// slot 2 lights red: the table says green
	// true
}
