package doors

import (
	"context"
	"errors"
	"path/filepath"
	"strconv"
	"strings"

	"golang.org/x/sys/unix"

	"lampblack/folder"
)

// This is the computer that the program runs on.
func This() Machine { return linux{sys: "/sys"} }

// linux asks the files of the kernel below sys, and programs of the desktop where they
// are installed.
type linux struct {
	disks
	sys string
}

// value reads a file of the kernel: one short line.
func (l linux) value(ctx context.Context, path ...string) string {
	data, err := folder.ReadFile(ctx, filepath.Join(append([]string{l.sys}, path...)...), 1<<16)
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(data))
}

// Power reads /sys/class/power_supply (kernel: Documentation/ABI/testing/
// sysfs-class-power). Batteries of mice and pens have the scope "Device".
func (l linux) Power(ctx context.Context) (Power, error) {
	dirs, _ := filepath.Glob(filepath.Join(l.sys, "class/power_supply/*"))
	if len(dirs) == 0 {
		return Power{}, ErrCannotAsk
	}
	p := Power{Battery: -1}
	for _, dir := range dirs {
		name := filepath.Base(dir)
		of := func(what string) string { return l.value(ctx, "class/power_supply", name, what) }
		switch {
		case of("scope") == "Device":
		case of("type") == "Battery":
			if n, err := strconv.Atoi(of("capacity")); err == nil && n >= 0 {
				p.Battery = max(p.Battery, float64(min(n, 100))/100)
			}
		case of("online") == "1":
			p.Mains = true
		}
	}
	return p, nil
}

// Sleep asks who holds the machine awake, and else what the desktop has set.
func (l linux) Sleep(ctx context.Context) (Sleep, error) {
	list, err := said(ctx, "systemd-inhibit", "--list", "--no-legend", "--no-pager")
	if by := inhibited(list); err == nil && by != "" {
		return Sleep{AwakeBy: by}, nil
	}
	const power, session = "org.gnome.settings-daemon.plugins.power", "org.gnome.desktop.session"
	var text [3]string
	for i, of := range [3][2]string{{power, "sleep-inactive-ac-type"}, {power, "sleep-inactive-ac-timeout"}, {session, "idle-delay"}} {
		if text[i], err = said(ctx, "gsettings", "get", of[0], of[1]); err != nil {
			return Sleep{}, ErrCannotAsk // another desktop, or none
		}
	}
	s, ok := desktopSleep(text[0], text[1], text[2])
	if !ok {
		return s, ErrCannotAsk
	}
	return s, nil
}

// Sound asks the sound server.
func (l linux) Sound(ctx context.Context, device string) (Sound, error) {
	if device == "" {
		var err error
		if device, err = said(ctx, "pactl", "get-default-sink"); err != nil {
			return Sound{}, err
		}
	}
	list, err := said(ctx, "pactl", "list", "sinks")
	if err != nil {
		return Sound{}, err
	}
	s, ok := pactlSink(list, device)
	if !ok {
		return s, errors.New("the sound server names no device")
	}
	return s, nil
}

// Screen reads /sys/class/backlight (kernel: Documentation/ABI/stable/
// sysfs-class-backlight): of several the brightest.
func (l linux) Screen(ctx context.Context) (float64, error) {
	dirs, _ := filepath.Glob(filepath.Join(l.sys, "class/backlight/*"))
	brightest := -1.0
	for _, dir := range dirs {
		now, err := strconv.Atoi(l.value(ctx, "class/backlight", filepath.Base(dir), "brightness"))
		most, err2 := strconv.Atoi(l.value(ctx, "class/backlight", filepath.Base(dir), "max_brightness"))
		if err == nil && err2 == nil && most > 0 && now >= 0 {
			brightest = max(brightest, min(float64(now)/float64(most), 1))
		}
	}
	if brightest < 0 {
		return 0, ErrCannotAsk
	}
	return brightest, nil
}

// Clock asks the kernel whether something steers its clock: adjtimex(2), STA_UNSYNC.
func (linux) Clock(context.Context) (Clock, error) {
	var t unix.Timex
	if _, err := unix.Adjtimex(&t); err != nil {
		return Clock{}, ErrCannotAsk
	}
	return Clock{Known: true, Synced: t.Status&unix.STA_UNSYNC == 0}, nil
}

func (linux) Cures() Cures {
	return Cures{
		Sleep:  "in the settings, under power: no automatic suspend while plugged in, blank screen never; or begin the program by `systemd-inhibit --what=idle:sleep:handle-lid-switch lampblack ...`; leave the lid open",
		Sound:  "in the settings, under sound: choose the loudspeakers' device and unmute it; pull the sound out of the projector's cable by choosing another output",
		Screen: "turn it down by its keys or in the settings; a cloth over it does as well",
		Clock:  "in the settings, under date and time: automatic; without a network set it by a clock that is right, and choose the time zone of the place",
	}
}
