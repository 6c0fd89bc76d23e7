package play

import "testing"

// A device is found by its name, by what it is called, or by a part that no other has.
func TestFindADevice(t *testing.T) {
	list := []Device{{Name: "alsa_output.usb-1", Called: "USB Audio Left Desk"}, {Name: "alsa_output.usb-2", Called: "USB Audio Right Desk"}, {Name: "alsa_output.pci.hdmi-stereo", Called: "Built-in HDMI / DisplayPort 1"}, {Name: "usb", Called: "Other"}}
	for name, want := range map[string]int{"alsa_output.usb-2": 1, "usb audio left desk": 0, "left": 0, " RIGHT desk ": 1, "desk": -1, "usb": 3, "hdmi": 2, "": -1, "balcony": -1} {
		if got := Find(list, name); got != want {
			t.Errorf("%q is device %d, want %d", name, got, want)
		}
	}
	for _, c := range []struct {
		screen bool
		says   []string
	}{{true, []string{"alsa_output.pci.hdmi-stereo", "Built-in"}}, {true, []string{"x", "DisplayPort Audio"}}, {true, []string{"x", "Display Port 2"}}, {true, []string{"x", "y", "video-display"}}, {false, []string{"alsa_output.usb-1", "USB Audio"}}, {false, nil}} {
		if onScreen(c.says...) != c.screen {
			t.Errorf("%q is a screen's: %v", c.says, !c.screen)
		}
	}
}
