package main

import "golang.org/x/sys/windows"

// dropTyped throws away what was typed and not yet read: keys that somebody pressed while the
// show was loading would otherwise steer it as soon as it runs.
func dropTyped(fd int) { _ = windows.FlushConsoleInputBuffer(windows.Handle(fd)) }
