//go:build !linux

package trigger

import (
	"errors"
	"fmt"
)

func openLine(at spot) (gpioLine, error) {
	return nil, fmt.Errorf("line %d of %s: GPIO on this system: %w", at.line, at.place, errors.ErrUnsupported)
}
