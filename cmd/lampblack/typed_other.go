//go:build !linux && !darwin && !freebsd && !netbsd && !openbsd && !dragonfly && !windows

package main

// dropTyped does nothing: this system has no known way to throw away what was typed.
func dropTyped(int) {}
