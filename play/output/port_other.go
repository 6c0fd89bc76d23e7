//go:build !linux && !darwin && !windows

package output

import (
	"errors"
	"fmt"
)

const (
	whereDevices  = ""
	howPermission = "this user may not write to it"
)

func openPort(device string, _ int) (port, error) {
	return nil, fmt.Errorf("open %s: serial outputs on this system: %w", device, errors.ErrUnsupported)
}
