package main

import "os/exec"

// browserCommand opens a file in this user's browser.
func browserCommand(file string) *exec.Cmd {
	return exec.Command("rundll32", "url.dll,FileProtocolHandler", file)
}
