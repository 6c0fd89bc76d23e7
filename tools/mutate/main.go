// Mutate tells whether the tests bite: it makes one small change to the code
// at a time and runs the tests of the package that was changed, and of the one
// around it where that is made of it. A change that
// no test notices is a hole in the tests.
//
//	go run -C tools ./mutate list                draw for parts without any (changes.tsv)
//	go run -C tools ./mutate run [PART ...]      make each change, and test
//
// The changes are drawn by lot with a fixed seed and kept in changes.tsv, so
// that the tests can be improved afterwards and the figure means something. The
// short tests run first, then those of the package whole. A change is named by its file, function, kind, the text that it replaces, and
// which of the same texts in that function it is: it stays findable when lines
// move. One whose text is gone is said to be gone and does not count.
//
// Changes that cannot alter what the package does stand in equal.tsv, each
// with its reason; they count as missed in the first figure and not in the
// second.
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "mutate:", err)
		os.Exit(1)
	}
}

func run(args []string) error {
	if len(args) == 0 {
		return fmt.Errorf("list or run")
	}
	f := flag.NewFlagSet(args[0], flag.ContinueOnError)
	root := f.String("root", "..", "the project's folder")
	file := f.String("changes", "mutate/changes.tsv", "the list of changes")
	equal := f.String("equal", "mutate/equal.tsv", "changes that alter nothing, with why")
	seed := f.Uint64("seed", 1, "list: seed of the lot")
	some := f.Int("some", 0, "run: a sample of this many, drawn with the seed; 0 runs all")
	floor := f.Float64("floor", 0, "run: fail when a smaller share is caught")
	short := f.Bool("short", false, "run: with the short tests only, for a quick look; what they miss the others may catch")
	jobs := f.Int("jobs", 2, "run: changes tested at once")
	if err := f.Parse(args[1:]); err != nil {
		return err
	}
	top, err := filepath.Abs(*root)
	if err != nil {
		return err
	}
	switch args[0] {
	case "list":
		return writeList(top, *file, *seed)
	case "run":
		r := runner{root: top, jobs: *jobs, floor: *floor, short: *short}
		if err := r.read(*file, *equal); err != nil {
			return err
		}
		return r.run(f.Args(), *some, *seed)
	}
	return fmt.Errorf("%s: list or run", args[0])
}
