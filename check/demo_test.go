package check

import (
	"context"
	"io/fs"
	"os"
	"testing"

	"lampblack/show"
)

// demoFolder is the demo show's texts.
func demoFolder() fs.FS { return os.DirFS("../demo/show") }

// solved reads and solves a folder without its sound.
func solved(t testing.TB, dir fs.FS) *show.Show {
	t.Helper()
	f, faults := show.Read(dir)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	s, faults := show.New(context.Background(), f, nil)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return s
}

func BenchmarkDemo(b *testing.B) {
	s := solved(b, demoFolder())
	for b.Loop() {
		if _, err := Run(context.Background(), s, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSolve(b *testing.B) {
	for b.Loop() {
		solved(b, demoFolder())
	}
}
