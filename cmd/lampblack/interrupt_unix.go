//go:build !windows

package main

import "os"

// interrupt asks a process to end, as Ctrl-C does.
func interrupt(p *os.Process) error { return p.Signal(os.Interrupt) }
