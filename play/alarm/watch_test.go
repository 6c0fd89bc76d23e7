package alarm

import (
	"errors"
	"path/filepath"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/line"
)

// listen listens to one input; more of it is in package trigger's tests, which have every kind of
// source in false time.
func listen(t *testing.T, in Input, source string) *Watch {
	t.Helper()
	from, err := line.ParseTrigger(source)
	if err != nil {
		t.Fatal(err)
	}
	in.Name, in.From = "foyer", from
	w, err := Listen(t.Context(), []Input{in}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := w.Close(); err != nil {
			t.Error(err)
		}
	})
	return w
}

// What is said once stands until it is reset, though nothing says it any more; the last of many
// changes is delivered, and each alarm has its own time.
func TestStandsUntilReset(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := listen(t, Input{}, "key f12")
		var before time.Time
		for range 3 {
			w.Type("f12")
			time.Sleep(time.Hour)
			w.Type("f12")
			time.Sleep(time.Hour)
			s := <-w.Changes()
			if !s.Stands || time.Since(s.Since) != 2*time.Hour || !s.Since.After(before) || s.By != "foyer" || s.Inputs[0].Says || time.Since(s.Inputs[0].Came) != time.Hour {
				t.Errorf("it stands as %+v", s)
			}
			before = s.Since
			if came, err := w.Reset(); err != nil || len(came) != 1 || !w.State().Inputs[0].Tried.Equal(time.Now()) {
				t.Errorf("reset: %v, %v: %+v", came, err, w.State())
			}
			if s := <-w.Changes(); s.Stands || s.By != "" || !s.Since.IsZero() {
				t.Errorf("after the reset it is %+v", s)
			}
		}
	})
}

// A heartbeat in time is no alarm, however long it goes on; the first that is late is one.
func TestHeartbeat(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := listen(t, Input{Every: time.Second}, "key f12")
		for range 1000 {
			time.Sleep(999 * time.Millisecond)
			w.Type("f12")
			synctest.Wait()
		}
		if s := w.State(); s.Stands {
			t.Fatalf("it beats, and the alarm is %+v", s)
		}
		time.Sleep(999 * time.Millisecond)
		synctest.Wait()
		if w.State().Stands {
			t.Error("it is an alarm before it is late")
		}
		time.Sleep(2 * time.Millisecond)
		synctest.Wait()
		if s := w.State(); !s.Stands || s.By != "foyer: its heartbeat has not come for 1 s" {
			t.Errorf("late, the alarm is %+v", s)
		}
		var says *Says
		if _, err := w.Reset(); !errors.As(err, &says) || says.Input != "foyer" {
			t.Errorf("reset without a beat: %v", err)
		}
	})
}

// An input that is not there from the beginning is told at once, and is an alarm, where that is
// wished, when it has had time to come.
func TestNeverThere(t *testing.T) {
	for _, too := range []bool{false, true} {
		synctest.Test(t, func(t *testing.T) {
			w := listen(t, Input{LostToo: too}, `pipe "`+filepath.Join(t.TempDir(), "none")+`"`)
			if in := w.State().Inputs[0]; in.Fault == "" || in.Hint == "" || w.State().Stands {
				t.Errorf("at first it is %+v", w.State())
			}
			time.Sleep(arrives - time.Millisecond)
			synctest.Wait()
			if w.State().Stands {
				t.Error("it had no time to come")
			}
			time.Sleep(10 * time.Second)
			synctest.Wait()
			if s := w.State(); s.Stands != too || s.Inputs[0].Says != too {
				t.Errorf("then it is %+v", s)
			}
		})
	}
}
