package doors

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// The files of the kernel's description (Documentation/ABI/testing/sysfs-class-power), for
// a laptop with a mouse whose battery is its own.
func TestSysfs(t *testing.T) {
	dir := t.TempDir()
	l := linux{sys: dir}
	if _, err := l.Power(t.Context()); !errors.Is(err, ErrCannotAsk) {
		t.Errorf("no supplies: %v", err)
	}
	if _, err := l.Screen(t.Context()); !errors.Is(err, ErrCannotAsk) {
		t.Errorf("no screen: %v", err)
	}
	put := func(name, text string) {
		path := filepath.Join(dir, "class", name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, []byte(text+"\n"), 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	put("power_supply/AC/type", "Mains")
	put("power_supply/AC/online", "0")
	put("power_supply/BAT0/type", "Battery")
	put("power_supply/BAT0/capacity", "43")
	put("power_supply/hidpp_battery_0/type", "Battery")
	put("power_supply/hidpp_battery_0/scope", "Device")
	put("power_supply/hidpp_battery_0/capacity", "90")
	if p, err := l.Power(t.Context()); err != nil || p != (Power{false, 0.43}) {
		t.Errorf("%+v %v", p, err)
	}
	put("power_supply/AC/online", "1")
	if p, err := l.Power(t.Context()); err != nil || p != (Power{true, 0.43}) {
		t.Errorf("%+v %v", p, err)
	}
	put("backlight/intel/brightness", "300")
	put("backlight/intel/max_brightness", "1200")
	if b, err := l.Screen(t.Context()); err != nil || b != 0.25 {
		t.Errorf("%v %v", b, err)
	}
}

// This machine answers something, or says that it does not.
func TestThis(t *testing.T) {
	m := This()
	if free, err := m.Room(t.Context(), t.TempDir()); err != nil || free == 0 {
		t.Errorf("room %d, %v", free, err)
	}
	if _, err := m.Clock(t.Context()); err != nil && !errors.Is(err, ErrCannotAsk) {
		t.Error(err)
	}
	l := New(Setup{Machine: m, Dir: t.TempDir()})
	l.Ask(t.Context())
	for _, i := range l.Items() {
		if i.Found == "" || i.Cure == "" {
			t.Errorf("%+v", i)
		}
	}
}
