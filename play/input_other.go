//go:build !linux

package play

import (
	"errors"
	"fmt"
)

// openInput says that there is no way to a sound input here.
func openInput(string) (input, error) {
	return nil, fmt.Errorf("%w: %w", ErrNoDevice, errors.New("sound is heard live on Linux only, by its sound server; on this system run the show by a soundtrack, or by --beat tap"))
}

// Inputs are the sound inputs that there are: none that this program can use here.
func Inputs() ([]Device, error) { return nil, ErrNoDevice }
