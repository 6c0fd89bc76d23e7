//go:build !linux && !darwin && !windows

package doors

import "context"

// This is the computer that the program runs on.
func This() Machine { return other{} }

// other is a system of which nothing can be asked: a person looks.
type other struct{}

func (other) Power(context.Context) (Power, error)         { return Power{}, ErrCannotAsk }
func (other) Sleep(context.Context) (Sleep, error)         { return Sleep{}, ErrCannotAsk }
func (other) Sound(context.Context, string) (Sound, error) { return Sound{}, ErrCannotAsk }
func (other) Screen(context.Context) (float64, error)      { return 0, ErrCannotAsk }
func (other) Room(context.Context, string) (uint64, error) { return 0, ErrCannotAsk }
func (other) Clock(context.Context) (Clock, error)         { return Clock{}, ErrCannotAsk }
func (other) Cures() Cures {
	return Cures{"turn sleep off", "choose the loudspeakers' device", "turn it down", "set it by a clock that is right"}
}
