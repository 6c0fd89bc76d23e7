//go:build linux || darwin

package doors

import (
	"context"

	"golang.org/x/sys/unix"
)

// disks asks the file systems of a system of the Unix kind.
type disks struct{}

func (disks) Room(_ context.Context, dir string) (uint64, error) {
	var s unix.Statfs_t
	if err := unix.Statfs(dir, &s); err != nil {
		return 0, err
	}
	return s.Bavail * uint64(s.Bsize), nil
}
