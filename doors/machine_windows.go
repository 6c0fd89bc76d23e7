package doors

import (
	"context"
	"unsafe"

	"golang.org/x/sys/windows"
)

// This is the computer that the program runs on.
func This() Machine { return windowsPC{} }

// windowsPC asks the system itself, and programs that it brings along.
type windowsPC struct{}

// powerStatus is SYSTEM_POWER_STATUS of GetSystemPowerStatus.
type powerStatus struct {
	line, flag, percent, saver byte // 255 where it does not know
	left, full                 uint32
}

var getPower = windows.NewLazySystemDLL("kernel32.dll").NewProc("GetSystemPowerStatus")

func (windowsPC) Power(context.Context) (Power, error) {
	var s powerStatus
	if ok, _, _ := getPower.Call(uintptr(unsafe.Pointer(&s))); ok == 0 || s.line == 255 {
		return Power{}, ErrCannotAsk
	}
	p := Power{Mains: s.line == 1, Battery: -1}
	const noBattery = 128
	if s.flag&noBattery == 0 && s.percent <= 100 {
		p.Battery = float64(s.percent) / 100
	}
	return p, nil
}

func (windowsPC) Sleep(ctx context.Context) (s Sleep, err error) {
	asked := func(group, setting string) bool {
		text, failed := said(ctx, "powercfg", "/query", "SCHEME_CURRENT", group, setting)
		d, ok := powercfgSeconds(text)
		if failed != nil || !ok {
			err = ErrCannotAsk
			return false
		}
		if setting == "VIDEOIDLE" {
			s.Screen = d
		} else {
			s.After = d
		}
		return true
	}
	_ = asked("SUB_SLEEP", "STANDBYIDLE") && asked("SUB_VIDEO", "VIDEOIDLE")
	return s, err
}

// Sound is told by no program that Windows brings along.
func (windowsPC) Sound(context.Context, string) (Sound, error) { return Sound{}, ErrCannotAsk }

func (windowsPC) Screen(ctx context.Context) (float64, error) {
	text, err := said(ctx, "powershell", "-NoProfile", "-NonInteractive", "-Command", "(Get-CimInstance -Namespace root/WMI -ClassName WmiMonitorBrightness).CurrentBrightness")
	b, ok := brightness(text)
	if err != nil || !ok {
		return 0, ErrCannotAsk
	}
	return b, nil
}

func (windowsPC) Room(_ context.Context, dir string) (uint64, error) {
	name, err := windows.UTF16PtrFromString(dir)
	if err != nil {
		return 0, err
	}
	var free uint64
	err = windows.GetDiskFreeSpaceEx(name, &free, nil, nil)
	return free, err
}

func (windowsPC) Clock(ctx context.Context) (Clock, error) {
	text, err := said(ctx, "w32tm", "/query", "/status")
	c, ok := w32tmSynced(text)
	if err != nil || !ok {
		return c, ErrCannotAsk // the service does not run
	}
	return c, nil
}

func (windowsPC) Cures() Cures {
	return Cures{
		Sleep:  "in the settings, under system, power: never sleep and never turn the screen off while plugged in; or type `powercfg /change standby-timeout-ac 0` and `powercfg /change monitor-timeout-ac 0`; leave the lid open",
		Sound:  "in the settings, under system, sound: choose the loudspeakers' device as output",
		Screen: "turn it down by its keys or in the settings, under display",
		Clock:  "in the settings, under time: set the time automatically, sync now; without a network set it by a clock that is right, and choose the time zone of the place",
	}
}
