package demo

import (
	"embed"
	"errors"
	"io"
)

//go:embed show
var files embed.FS

// TheLanternFish returns the plan of the demo's soundtrack.
func TheLanternFish() Plan { panic("demo: not yet") }

// Synthesise writes the plan's soundtrack as a WAV file: 44.1 kHz, 16 bits,
// stereo. Progress, when not nil, is called now and then with the share done.
func Synthesise(w io.Writer, p Plan, progress func(done float64)) error {
	return errors.New("demo: not yet")
}

// Write writes the whole demo show into dir, which is created when it is not
// there. A folder that holds anything else is refused.
func Write(dir string, progress func(done float64)) error { return errors.New("demo: not yet") }

// New writes a small commented show to begin with into dir.
func New(dir, title string) error { return errors.New("demo: not yet") }
