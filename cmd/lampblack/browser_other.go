//go:build !linux && !darwin && !windows

package main

import "os/exec"

// browserCommand opens a file in this user's browser.
func browserCommand(file string) *exec.Cmd { return exec.Command("xdg-open", file) }
