package main

import (
	"net"
	"testing"
	"time"

	"lampblack/score"
	"lampblack/show"
	"lampblack/source"
	"lampblack/wire/osc"
)

// The number of each cue arrives as an OSC message, as text or as a number.
func TestCuesByOSC(t *testing.T) {
	for as, want := range map[string][]any{
		"":           {"1", "10.5", "10.10"},
		" as number": {float32(1), float32(10.5), float32(10.1)},
	} {
		in, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
		if err != nil {
			t.Fatal(err)
		}
		s := &show.Show{Cues: make([]show.Cue, 3)}
		for i, number := range []string{"1", "10.5", "10.10"} {
			s.Cues[i].Cue = &score.Cue{Number: source.Ref{Name: number}}
			s.Cues[i].Start = time.Duration(i) * 100 * time.Millisecond
		}
		senders, err := openSenders(s, []string{"osc " + in.LocalAddr().String() + " /lights/cue" + as})
		if err != nil {
			t.Fatal(err)
		}
		begin := time.Now()
		for at := time.Duration(0); at < 300*time.Millisecond; at += 20 * time.Millisecond {
			senders[0].Update(begin.Add(at), at, true)
		}
		b := make([]byte, 1000)
		in.SetReadDeadline(begin.Add(20 * time.Second))
		for _, want := range want {
			n, err := in.Read(b)
			if err != nil {
				t.Fatal(err)
			}
			p, err := osc.Parse(b[:n])
			m, ok := p.(*osc.Message)
			if err != nil || !ok || m.Address != "/lights/cue" || len(m.Args) != 1 || m.Args[0] != want {
				t.Errorf("as%s: got %+v, %v, want %v", as, p, err, want)
			}
		}
		if err := senders[0].Close(); err != nil {
			t.Error(err)
		}
		in.Close()
	}
}
