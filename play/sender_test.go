package play

import (
	"slices"
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
		names := func(i int) [][]byte { return [][]byte{[]byte("cue " + s.Cues[i].Number.Name)} }
		commands := make(chan Command)
		go func() {
			time.Sleep(12 * time.Second)
			commands <- Command{Do: Seek, At: 75 * time.Second}
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
