package main

import (
	"lampblack/play/beacon"
	"lampblack/play/output"
)

// noticeOthers lets other runs of this program notice this one, and its outputs tell of
// those that send the same; it returns what ends that. A run that cannot be noticed goes on.
func noticeOthers(tell func(what, text string), show string, sinks []output.Sink, allies *output.Allies) (end func()) {
	b, err := beacon.Open(show, sinks, allies)
	if err != nil {
		tell("note", "another run that sends the same would not be noticed: "+err.Error())
	}
	return func() { _ = b.Close() }
}
