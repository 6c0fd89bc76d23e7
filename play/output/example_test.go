package output_test

import (
	"fmt"
	"os"
	"path/filepath"
	"time"

	"lampblack/play/output"
)

// Two instants of one universe go into a capture, by way of a mailbox.
func ExampleOpen() {
	dir, err := os.MkdirTemp("", "capture")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	sink, err := output.Open("file night.frames", output.Options{Dir: dir})
	if err != nil {
		fmt.Println(err)
		return
	}
	out := output.Mailbox(sink)
	err = out.Send([]output.Frame{{Universe: 1, Slots: []byte{0, 128, 255}}}, time.Now())
	fmt.Println(err, out.Close())
	file, err := os.Open(filepath.Join(dir, "night.frames"))
	if err != nil {
		fmt.Println(err)
		return
	}
	defer file.Close()
	info, _ := file.Stat()
	capture, err := output.OpenCapture(file, info.Size())
	if err != nil {
		fmt.Println(err)
		return
	}
	at, err := capture.At(0)
	fmt.Println(at.Frames[0].Slots, err)
	// Output:
	// <nil> <nil>
	// [0 128 255] <nil>
}
