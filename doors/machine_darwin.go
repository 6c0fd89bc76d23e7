package doors

import (
	"context"
	"errors"
)

// This is the computer that the program runs on.
func This() Machine { return mac{} }

// mac asks programs that macOS brings along.
type mac struct{ disks }

func (mac) Power(ctx context.Context) (Power, error) {
	text, err := said(ctx, "pmset", "-g", "batt")
	if err != nil {
		return Power{}, err
	}
	p, ok := pmsetBattery(text)
	if !ok {
		return p, ErrCannotAsk
	}
	return p, nil
}

func (mac) Sleep(ctx context.Context) (Sleep, error) {
	text, err := said(ctx, "pmset", "-g")
	if err != nil {
		return Sleep{}, err
	}
	s, ok := pmsetSleep(text)
	if !ok {
		return s, ErrCannotAsk
	}
	return s, nil
}

func (mac) Sound(ctx context.Context, _ string) (Sound, error) {
	text, err := said(ctx, "system_profiler", "SPAudioDataType", "-json")
	if err != nil {
		return Sound{}, err
	}
	s, ok := profiledSound(text)
	if !ok {
		return s, errors.New("no device is set for sound")
	}
	return s, nil
}

// Screen is told to no program of the system.
func (mac) Screen(context.Context) (float64, error) { return 0, ErrCannotAsk }

// Clock is told to administrators alone.
func (mac) Clock(context.Context) (Clock, error) { return Clock{}, ErrCannotAsk }

func (mac) Cures() Cures {
	return Cures{
		Sleep:  "begin the program by `caffeinate -di lampblack ...`, or in the settings: never turn the display off while plugged in, no automatic sleep; leave the lid open",
		Sound:  "in the settings, under sound, output: choose the loudspeakers' device",
		Screen: "turn it down by its keys, and turn automatic brightness off",
		Clock:  "in the settings, under date and time: set automatically; without a network set it by a clock that is right, and choose the time zone of the place",
	}
}
