package play

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
)

// port remembers what is to leave when.
type port struct {
	start time.Time
	sent  []string
	done  bool
}

func (p *port) Send(due time.Time, m []byte) {
	since := due.Sub(p.start)
	p.sent = append(p.sent, string(m)+" "+since.Round(time.Millisecond).String())
}
func (p *port) Name() string { return "port" }
func (p *port) Close() error { p.done = true; return nil }

// Every cue's message leaves when the cue starts; after a jump that of the cue
// which stands leaves at once, and none is sent twice.
func TestCueMessages(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		p := &port{start: time.Now()}
		names := func(_ int, number string) [][]byte { return [][]byte{[]byte("cue " + number)} }
		commands := make(chan Command)
		go func() {
			time.Sleep(12 * time.Second)
			commands <- Command{Do: Seek, At: 75 * time.Second}
			commands <- Command{Do: Seek, At: 75 * time.Second} // it is meant
			time.Sleep(6 * time.Second)
			commands <- Command{Do: Hold}
			time.Sleep(time.Minute)
			commands <- Command{Do: Go}
			time.Sleep(time.Second)
			commands <- Command{Do: Quit}
		}()
		o := Options{Start: evening.State{In: 5 * time.Second}, Senders: []Sender{NewCueMessages(p, s, names)}, Commands: commands}
		if _, err := Run(t.Context(), s, o); err != nil {
			t.Fatal(err)
		}
		want := []string{"cue 0 0s", "cue 1 5s", "cue 7 12s", "cue 8 17s", "cue 8 1m18s"}
		within := slices.EqualFunc(p.sent, want, func(a, b string) bool { return a[:5] == b[:5] })
		if !within || p.sent[1] != "cue 1 5s" || p.sent[3] != "cue 8 17s" || !p.done {
			t.Errorf("sent %q, want %q", p.sent, want)
		}
	})
}

// In an evening messages count the cues of all its steps as they are written, a standing look
// as one, whatever is waited for; after a step back the cue that stands is sent again.
func TestMessagesOfAnEvening(t *testing.T) {
	_, e := threeSteps(t)
	synctest.Test(t, func(t *testing.T) {
		commands := make(chan Command)
		at := func(d time.Duration, do Action) {
			time.AfterFunc(d, func() { commands <- Command{Do: do} })
		}
		at(10*time.Second, Go)
		at(11*time.Second, Back) // preshow again
		at(20*time.Second, Go)
		p := &port{start: time.Now()}
		counted := func(n int, number string) [][]byte { return [][]byte{fmt.Appendf(nil, "%d %s", n, number)} }
		if _, err := Run(t.Context(), tenCues(t), Options{Evening: e, Open: silent, Commands: commands, For: 46 * time.Second, Senders: []Sender{NewCueMessages(p, e.Steps[0].Show, counted)}}); err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, m := range p.sent {
			words := strings.Fields(m)
			got = append(got, strings.Join(words[:2], " "))
		}
		want := []string{"0 preshow", "1 0", "0 preshow", "1 0", "2 1", "3 2"}
		if !slices.Equal(got, want) {
			t.Errorf("sent %q, want %q", got, want)
		}
	})
}
