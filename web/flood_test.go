package web

import (
	"io"
	"net/http"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/output"
	"lampblack/show"
	"lampblack/web/admit"
)

// lateFrames runs the show for a while and tells how late its frames were.
func lateFrames(t *testing.T, s *show.Show, length time.Duration, follow func(play.Status)) output.Lateness {
	t.Helper()
	sum, err := play.Run(t.Context(), s, play.Options{For: length, Start: evening.State{}, Report: follow, Ending: time.Millisecond})
	if err != nil {
		t.Fatal(err)
	}
	return sum.Late
}

// Five hundred requests a second, from a paired device, from strangers, forged, replayed and
// oversized, do not move the frame figure: turns with and without, in one run.
func TestFramesUnderAFlood(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("long: it measures for some minutes")
	}
	h := host(t)
	d := h.pairs(t, admit.All)
	s := openHall(t, 2)
	heard := d.request("POST", "/api/control/hold", "")
	send(t, heard)
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 16, MaxConnsPerHost: 16}}
	const rate = 500 // a second
	var mu sync.Mutex
	answers := map[int]int{}
	flood := func(stop <-chan struct{}) {
		tick := time.NewTicker(time.Second / rate)
		defer tick.Stop()
		var all sync.WaitGroup
		defer all.Wait()
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			case <-tick.C:
			}
			var r *http.Request
			switch i % 5 {
			case 0:
				r = d.request("POST", "/api/control/hold", "")
			case 1:
				r, _ = http.NewRequest("GET", h.guest+"/api/show", nil)
			case 2:
				r = d.request("POST", "/api/hand", `{"do":"set"}`)
				r.Body, r.ContentLength = io.NopCloser(strings.NewReader(`{"do":"all"}`)), 12
			case 3:
				r = heard.Clone(t.Context())
				r.Body = http.NoBody
			default:
				r = d.request("POST", "/api/hand", strings.Repeat("x", mostOrder+1))
			}
			all.Go(func() {
				a, err := client.Do(r)
				mu.Lock()
				defer mu.Unlock()
				if err != nil {
					answers[0]++
					return
				}
				answers[a.StatusCode]++
				_, _ = io.Copy(io.Discard, a.Body)
				_ = a.Body.Close()
			})
		}
	}
	follow := func(st play.Status) { h.SetPlayhead(Playhead{At: st.State.In.Seconds(), Running: true}) }
	var without, with []output.Lateness
	for range 6 {
		without = append(without, lateFrames(t, s, 5*time.Second, follow))
		stop, done := make(chan struct{}), make(chan struct{})
		go func() { flood(stop); close(done) }()
		with = append(with, lateFrames(t, s, 5*time.Second, follow))
		close(stop)
		<-done
	}
	middle := func(l []output.Lateness, of func(output.Lateness) time.Duration) time.Duration {
		var v []time.Duration
		for _, x := range l {
			v = append(v, of(x))
		}
		slices.Sort(v)
		return v[len(v)/2]
	}
	median := func(l output.Lateness) time.Duration { return l.Median }
	worst := func(l output.Lateness) time.Duration { return l.P999 }
	t.Logf("answers by status: %v", answers)
	t.Logf("frames late, without: median %v, 99.9 %% %v; with %d requests a second: median %v, 99.9 %% %v", middle(without, median), middle(without, worst), rate, middle(with, median), middle(with, worst))
	for _, l := range with {
		if l.Missed > 0 {
			t.Logf("%d frames were missed under the flood", l.Missed)
		}
	}
	if a, b := middle(without, median), middle(with, median); b > 5*a && b > 2*time.Millisecond {
		t.Errorf("the median lateness rose from %v to %v", a, b)
	}
}
