package play

import "strings"

// Device is a sound device of this computer.
type Device struct {
	Name     string // as the system has it: the same every time
	Called   string // as people read it
	Default  bool   // the system plays on it where nothing is said
	Screen   bool   // it looks like a screen's or a projector's own loudspeakers
	Channels int
	Rate     int // Hz
}

// onScreen tells from what is said of a device whether its sound leaves with the picture.
func onScreen(says ...string) bool {
	for _, text := range says {
		text = strings.ToLower(text)
		for _, word := range []string{"hdmi", "displayport", "display port", "video-display"} {
			if strings.Contains(text, word) {
				return true
			}
		}
	}
	return false
}

// Find is the index of the device that a person names, or -1: by its name or what it is
// called, great and small letters alike, or by a part of either which no other has.
func Find(devices []Device, name string) int {
	name = strings.ToLower(strings.TrimSpace(name))
	part, parts := -1, 0
	for i, d := range devices {
		own, called := strings.ToLower(d.Name), strings.ToLower(d.Called)
		if name == own || name == called {
			return i
		}
		if strings.Contains(own, name) || strings.Contains(called, name) {
			part = i
			parts++
		}
	}
	if parts == 1 && name != "" {
		return part
	}
	return -1
}
