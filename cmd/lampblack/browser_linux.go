package main

import (
	"os"
	"os/exec"
)

// browserCommand opens a file in this user's browser; nil where there is no screen.
func browserCommand(file string) *exec.Cmd {
	if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
		return nil
	}
	return exec.Command("xdg-open", file)
}
