package keeper

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/output"
)

func init() {
	monotonic = func() int64 { return time.Now().UnixNano() } // of the test's own time
}

// seen is an output that keeps what left, and when.
type seen struct {
	mu     sync.Mutex
	begun  time.Time
	what   []string
	at     []time.Duration
	closed int
	every  []time.Duration // of all that left
}

func (s *seen) Send(list []output.Frame, _ time.Time) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := time.Since(s.begun)
	s.every = append(s.every, now)
	text := string(list[0].Slots)
	if len(s.what) == 0 || s.what[len(s.what)-1] != text {
		s.what, s.at = append(s.what, text), append(s.at, now)
	}
	return nil
}

// Yield is that receivers are told to follow another source.
func (s *seen) Yield() error { return s.Send(one("over"), time.Time{}) }

func (s *seen) Close() error        { s.mu.Lock(); defer s.mu.Unlock(); s.closed++; return nil }
func (s *seen) Name() string        { return "a test" }
func (s *seen) Stats() output.Stats { return output.Stats{} }

// log is what left, and when it first did.
func (s *seen) log() (out []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for i, w := range s.what {
		out = append(out, fmt.Sprintf("%v %s", s.at[i].Round(10*time.Millisecond), w))
	}
	return out
}

func one(text string) []output.Frame { return []output.Frame{{Universe: 1, Slots: []byte(text)}} }

// computes is a run of a test: it has its end of the line, and what became of the one before;
// it returns its exit status. ctx ends when it is killed.
type computes func(ctx context.Context, w *Wire, again *Again) int

// kept runs the runs, one after another, under a keeper.
func kept(ctx context.Context, s *seen, times Times, told *[]string, runs ...computes) (int, error) {
	s.begun = time.Now()
	i := 0
	return Keep(ctx, Options{
		sleep: func(until time.Time) { time.Sleep(time.Until(until)) },
		Tell:  func(what, text string) { *told = append(*told, what+": "+text) },
		Outputs: func(o *Opening) ([]output.Sink, func(), error) {
			if o.Outputs[0] == "bad" {
				return nil, nil, errors.New("no such output")
			}
			return []output.Sink{s}, func() {}, nil
		},
		Start: func(again *Again) (*Child, error) {
			if i == len(runs) {
				return nil, errors.New("no more runs")
			}
			run := runs[i]
			i++
			ours, theirs := net.Pipe()
			w := Dial(theirs)
			alive, kill := context.WithCancel(context.Background())
			done := make(chan int, 1)
			go func() {
				status := run(alive, w, again)
				if alive.Err() != nil {
					status = -1
				}
				theirs.Close()
				done <- status
			}()
			return &Child{Conn: ours, Done: done, Kill: func() error { kill(); return nil }}, nil
		},
	})
}

// begins opens the wire and prepares what stands.
func begins(w *Wire, times Times) error {
	_, _, err := w.Open(Opening{Outputs: []string{"good"}, Rate: 50, Times: times, Journal: "night", Address: "127.0.0.1:1"})
	w.Stand(output.Up, one("up"))
	return err
}

// sends sends frames for a time, with what stands.
func sends(ctx context.Context, w *Wire, text string, over time.Duration) {
	for begun := time.Now(); time.Since(begun) < over && ctx.Err() == nil; time.Sleep(20 * time.Millisecond) {
		w.Send(one(text), time.Now().Add(10*time.Millisecond))
		w.Stand(output.Calm, one(text+" calm"))
		w.Stand(output.Dim, one(text+" dim"))
	}
}

// What the audience sees, by what becomes of the run.
func TestWhatIsSeen(t *testing.T) {
	whole := func(w *Wire) int {
		if _, err := w.Close(100 * time.Millisecond); err != nil {
			return 2
		}
		return 0
	}
	plays := func(text string, over time.Duration) computes {
		return func(ctx context.Context, w *Wire, _ *Again) int {
			if begins(w, Times{}) != nil {
				return 2
			}
			sends(ctx, w, text, over)
			return whole(w)
		}
	}
	dies := func(after time.Duration, times Times) computes {
		return func(ctx context.Context, w *Wire, _ *Again) int {
			if begins(w, times) != nil {
				return 2
			}
			sends(ctx, w, "show", after)
			return -1
		}
	}
	slowly := func(start, over time.Duration) computes {
		return func(ctx context.Context, w *Wire, again *Again) int {
			if again == nil || again.Journal != "night" || again.Address != "127.0.0.1:1" || again.Died.IsZero() {
				return 9
			}
			time.Sleep(start)
			return plays("again", over)(ctx, w, again)
		}
	}
	for name, c := range map[string]struct {
		runs   []computes
		stop   time.Duration // when it is told to stop
		status int
		want   []string
		told   string
	}{
		"a run to its end":            {[]computes{plays("show", time.Second)}, 0, 0, []string{"10ms show", "1s up"}, ""},
		"a run that dies and is back": {[]computes{dies(time.Second, Times{}), slowly(400*time.Millisecond, time.Second)}, 0, 0, []string{"10ms show", "1s show calm", "1.41s again", "2.4s up"}, "started again"},
		"a run that is back too late": {[]computes{dies(time.Second, Times{}), slowly(3*time.Second, time.Second)}, 0, 0, []string{"10ms show", "1s show calm", "2s up", "4.01s again", "5s up"}, "started again"},
		"another machine stands by": {[]computes{func(ctx context.Context, w *Wire, _ *Again) int {
			if begins(w, Times{}) != nil {
				return 2
			}
			w.Paired([16]byte{1}, true)
			sends(ctx, w, "show", time.Second)
			return -1
		}, slowly(3*time.Second, time.Second)}, 0, 0, []string{"10ms show", "1s show calm", "2s over", "4.01s again", "5s up"}, "started again"},
		"another machine stood by long ago": {[]computes{func(ctx context.Context, w *Wire, _ *Again) int {
			if begins(w, Times{}) != nil {
				return 2
			}
			w.Paired([16]byte{1}, true)
			sends(ctx, w, "show", 3*time.Second)
			return -1
		}, slowly(3*time.Second, time.Second)}, 0, 0, []string{"10ms show", "3s show calm", "4s up", "6.01s again", "7s up"}, "started again"},
		"an ally that does not stand by": {[]computes{func(ctx context.Context, w *Wire, _ *Again) int {
			if begins(w, Times{}) != nil {
				return 2
			}
			w.Paired([16]byte{1}, false)
			sends(ctx, w, "show", time.Second)
			return -1
		}, slowly(3*time.Second, time.Second)}, 0, 0, []string{"10ms show", "1s show calm", "2s up", "4.01s again", "5s up"}, "started again"},
		"ultraviolet goes before":         {[]computes{dies(time.Second, Times{Stands: 5 * time.Second, Ultraviolet: 2 * time.Second}), slowly(4*time.Second, time.Second)}, 0, 0, []string{"10ms show", "1s show calm", "3.01s show dim", "5.01s again", "6s up"}, "started again"},
		"a run that dies again and again": {[]computes{dies(time.Second, Times{}), dies(time.Second, Times{}), dies(time.Second, Times{}), dies(time.Second, Times{})}, 0, 2, []string{"10ms show", "1s show calm", "1.01s show", "2s show calm", "2.01s show", "3s show calm", "3.01s show", "4s show calm", "4s up"}, "failed 4 times"},
		"a run that stalls": {[]computes{func(ctx context.Context, w *Wire, _ *Again) int {
			if begins(w, Times{}) != nil {
				return 2
			}
			sends(ctx, w, "show", time.Second)
			time.Sleep(500 * time.Millisecond)
			sends(ctx, w, "on", time.Second)
			return whole(w)
		}}, 0, 0, []string{"10ms show", "1.16s show calm", "1.51s on", "2.5s up"}, ""},
		"a run that hangs": {[]computes{func(ctx context.Context, w *Wire, _ *Again) int {
			if begins(w, Times{}) != nil {
				return 2
			}
			sends(ctx, w, "show", time.Second)
			<-ctx.Done()
			return 0
		}, slowly(195*time.Millisecond, time.Second)}, 0, 0, []string{"10ms show", "1.16s show calm", "2s up", "6.21s again", "7.2s up"}, "sent nothing for 5"},
		"it is told to stop": {[]computes{func(ctx context.Context, w *Wire, _ *Again) int {
			if begins(w, Times{}) != nil {
				return 2
			}
			for {
				select {
				case <-w.Stopped():
					return whole(w) + 2
				default:
					sends(ctx, w, "show", 20*time.Millisecond)
				}
			}
		}}, time.Second, 2, []string{"10ms show", "1.01s up"}, ""},
		"it is told to stop, and does not": {[]computes{func(ctx context.Context, w *Wire, _ *Again) int {
			if begins(w, Times{}) != nil {
				return 2
			}
			sends(ctx, w, "show", time.Hour)
			return 0
		}}, time.Second, 2, []string{"10ms show", "3.01s up"}, ""},
		"outputs that cannot be opened": {[]computes{func(_ context.Context, w *Wire, _ *Again) int {
			if _, _, err := w.Open(Opening{Outputs: []string{"bad"}, Rate: 44}); err == nil || err.Error() != "no such output" {
				return 9
			}
			return 1
		}}, 0, 1, nil, ""},
		"killed before it began":   {[]computes{func(context.Context, *Wire, *Again) int { return -1 }}, 0, 2, nil, "killed before it began"},
		"an error before it began": {[]computes{func(context.Context, *Wire, *Again) int { return 1 }}, 0, 1, nil, ""},
		"what it says is nothing": {[]computes{func(ctx context.Context, w *Wire, _ *Again) int {
			if begins(w, Times{}) != nil {
				return 2
			}
			sends(ctx, w, "show", time.Second)
			_ = w.write(frames, func(b []byte) []byte { return append(b, 1, 2, 3) })
			<-ctx.Done()
			return 0
		}, slowly(0, time.Second)}, 0, 0, []string{"10ms show", "1.16s show calm", "2s up", "6.01s again", "7s up"}, "sent nothing"},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				ctx, cancel := context.WithCancel(context.Background())
				defer cancel()
				if c.stop > 0 {
					time.AfterFunc(c.stop, cancel)
				}
				s, told := &seen{}, []string{}
				status, err := kept(ctx, s, Times{}, &told, c.runs...)
				if err != nil || status != c.status {
					t.Errorf("status %d, %v; want %d", status, err, c.status)
				}
				if got := s.log(); !near(got, c.want) {
					t.Errorf("seen %q\nwant %q", got, c.want)
				}
				if text := strings.Join(told, "; "); c.told == "" && text != "" || !strings.Contains(text, c.told) {
					t.Errorf("told %q, want %q", text, c.told)
				}
				if len(c.want) > 0 && s.closed != 1 {
					t.Errorf("the output was closed %d times", s.closed)
				}
			})
		})
	}
}

// near compares logs, whose times may be 60 ms off: what stands is looked at so often.
func near(got, want []string) bool {
	return slices.EqualFunc(got, want, func(g, w string) bool {
		gt, gw, _ := strings.Cut(g, " ")
		wt, ww, _ := strings.Cut(w, " ")
		a, _ := time.ParseDuration(gt)
		b, _ := time.ParseDuration(wt)
		return gw == ww && max(a-b, b-a) <= 60*time.Millisecond
	})
}

// Frames leave when they are due, however early they come and in whatever clumps.
func TestFramesLeaveWhenTheyAreDue(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, told := &seen{}, []string{}
		var dues []time.Duration
		_, err := kept(context.Background(), s, Times{}, &told, func(_ context.Context, w *Wire, _ *Again) int {
			if begins(w, Times{}) != nil {
				return 2
			}
			start := time.Now().Add(50 * time.Millisecond)
			for i := range 40 {
				due := start.Add(time.Duration(i) * 20 * time.Millisecond)
				time.Sleep(time.Until(due) - time.Duration(i*7%40)*time.Millisecond)
				dues = append(dues, due.Sub(s.begun))
				w.Send(one("x"), due)
			}
			time.Sleep(100 * time.Millisecond)
			_, _ = w.Close(0)
			return 0
		})
		if err != nil {
			t.Fatal(err)
		}
		if got := s.every[:len(dues)]; !slices.Equal(got, dues) {
			t.Errorf("left at %v\nwant    %v", got, dues)
		}
	})
}

func FuzzFrames(f *testing.F) {
	f.Add(appendFrames(nil, one("abc")))
	f.Add([]byte{2, 0, 1, 0, 255, 255})
	f.Fuzz(func(t *testing.T, b []byte) {
		list, err := parseFrames(b, nil)
		if err != nil {
			return
		}
		if again := appendFrames(nil, list); !bytes.HasPrefix(b, again) {
			t.Errorf("%x comes back as %x", b, again)
		}
	})
}

// What a run has remembered is known to those after it, until it is forgotten; they also learn when
// the last frame left.
func TestRemembers(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, told := &seen{}, []string{}
		var second, third map[string][]byte
		var died, lit time.Time
		status, err := kept(t.Context(), s, Times{}, &told,
			func(_ context.Context, w *Wire, _ *Again) int {
				_ = begins(w, Times{})
				w.Remember("hand", []byte("one"))
				w.Remember("hand", []byte("two"))
				w.Remember("codes", []byte("three"))
				w.Remember("long", make([]byte, MostMemory+1))
				w.Send(one("light"), time.Now())
				time.Sleep(300 * time.Millisecond)
				return -1
			},
			func(_ context.Context, w *Wire, again *Again) int {
				second, died, lit = w.Recall(), again.Died, again.Lit
				_ = begins(w, Times{})
				w.Remember("codes", nil)
				return -1
			},
			func(_ context.Context, w *Wire, _ *Again) int {
				third = w.Recall()
				return 0
			})
		if status != 0 || err != nil {
			t.Errorf("%d %v", status, err)
		}
		if len(second) != 2 || string(second["hand"]) != "two" || string(second["codes"]) != "three" {
			t.Errorf("the second knows %q", second)
		}
		if len(third) != 1 || string(third["hand"]) != "two" {
			t.Errorf("the third knows %q", third)
		}
		if off := died.Sub(lit); off < 250*time.Millisecond || off > 350*time.Millisecond {
			t.Errorf("the last frame left %v before the end", off)
		}
	})
}

// A run that remembers without bounds is not heard.
func TestRemembersBounded(t *testing.T) {
	var m memory
	for i := range mostNames {
		if err := m.take([]byte{1, byte(i), 9}); err != nil {
			t.Fatal(err)
		}
	}
	for _, body := range [][]byte{{}, {5, 'a'}, {1, 200, 9}, append([]byte{1, 0}, make([]byte, MostMemory+1)...)} {
		if m.take(body) == nil {
			t.Errorf("%d octets are taken", len(body))
		}
	}
	if err := m.take([]byte{1, 0}); err != nil || len(m) != mostNames-1 {
		t.Errorf("%v, %d names", err, len(m))
	}
}
