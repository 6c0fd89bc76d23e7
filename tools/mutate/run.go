package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
)

// longest is how long the tests of a package may take with a change made; a
// change that makes them hang is caught.
const longest = 5 * time.Minute

// outcome of one change.
type outcome string

const (
	caught  outcome = "caught"
	missed  outcome = "missed"
	invalid outcome = "does not build" // and does not count
	gone    outcome = "gone"           // and does not count
)

type runner struct {
	root    string
	jobs    int
	floor   float64
	short   bool
	changes []change
	equal   map[string]string // line of a change to why it alters nothing
}

func (r *runner) read(file, equal string) error {
	text, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSuffix(line, "\n")
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		c, err := parseLine(line)
		if err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
		r.changes = append(r.changes, c)
	}
	r.equal = map[string]string{}
	text, err = os.ReadFile(equal)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSuffix(line, "\n")
		if i := strings.LastIndex(line, "\t"); i > 0 && !strings.HasPrefix(line, "#") {
			r.equal[line[:i]] = line[i+1:]
		}
	}
	return err
}

// run tests the changes in the parts of the tree that are named, or in all.
func (r *runner) run(parts []string, some int, seed uint64) error {
	var list []change
	for _, c := range r.changes {
		dir := filepath.ToSlash(filepath.Dir(c.file))
		below := func(part string) bool { return dir == part || strings.HasPrefix(dir, part+"/") }
		if len(parts) == 0 || slices.ContainsFunc(parts, below) || slices.Contains(parts, c.file) {
			list = append(list, c)
		}
	}
	if some > 0 && some < len(list) {
		fmt.Printf("%d of %d changes, drawn with seed %d\n", some, len(list), seed)
		list = sample(list, some, seed)
	}
	results := make([]outcome, len(list))
	var wait sync.WaitGroup
	turn := make(chan struct{}, r.jobs)
	var failed error
	var lock sync.Mutex
	for i := range list {
		turn <- struct{}{}
		wait.Go(func() {
			defer func() { <-turn }()
			o, err := r.try(list[i])
			lock.Lock()
			defer lock.Unlock()
			failed = errors.Join(failed, err)
			results[i] = o
			if o == missed || o == gone {
				fmt.Printf("%s\t%s\n", o, list[i].line())
			}
		})
	}
	wait.Wait()
	if failed != nil {
		return failed
	}
	return r.tell(list, results)
}

// sample draws so many changes, from each part of the tree its share: they are
// ranked by lot within their parts, and those of the lowest ranks are taken.
func sample(list []change, some int, seed uint64) []change {
	lot := rand.New(rand.NewPCG(seed, 1))
	lot.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	part := func(c change) string { name, _, _ := strings.Cut(c.file, "/"); return name }
	size, start, next := map[string]int{}, map[string]float64{}, map[string]int{}
	for _, c := range list {
		if size[part(c)]++; size[part(c)] == 1 {
			start[part(c)] = lot.Float64()
		}
	}
	rank := map[change]float64{}
	for _, c := range list {
		p := part(c)
		rank[c] = (float64(next[p]) + start[p]) / float64(size[p])
		next[p]++
	}
	slices.SortStableFunc(list, func(a, b change) int { return cmp.Compare(rank[a], rank[b]) })
	return list[:some]
}

// try makes one change beside the tree, by an overlay, and tests its package.
func (r *runner) try(c change) (outcome, error) {
	file := filepath.Join(r.root, filepath.FromSlash(c.file))
	text, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return gone, nil
	}
	if err != nil {
		return "", err
	}
	all, err := sites(c.file, text)
	if err != nil {
		return "", err
	}
	i := slices.IndexFunc(all, func(s change) bool { return s.line() == c.line() })
	if i < 0 {
		return gone, nil
	}
	dir, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return "", err
	}
	defer os.RemoveAll(dir)
	changed := filepath.Join(dir, "changed.go")
	if err := os.WriteFile(changed, all[i].apply(text), 0o644); err != nil {
		return "", err
	}
	overlay, _ := json.Marshal(map[string]any{"Replace": map[string]string{file: changed}})
	list := filepath.Join(dir, "overlay.json")
	if err := os.WriteFile(list, overlay, 0o644); err != nil {
		return "", err
	}
	part := filepath.ToSlash(filepath.Dir(c.file))
	o, err := r.test(list, "./"+part)
	if o != missed || err != nil {
		return o, err
	}
	if above := r.above(part); above != "" {
		return r.test(list, "./"+above)
	}
	return o, nil
}

// above returns the package in the folder around a part that is made of it, and
// tests it as a whole; "" when there is none. A folder named internal is none
// itself: it belongs to the one around it.
func (r *runner) above(part string) string {
	folder := path.Dir(part)
	if path.Base(folder) == "internal" {
		folder = path.Dir(folder)
	}
	if folder == "." {
		return ""
	}
	list := exec.Command("go", "list", "-f", `{{join .Imports "\n"}}`, "./"+folder)
	list.Dir = r.root
	out, _ := list.Output()
	if slices.Contains(strings.Fields(string(out)), "lampblack/"+part) {
		return folder
	}
	return ""
}

func (r *runner) test(overlay, dir string) (outcome, error) {
	ctx, cancel := context.WithTimeout(context.Background(), longest)
	defer cancel()
	binary := filepath.Join(filepath.Dir(overlay), "test")
	build := exec.CommandContext(ctx, "go", "test", "-c", "-vet=off", "-overlay", overlay, "-o", binary, dir)
	build.Dir = r.root
	if out, err := build.CombinedOutput(); err != nil {
		if ctx.Err() != nil {
			return "", fmt.Errorf("%s: building took too long", dir)
		}
		if bytes.Contains(out, []byte("no test files")) {
			return missed, nil
		}
		return invalid, nil
	}
	if _, err := os.Stat(binary); err != nil {
		return missed, nil // no tests at all
	}
	for _, short := range []bool{true, false} {
		if r.short && !short {
			break
		}
		test := exec.CommandContext(ctx, binary, "-test.failfast", fmt.Sprint("-test.short=", short))
		test.Dir = filepath.Join(r.root, dir)
		test.WaitDelay = time.Second
		// Random tests draw the same for every change, as in test.sh, and leave
		// nothing behind.
		test.Env = append(os.Environ(), "RAPID_SEED=20260314", "RAPID_NOFAILFILE=1")
		if err := test.Run(); err != nil {
			return caught, nil
		}
	}
	return missed, nil
}

func (r *runner) tell(list []change, results []outcome) error {
	type count struct{ caught, missed, equal, out int }
	parts := map[string]*count{}
	all := &count{}
	for i, c := range list {
		dir := filepath.ToSlash(filepath.Dir(c.file))
		if parts[dir] == nil {
			parts[dir] = &count{}
		}
		for _, n := range []*count{parts[dir], all} {
			switch results[i] {
			case caught:
				n.caught++
			case missed:
				if n.missed++; r.equal[c.line()] != "" {
					n.equal++
				}
			default:
				n.out++
			}
		}
	}
	share := func(n *count) float64 { return 100 * float64(n.caught) / float64(max(n.caught+n.missed, 1)) }
	row := func(name string, n *count) {
		fmt.Printf("%-14s caught %d of %d (%.0f %%), %d of the missed alter nothing, %d left out\n",
			name, n.caught, n.caught+n.missed, share(n), n.equal, n.out)
	}
	names := make([]string, 0, len(parts))
	for d := range parts {
		names = append(names, d)
	}
	slices.Sort(names)
	for _, d := range names {
		row(d, parts[d])
	}
	row("all", all)
	if share(all) < r.floor {
		return fmt.Errorf("%.1f %% caught, below the floor of %.1f %%", share(all), r.floor)
	}
	return nil
}
