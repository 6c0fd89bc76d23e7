package main

import (
	"fmt"
	"strings"

	"lampblack/play"
	"lampblack/play/chase"
	"lampblack/show"
)

// openSenders opens what is told where the show is.
func openSenders(s *show.Show, specs []string) ([]play.Sender, error) {
	var out []play.Sender
	for _, spec := range specs {
		sender, err := openSender(s, spec)
		if err != nil {
			for _, o := range out {
				_ = o.Close()
			}
			return nil, err
		}
		out = append(out, sender)
	}
	return out, nil
}

// openSender knows the kinds that send at cues; timecode goes out all the time, and is
// package chase's.
func openSender(s *show.Show, spec string) (play.Sender, error) {
	kind, place, _ := strings.Cut(spec, " ")
	if place == "" {
		return nil, badSender(spec)
	}
	if kind == "ltc" || kind == "mtc" {
		return chase.OpenSender(spec)
	}
	message, known := map[string]play.Message{
		"notes":        play.Notes,
		"programs":     play.Programs,
		"show-control": play.ShowControl(s),
	}[kind]
	if !known {
		return nil, badSender(spec)
	}
	port, err := chase.OpenPort(place)
	if err != nil {
		return nil, err
	}
	return play.NewCueMessages(port, s, message), nil
}

// badSender names what may be sent, as the form of a line.
func badSender(spec string) error {
	return hinted{fmt.Errorf("%q says nothing that can be sent", spec), `"notes PORT", "programs PORT", "show-control PORT", "mtc PORT" or "ltc PIPE"`}
}
