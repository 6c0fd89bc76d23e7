package main

import (
	"testing"

	"lampblack/play"
	"lampblack/show"
)

// The next piece waits for no trim that is on its way to the disk: a trim holds mu until it is
// written.
func TestPieceWaitsForNoTrim(t *testing.T) {
	s := &speakers{files: &show.Files{}}
	s.once.Do(func() {})
	device := &play.Speakers{}
	s.device.Store(device)
	s.mu.Lock()
	defer s.mu.Unlock()
	if got := s.open(nil); got != device { // hangs if it waits
		t.Errorf("the device is %v", got)
	}
}

// What the page trims before the device is opened is given to it then.
func TestTrimmedBeforeThereIsADevice(t *testing.T) {
	s := &speakers{files: &show.Files{}}
	s.files.Bill.Sound.Device = "hall"
	trims, faults := show.ReadTrims([]byte("trims:\n  - {channel: 1, level: -3 dB}\n"))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	s.trims.Store(trims)
	told := ""
	s.ready(&play.Speakers{}, func(_, text string) { told += text })
	if want := "trims of any hall are used for 1 channel (hall.yaml)"; told != want {
		t.Errorf("%q is told, not %q", told, want)
	}
}
