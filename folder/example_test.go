package folder_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"lampblack/folder"
)

// Two files change together, or neither does: here somebody else was faster.
func Example() {
	dir, err := os.MkdirTemp("", "show")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	score := filepath.Join(dir, "score.yaml")
	os.WriteFile(score, []byte("cues: []\n"), 0o644)

	show, err := folder.Open(context.Background(), dir)
	if err != nil {
		fmt.Println(err)
		return
	}
	defer show.Close()
	text, _ := show.ReadFile("score.yaml")
	fmt.Printf("%s", text)

	os.WriteFile(score, []byte("cues: []  # a thought of a friend\n"), 0o644)
	edit := show.Edit()
	edit.Put("score.yaml", []byte("cues: [{cue: 1, at: 0:01, look: dark}]\n"))
	edit.Put("show.yaml", []byte("title: The Lantern Fish\n"))
	fmt.Println("changed meanwhile:", errors.Is(edit.Commit(), folder.ErrChanged))

	now, _ := os.ReadFile(score)
	fmt.Printf("%s", now)
	// Output:
	// cues: []
	// changed meanwhile: true
	// cues: []  # a thought of a friend
}
