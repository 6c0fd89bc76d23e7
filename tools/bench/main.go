// Bench holds the benchmarks against what they took last time. It reads what
// `go test -bench` prints, runs a loop of its own between the packages, and
// takes each figure as a multiple of that loop, so that a slow or busy machine
// counts for both.
//
//	go test -run '^$' -bench . -benchtime 100ms ./... | go run -C tools ./bench FILE
//	go test -run '^$' -bench . -benchtime 100ms ./... | go run -C tools ./bench -keep FILE
//
// It says which have grown by more than a third, and which are new or gone; it
// never fails for slowness. With -keep it writes FILE anew.
package main

import (
	"bufio"
	"flag"
	"fmt"
	"io"
	"maps"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// grown is the share from which growth is told.
const grown = 4. / 3

func main() {
	keep := flag.Bool("keep", false, "write the figures into the file")
	flag.Parse()
	if flag.NArg() != 1 {
		fmt.Fprintln(os.Stderr, "bench: a file of figures is wanted")
		os.Exit(2)
	}
	if err := run(flag.Arg(0), *keep); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func run(file string, keep bool) error {
	fresh, failed, err := read(os.Stdin, os.Stdout)
	if err != nil {
		return err
	}
	if failed {
		return fmt.Errorf("a benchmark failed")
	}
	if keep {
		return os.WriteFile(file, []byte(write(fresh)), 0o644)
	}
	text, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	compare(os.Stdout, parse(string(text)), fresh)
	return nil
}

var (
	line = regexp.MustCompile(`^(Benchmark\S+?)(?:-\d+)?\s+\d+\s+([0-9.]+) ns/op`)
	done = regexp.MustCompile(`^ok\s+lampblack/(\S+)`)
)

// read takes the figures of each package when it is done, by name, as
// multiples of the reference loop; what failed is passed on.
func read(in io.Reader, out io.Writer) (figures map[string]float64, failed bool, err error) {
	figures = map[string]float64{}
	var names []string
	var times []float64
	before := reference()
	scan := bufio.NewScanner(in)
	scan.Buffer(nil, 1<<20)
	for scan.Scan() {
		text := scan.Text()
		if m := line.FindStringSubmatch(text); m != nil {
			ns, _ := strconv.ParseFloat(m[2], 64)
			names, times = append(names, m[1]), append(times, ns)
			continue
		}
		if strings.HasPrefix(text, "FAIL") || strings.HasPrefix(text, "--- FAIL") {
			failed = true
			fmt.Fprintln(out, text)
		}
		if m := done.FindStringSubmatch(text); m != nil {
			after := reference()
			for i, name := range names {
				figures[m[1]+" "+name] = times[i] / math.Sqrt(before*after)
			}
			names, times, before = nil, nil, after
		}
	}
	return figures, failed, scan.Err()
}

// sink keeps the loop from being left out.
var sink float64

// reference is how long the loop takes now, in ns: sums of products over a
// block that fits no fast cache, the least of three.
func reference() float64 {
	block := make([]float64, 1<<20)
	for i := range block {
		block[i] = float64(i%97) / 97
	}
	least := math.Inf(1)
	for range 3 {
		start := time.Now()
		sum := 0.0
		for k := range 4 {
			for i, v := range block {
				sum += v * block[(i*(2*k+1))&(len(block)-1)]
			}
		}
		sink += sum
		least = min(least, float64(time.Since(start)))
	}
	return least
}

func write(figures map[string]float64) string {
	var b strings.Builder
	b.WriteString("# What each benchmark took, as a multiple of tools/bench's reference loop in the same run.\n")
	for _, name := range slices.Sorted(maps.Keys(figures)) {
		fmt.Fprintf(&b, "%s\t%.3g\n", name, figures[name])
	}
	return b.String()
}

func parse(text string) map[string]float64 {
	out := map[string]float64{}
	for l := range strings.Lines(text) {
		name, figure, ok := strings.Cut(strings.TrimSpace(l), "\t")
		if v, err := strconv.ParseFloat(figure, 64); ok && err == nil {
			out[name] = v
		}
	}
	return out
}

func compare(w io.Writer, old, fresh map[string]float64) {
	told := 0
	for _, name := range slices.Sorted(maps.Keys(fresh)) {
		was, known := old[name]
		switch ratio := fresh[name] / was; {
		case !known:
			fmt.Fprintf(w, "new: %s takes %.3g of the reference loop\n", name, fresh[name])
		case ratio > grown:
			fmt.Fprintf(w, "GROWN: %s takes %.2f times what it took\n", name, ratio)
			told++
		}
	}
	for _, name := range slices.Sorted(maps.Keys(old)) {
		if _, there := fresh[name]; !there {
			fmt.Fprintf(w, "gone: %s\n", name)
		}
	}
	fmt.Fprintf(w, "%d benchmarks, %d grown by more than a third\n", len(fresh), told)
}
