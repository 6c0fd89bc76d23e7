package main

import (
	"lampblack/play"
	"lampblack/play/chase"
	"lampblack/play/line"
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
	to, err := line.ParseSend(spec)
	if err != nil {
		return nil, hinted{err, sendForms}
	}
	var message play.Message
	switch to.Kind {
	case "mtc", "ltc":
		return chase.OpenSender(spec)
	case "osc":
		port, err := chase.OpenPackets(to.To)
		if err != nil {
			return nil, err
		}
		return play.NewCueMessages(port, s, play.OSC(to.Place, to.Number)), nil
	case "notes":
		message = play.Notes
	case "programs":
		message = play.Programs
	case "show-control":
		message = play.ShowControl
	}
	port, err := chase.OpenPort(to.Place)
	if err != nil {
		return nil, err
	}
	return play.NewCueMessages(port, s, message), nil
}

// sendForms are the lines of --send.
const sendForms = `"notes PORT", "programs PORT", "show-control PORT", "osc HOST:PORT ADDRESS", "mtc PORT", "ltc PIPE"`
