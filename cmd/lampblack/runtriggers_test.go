package main

import (
	"fmt"
	"net"
	"strings"
	"testing"
	"time"

	"lampblack/play/line"
	"lampblack/play/trigger"
)

// A trigger that cannot come, as its port is another program's, is told to the pages with what to
// do, and no more once it can.
func TestTriggerThatCannotComeIsTold(t *testing.T) {
	taken, err := net.ListenUDP("udp", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	from, err := line.ParseTrigger(fmt.Sprintf("osc %d /door", taken.LocalAddr().(*net.UDPAddr).Port))
	if err != nil {
		t.Fatal(err)
	}
	set, err := trigger.Open(t.Context(), trigger.List{Triggers: []trigger.Trigger{{Name: "door", From: from}}}, trigger.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer set.Close()
	c := contacts{set: set}
	for { // it says so within a second, and the test ends with the time that tests have
		if text, hint := c.fault(); strings.HasPrefix(text, "trigger door: ") && strings.Contains(text, "in use") && hint != "" {
			break
		}
		<-time.After(time.Millisecond)
	}
	if text, _ := (contacts{}).fault(); text != "" {
		t.Errorf("a run without triggers says %q", text)
	}
	taken.Close()
	for text := "?"; text != ""; text, _ = c.fault() {
		<-time.After(time.Millisecond)
	}
}
