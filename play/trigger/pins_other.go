//go:build !linux && !darwin && !windows

package trigger

import (
	"errors"
	"fmt"
)

func openPins(name string) (pins, error) {
	return nil, fmt.Errorf("open %s: control pins on this system: %w", name, errors.ErrUnsupported)
}
