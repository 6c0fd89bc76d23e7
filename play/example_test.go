package play_test

import (
	"context"
	"fmt"
	"testing/fstest"

	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/clock"
	"lampblack/show"
)

// A show of one lamp and two cues runs by the computer's clock, to nowhere.
func ExampleRun() {
	files := fstest.MapFS{}
	for name, text := range map[string]string{
		"show.yaml":          "title: a small one\nsoundtrack: none.wav\n",
		"fixtures/lamp.yaml": "name: lamp\nbeam: {half: 25°}\nemitters: {red: {peak: 629 nm, width: 15 nm, output: 2 W}}\nmodes: {one: {1: {drives: red}}}\n",
		"rig.yaml":           "units: [{unit: lamp, type: lamp, address: 1, at: [0 m, 0 m, 3 m], aim: [0 m, 2 m, 1 m], systems: all}]\n",
		"room.yaml":          "size: [9 m, 14 m, 4 m]\nstage front: 9 m\n",
		"score.yaml":         "looks: {dim: {parts: [{system: all, emitters: {red: 10 %}}]}}\ncues: [{cue: 1, at: 0 s, look: dim}, {cue: 2, at: 0.1 s, look: dim}]\n",
	} {
		files[name] = &fstest.MapFile{Data: []byte(text)}
	}
	read, faults := show.Read(files)
	if faults.Err() != nil {
		fmt.Println(faults)
		return
	}
	s, faults := show.New(context.Background(), read, nil)
	if faults.Err() != nil {
		fmt.Println(faults)
		return
	}
	sum, err := play.Run(context.Background(), s, play.Options{
		Clock: &clock.Wall{},
		Journal: func(e evening.Event) {
			if e.Kind != evening.Cue {
				fmt.Println(e.Kind)
			}
		},
	})
	fmt.Println("cut short:", sum.Stopped, err)
	// Output:
	// run
	// end
	// cut short: false <nil>
}
