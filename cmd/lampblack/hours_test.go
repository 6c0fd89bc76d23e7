package main

import (
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"runtime"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/journal"
	"lampblack/play/output"
	"lampblack/web"
	"lampblack/web/admit"
)

// devNull is a page that reads all that it is sent, and keeps none of it.
type devNull struct{ header http.Header }

func (d devNull) Header() http.Header         { return d.header }
func (d devNull) Write(p []byte) (int, error) { return len(p), nil }
func (d devNull) WriteHeader(int)             {}
func (d devNull) Flush()                      {}

// deaf is an output that takes everything.
type deaf struct{}

func (deaf) Send([]output.Frame, time.Time) error { return nil }
func (deaf) Close() error                         { return nil }
func (deaf) Name() string                         { return "a test" }
func (deaf) Stats() output.Stats                  { return output.Stats{} }

// nowhere is a journal's file that keeps nothing.
type nowhere struct{ io.Writer }

func (nowhere) Sync() error  { return nil }
func (nowhere) Gone() bool   { return false }
func (nowhere) Close() error { return nil }

// Hours of a show that runs with a page and a journal take no more memory than the second: in
// time of its own, in which a hand freezes the light and lets it go every minute. LAMPBLACK_LONG=1 goes
// through eight hours.
func TestHoursTakeNoMemory(t *testing.T) {
	hours := 2
	if os.Getenv("LAMPBLACK_LONG") != "" {
		hours = 8
	} else if testing.Short() {
		t.Skip("left out of short runs")
	}
	l, err := solve(t.Context(), io.Discard, small(t), reading{})
	if err != nil {
		t.Fatal(err)
	}
	defer l.close()
	synctest.Test(t, func(t *testing.T) {
		gate := admit.New(admit.Options{Own: "a key"})
		server, err := web.New(web.Options{Show: l.show, Gate: gate})
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithCancel(context.Background())
		r := httptest.NewRequestWithContext(ctx, "GET", "http://127.0.0.1:1/api/events", nil)
		r.Header.Set("Authorization", "Bearer a key")
		r.RemoteAddr = "127.0.0.1:9"
		read := make(chan struct{})
		go func() { defer close(read); server.Handler().ServeHTTP(devNull{http.Header{}}, r) }()
		written := journal.Open(func() (journal.File, bool, error) { return nowhere{io.Discard}, false, nil })
		commands := make(chan play.Command)
		go func() {
			for i := 0; ; i++ {
				select {
				case <-ctx.Done():
					return
				case <-time.After(time.Minute):
				}
				select {
				case commands <- play.Command{Do: []play.Action{play.Freeze, play.Unfreeze}[i%2]}:
				case <-ctx.Done():
				}
			}
		}()
		var memory []uint64 // after each hour
		began, events := time.Now(), 0
		_, err = play.Run(ctx, l.show, play.Options{Evening: l.show.Alone(nil).Zones[0].Evening, For: time.Duration(hours)*time.Hour + time.Second, Rests: true, Commands: commands, Sinks: []output.Sink{output.Mailbox(deaf{})},
			Journal: func(e evening.Event) { events++; written.Add(e) },
			Report: func(s play.Status) {
				server.SetPlayhead(web.Playhead{At: s.State.In.Seconds(), Running: true, Held: s.State.Held})
				if int(time.Since(began)/time.Hour) > len(memory) {
					runtime.GC()
					var m runtime.MemStats
					runtime.ReadMemStats(&m)
					memory = append(memory, m.HeapAlloc)
				}
			}})
		cancel()
		<-read
		if err != nil {
			t.Error(err)
		}
		if err := written.Close(); err != nil {
			t.Error(err)
		}
		_ = server.Close()
		first, last := memory[0], memory[len(memory)-1]
		t.Logf("after an hour %.2f MB, after %d hours %.2f MB; %d events", float64(first)/1e6, len(memory), float64(last)/1e6, events)
		// An hour of lines is remembered, so the first hour fills what the others keep filled.
		if last > first+1<<20 {
			t.Errorf("it has grown by %d octets", last-first)
		}
	})
}
