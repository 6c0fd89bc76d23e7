//go:build unix

package soundtrack

import (
	"os"
	"runtime"
	"syscall"
)

// memoryOf returns the most memory that a process that has ended held, bytes.
func memoryOf(p *os.ProcessState) int64 {
	u, ok := p.SysUsage().(*syscall.Rusage)
	if !ok {
		return 0
	}
	if runtime.GOOS == "darwin" {
		return u.Maxrss
	}
	return u.Maxrss * 1024
}
